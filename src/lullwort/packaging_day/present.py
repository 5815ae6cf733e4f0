"""What is known of a batch now as values with ranges: gravity at first, gravity now, strength so far."""

from __future__ import annotations

from lullwort.detector import Snapshot
from lullwort.packaging_day.strength import Estimate, alcohol_by_volume, estimated

__all__ = ["original_gravity", "present_gravity", "strength_so_far"]

_BY_SENSOR_SD = 3.0
"""[points] How far an original gravity may be off that only the sensor itself has read."""


def original_gravity(now: Snapshot) -> Estimate | None:
    """[points] At pitch, additions included; None where it is not known."""
    return None if now.original is None else estimated(now.original, _original_sd(now))


def present_gravity(now: Snapshot) -> Estimate | None:
    """[points] Of the beer, the sensor's offset taken off; None before the first usable reading, and once lost."""
    return None if now.gravity is None or now.lost else estimated(now.gravity, now.gravity_sd)


def strength_so_far(now: Snapshot) -> Estimate | None:
    """Alcohol by volume [%], of a chilled beer from its gravity before the cold.

    None where a gravity is not known, may be another batch's, or no formula covers it.
    """
    if now.warm_gravity is None or now.original is None or now.split is not None:
        return None
    return alcohol_by_volume(now.original, now.warm_gravity, _original_sd(now), now.gravity_sd)


def _original_sd(now: Snapshot) -> float:
    return now.original_sd if now.original_measured else _BY_SENSOR_SD
