"""How strong a batch is so far, in a sentence."""

from __future__ import annotations

from lullwort.detector import Snapshot, Units
from lullwort.packaging_day.uncertain import Estimate

__all__ = ["strength_says"]


def strength_says(strength: Estimate | None, now: Snapshot, units: Units) -> str:
    """Alcohol by volume with its range, and the gravities that it comes from; empty where they are not known.

    Args:    strength: of what `now` knows, see `strength_so_far`.
    """
    if strength is None or now.warm_gravity is None or now.original is None:
        return ""
    before = "" if now.warm_gravity == now.gravity else " as it was before the cold"
    value, low, high = (units.number(percent, 1) for percent in strength)
    return (
        f"Strength so far {value} % by volume ({low} to {high}), from {units.level(now.original, 3)} to "
        f"{units.level(now.warm_gravity, 4)}{before}."
    )
