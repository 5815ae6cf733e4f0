"""Packaging day's sums: what the beer holds, and what it would do in a sealed bottle."""

from __future__ import annotations

from lullwort.packaging_day.addedgas import NOTHING_ADDED, gas_of_priming, gas_to_target, priming_kind
from lullwort.packaging_day.blend import LeftInBlend, Part, blend_figures, left_in_blend
from lullwort.packaging_day.bottlewords import lots_say
from lullwort.packaging_day.containers import (
    CONTAINERS,
    LIMIT_EXPLAINED,
    USUAL_CONTAINER,
    Container,
    Limit,
    limit_bar_from_volumes,
    limit_bar_of,
    limit_of,
)
from lullwort.packaging_day.eventwords import event_says
from lullwort.packaging_day.explaining import ADDED_EXPLAINED, BLEND_EXPLAINED, FIGURES_EXPLAINED, RULES_EXPLAINED
from lullwort.packaging_day.held import HELD_MOST_G_L, Held, held_at, held_by
from lullwort.packaging_day.moved import Moved, moved_of
from lullwort.packaging_day.present import gravities_so_far, original_gravity, present_gravity, strength_so_far
from lullwort.packaging_day.sealing import ROOM_C, SEALING_EXPLAINED, SEALING_TEMPS_C, AtTemp, Sealing, sealing_of
from lullwort.packaging_day.sheet import CheckRow, EventRow, Row, Section, Sheet, sheet_of
from lullwort.packaging_day.sheetexplained import SHEET_EXPLAINED, sheet_explained
from lullwort.packaging_day.sheetfacts import SheetFacts, TempAt, ToldThen, sheet_facts
from lullwort.packaging_day.strength import (
    ENERGY_ML,
    Added,
    Gravities,
    Put,
    alcohol_by_volume,
    figures_of,
    strength_figures,
)
from lullwort.packaging_day.today import FALLS, Today, Unsaid, sealing_now, today_of
from lullwort.packaging_day.uncertain import SPREAD, Error, Estimate, estimated, ranges

__all__ = [
    "ADDED_EXPLAINED",
    "BLEND_EXPLAINED",
    "CONTAINERS",
    "ENERGY_ML",
    "FALLS",
    "FIGURES_EXPLAINED",
    "HELD_MOST_G_L",
    "LIMIT_EXPLAINED",
    "NOTHING_ADDED",
    "ROOM_C",
    "RULES_EXPLAINED",
    "SEALING_EXPLAINED",
    "SEALING_TEMPS_C",
    "SHEET_EXPLAINED",
    "SPREAD",
    "USUAL_CONTAINER",
    "Added",
    "AtTemp",
    "CheckRow",
    "Container",
    "Error",
    "Estimate",
    "EventRow",
    "Gravities",
    "Held",
    "LeftInBlend",
    "Limit",
    "Moved",
    "Part",
    "Put",
    "Row",
    "Sealing",
    "Section",
    "Sheet",
    "SheetFacts",
    "TempAt",
    "Today",
    "ToldThen",
    "Unsaid",
    "alcohol_by_volume",
    "blend_figures",
    "estimated",
    "event_says",
    "figures_of",
    "gas_of_priming",
    "gas_to_target",
    "gravities_so_far",
    "held_at",
    "held_by",
    "left_in_blend",
    "limit_bar_from_volumes",
    "limit_bar_of",
    "limit_of",
    "lots_say",
    "moved_of",
    "original_gravity",
    "present_gravity",
    "priming_kind",
    "ranges",
    "sealing_now",
    "sealing_of",
    "sheet_explained",
    "sheet_facts",
    "sheet_of",
    "strength_figures",
    "strength_so_far",
    "today_of",
]
