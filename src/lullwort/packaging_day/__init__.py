"""Packaging day's sums: what the beer holds, and what it would do in a sealed bottle."""

from __future__ import annotations

from lullwort.packaging_day.blend import LeftInBlend, Part, blend_figures, left_in_blend
from lullwort.packaging_day.bottle import SealedToday, sealed_today
from lullwort.packaging_day.bottling import BOTTLING_EXPLAINED, FilledLot, Filling, filling_of, usual_bottles
from lullwort.packaging_day.checklist import (
    CHECKLIST_EXPLAINED,
    LABELS_FIRST,
    Circumstances,
    Stage,
    Step,
    checklist,
    stage_says,
)
from lullwort.packaging_day.containers import CONTAINERS, USUAL_CONTAINER, Container, limit_bar_of
from lullwort.packaging_day.dates import (
    CRASH_DAYS,
    CRASH_DAYS_MOST,
    DATES_EXPLAINED,
    Dates,
    DaySpan,
    Wish,
    packaging_dates,
)
from lullwort.packaging_day.datewords import calendar_days, crash_says, packaging_says, rest_says, wish_says
from lullwort.packaging_day.explaining import (
    ADDED_EXPLAINED,
    BLEND_EXPLAINED,
    FIGURES_EXPLAINED,
    RULES_EXPLAINED,
)
from lullwort.packaging_day.fillingwords import filling_says, moved_says
from lullwort.packaging_day.held import HELD_MOST_G_L, Held, held_by
from lullwort.packaging_day.moved import MOVED_EXPLAINED, Moved, moved_of
from lullwort.packaging_day.present import gravities_so_far, original_gravity, present_gravity, strength_so_far
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
    "BOTTLING_EXPLAINED",
    "CHECKLIST_EXPLAINED",
    "CONTAINERS",
    "CRASH_DAYS",
    "CRASH_DAYS_MOST",
    "DATES_EXPLAINED",
    "ENERGY_ML",
    "FIGURES_EXPLAINED",
    "HELD_MOST_G_L",
    "LABELS_FIRST",
    "MOVED_EXPLAINED",
    "RULES_EXPLAINED",
    "SPREAD",
    "USUAL_CONTAINER",
    "Added",
    "Circumstances",
    "Container",
    "Dates",
    "DaySpan",
    "Error",
    "Estimate",
    "FilledLot",
    "Filling",
    "Gravities",
    "Held",
    "LeftInBlend",
    "Moved",
    "Part",
    "Put",
    "SealedToday",
    "Stage",
    "Step",
    "Wish",
    "alcohol_by_volume",
    "blend_figures",
    "calendar_days",
    "checklist",
    "crash_says",
    "estimated",
    "figures_of",
    "filling_of",
    "filling_says",
    "gravities_so_far",
    "held_by",
    "left_in_blend",
    "limit_bar_of",
    "moved_of",
    "moved_says",
    "original_gravity",
    "packaging_dates",
    "packaging_says",
    "present_gravity",
    "ranges",
    "rest_says",
    "sealed_today",
    "stage_says",
    "strength_figures",
    "strength_so_far",
    "usual_bottles",
    "wish_says",
]
