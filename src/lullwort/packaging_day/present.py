"""What is known of a batch now as values with ranges: gravity at first, gravity now, strength so far."""

from __future__ import annotations

import math

from lullwort.detector import Snapshot
from lullwort.packaging_day.strength import SPREAD, Estimate, alcohol_by_volume

__all__ = ["original_gravity", "present_gravity", "strength_so_far"]

_MEASURED_SD, _BY_SENSOR_SD = 0.5, 3.0
"""[points] How far an original gravity may be off: read by hand, or only by the sensor itself."""


def original_gravity(now: Snapshot) -> Estimate | None:
    """[points] At pitch, additions included; None where it is not known."""
    return None if now.original is None else _estimate(now.original, _original_sd(now))


def present_gravity(now: Snapshot) -> Estimate | None:
    """[points] Of the beer, the sensor mended; None before the first usable reading, and once lost."""
    if now.gravity is None or now.lost:
        return None
    return _estimate(now.gravity, math.hypot(now.gravity_sd, now.hand_error_sd))


def strength_so_far(now: Snapshot) -> Estimate | None:
    """Alcohol by volume [%], of a chilled beer from its gravity before the cold.

    None where a gravity is not known, may be another batch's, or no formula covers it.
    """
    if now.warm_gravity is None or now.original is None or now.split is not None:
        return None
    return alcohol_by_volume(now.original, now.warm_gravity, _original_sd(now), now.gravity_sd)


def _original_sd(now: Snapshot) -> float:
    return _MEASURED_SD if now.original_measured else _BY_SENSOR_SD


def _estimate(points: float, sd: float) -> Estimate:
    return Estimate(points, points - SPREAD * sd, points + SPREAD * sd)
