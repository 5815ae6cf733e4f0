"""Packaging day's sums: what the beer holds, and what it would do in a sealed bottle."""

from __future__ import annotations

from lullwort.packaging_day.blend import LeftInBlend, Part, blend_figures, left_in_blend
from lullwort.packaging_day.bottle import SealedToday, sealed_today
from lullwort.packaging_day.bottlewords import lots_say
from lullwort.packaging_day.containers import CONTAINERS, USUAL_CONTAINER, Container, limit_bar_of
from lullwort.packaging_day.eventwords import event_says
from lullwort.packaging_day.explaining import (
    ADDED_EXPLAINED,
    BLEND_EXPLAINED,
    FIGURES_EXPLAINED,
    RULES_EXPLAINED,
)
from lullwort.packaging_day.held import HELD_MOST_G_L, Held, held_by
from lullwort.packaging_day.moved import Moved, moved_of
from lullwort.packaging_day.present import gravities_so_far, original_gravity, present_gravity, strength_so_far
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
from lullwort.packaging_day.uncertain import SPREAD, Error, Estimate, estimated, ranges

__all__ = [
    "ADDED_EXPLAINED",
    "BLEND_EXPLAINED",
    "CONTAINERS",
    "ENERGY_ML",
    "FIGURES_EXPLAINED",
    "HELD_MOST_G_L",
    "RULES_EXPLAINED",
    "SHEET_EXPLAINED",
    "SPREAD",
    "USUAL_CONTAINER",
    "Added",
    "CheckRow",
    "Container",
    "Error",
    "Estimate",
    "EventRow",
    "Gravities",
    "Held",
    "LeftInBlend",
    "Moved",
    "Part",
    "Put",
    "Row",
    "SealedToday",
    "Section",
    "Sheet",
    "SheetFacts",
    "TempAt",
    "ToldThen",
    "alcohol_by_volume",
    "blend_figures",
    "estimated",
    "event_says",
    "figures_of",
    "gravities_so_far",
    "held_by",
    "left_in_blend",
    "limit_bar_of",
    "lots_say",
    "moved_of",
    "original_gravity",
    "present_gravity",
    "ranges",
    "sealed_today",
    "sheet_explained",
    "sheet_facts",
    "sheet_of",
    "strength_figures",
    "strength_so_far",
]
