"""Packaging day's sums: what the beer holds, and what it would do in a sealed bottle."""

from __future__ import annotations

from lullwort.packaging_day.bottle import SealedToday, sealed_today
from lullwort.packaging_day.present import original_gravity, present_gravity, strength_so_far
from lullwort.packaging_day.strength import Estimate, alcohol_by_volume, estimated

__all__ = [
    "Estimate",
    "SealedToday",
    "alcohol_by_volume",
    "estimated",
    "original_gravity",
    "present_gravity",
    "sealed_today",
    "strength_so_far",
]
