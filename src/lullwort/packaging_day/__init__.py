"""Packaging day's sums: what the beer holds, and what it would do in a sealed bottle."""

from __future__ import annotations

from lullwort.packaging_day.blend import LeftInBlend, Part, blend_figures, left_in_blend
from lullwort.packaging_day.bottle import SealedToday, sealed_today
from lullwort.packaging_day.containers import CONTAINERS, USUAL_CONTAINER, Container, limit_bar_of
from lullwort.packaging_day.explaining import (
    ADDED_EXPLAINED,
    BLEND_EXPLAINED,
    FIGURES_EXPLAINED,
    RULES_EXPLAINED,
)
from lullwort.packaging_day.held import (
    HELD_EXPLAINED,
    HELD_MOST_G_L,
    Held,
    held_at,
    held_by,
    held_by_gauge,
    held_stated,
)
from lullwort.packaging_day.moved import Moved, moved_of
from lullwort.packaging_day.present import gravities_so_far, original_gravity, present_gravity, strength_so_far
from lullwort.packaging_day.priming import (
    PRIMING_FOR_EXPLAINED,
    SYRUP_EXPLAINED,
    USUAL_TARGETS,
    Priming,
    Syrup,
    carbonation_of,
    most_g_l_of,
    points_g_l,
    priming_for,
    syrup_for,
)
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
    "HELD_EXPLAINED",
    "HELD_MOST_G_L",
    "PRIMING_FOR_EXPLAINED",
    "RULES_EXPLAINED",
    "SPREAD",
    "SYRUP_EXPLAINED",
    "USUAL_CONTAINER",
    "USUAL_TARGETS",
    "Added",
    "Container",
    "Error",
    "Estimate",
    "Gravities",
    "Held",
    "LeftInBlend",
    "Moved",
    "Part",
    "Priming",
    "Put",
    "SealedToday",
    "Syrup",
    "alcohol_by_volume",
    "blend_figures",
    "carbonation_of",
    "estimated",
    "figures_of",
    "gravities_so_far",
    "held_at",
    "held_by",
    "held_by_gauge",
    "held_stated",
    "left_in_blend",
    "limit_bar_of",
    "most_g_l_of",
    "moved_of",
    "original_gravity",
    "points_g_l",
    "present_gravity",
    "priming_for",
    "ranges",
    "sealed_today",
    "strength_figures",
    "strength_so_far",
    "syrup_for",
]
