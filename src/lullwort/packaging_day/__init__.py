"""Packaging day's sums: what the beer holds, and what it would do in a sealed bottle."""

from __future__ import annotations

from lullwort.packaging_day.bottle import SealedToday, sealed_today
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
from lullwort.packaging_day.uncertain import SPREAD, Error, Estimate, ranges

__all__ = [
    "ENERGY_ML",
    "SPREAD",
    "Added",
    "Error",
    "Estimate",
    "Gravities",
    "Put",
    "SealedToday",
    "alcohol_by_volume",
    "figures_of",
    "gravities_so_far",
    "original_gravity",
    "present_gravity",
    "ranges",
    "sealed_today",
    "strength_figures",
    "strength_so_far",
]
