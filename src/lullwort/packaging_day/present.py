"""What is known of a batch now as values with ranges: gravity at first, gravity now, strength so far."""

from __future__ import annotations

import math

from lullwort.detector import Snapshot
from lullwort.packaging_day.strength import Gravities, alcohol_by_volume
from lullwort.packaging_day.uncertain import Estimate, estimated
from lullwort.records import HOUR_US

__all__ = [
    "gravities_so_far",
    "gravity_known",
    "original_gravity",
    "present_gravity",
    "pressure_lift",
    "strength_so_far",
]

_BY_SENSOR_SD, _BY_SENSOR_COMMON_SD = 3.0, 2.4
"""[points] How far an original gravity may be off that only the sensor itself has read; and of that, what it reads
wrong at the end as well: the rest is scale, and a start not settled."""
_PRESSES_US = 12 * HOUR_US
# A step that comes within so long of a sealing is taken for its pressure's.


def original_gravity(now: Snapshot) -> Estimate | None:
    """[points] At pitch, additions included; None where it is not known."""
    return None if now.original is None else estimated(now.original, _original_sd(now))


def present_gravity(now: Snapshot) -> Estimate | None:
    """[points] Of the beer, the sensor mended; None before the first usable reading, once lost, and of one that
    repeats itself."""
    if now.gravity is None or now.lost or now.frozen:
        return None
    return gravity_known(now, now.gravity, pressure_lift(now), 0.0)


def gravity_known(now: Snapshot, points: float, less: float, more: float) -> Estimate:
    """`points` of the beer as the sensor has it, mended, with what may be wrong with that, and by how much [points] it
    may be `less` and `more` besides, see `Doubts`."""
    sd = math.hypot(now.level_sd, now.still_sd, now.drift_sd, now.hand_error_sd)
    value, low, high = estimated(points, sd)
    return Estimate(value, low - less, high + more)


def pressure_lift(now: Snapshot) -> float:
    """[points] By which gravity may be less, for pressure that may lift the reading; 0 unless the vessel is sealed, and
    by hand samples. What stepped up soon after the sealing was pressure, and is mended."""
    sealed = now.sealed
    if sealed is None or now.hand is not None:
        return 0.0
    mended = sum(
        shift.points
        for shift in now.shifts
        if shift.former is None and shift.points > 0.0 and 0 < shift.at_us - sealed.at_us <= _PRESSES_US
    )
    return max(sealed.lift - mended, 0.0) / now.scale


def gravities_so_far(now: Snapshot) -> Gravities | None:
    """Original gravity and that of the beer, of a chilled beer that before the cold, with how well each is known.

    Where both come through the sensor alone they share what is wrong with it. Where it was set right by a measured
    original gravity they share the error of that, too, but it counts as two: what it gives too much stands for drift.
    None where one is not known or may be another batch's.
    """
    if now.frozen or now.warm_gravity is None or now.original is None or now.split is not None:
        return None
    original_sd, final_sd = _original_sd(now), now.gravity_sd
    if now.original_measured and 0.0 < now.hand_error_sd <= original_sd:  # both were read with one instrument
        common_sd = now.hand_error_sd
        return Gravities(now.original, now.warm_gravity, _apart(original_sd, common_sd), final_sd, common_sd)
    by_sensor = not now.original_measured and now.offset == 0.0
    common_sd = min(_BY_SENSOR_COMMON_SD, final_sd) if by_sensor else 0.0
    return Gravities(
        now.original, now.warm_gravity, _apart(original_sd, common_sd), _apart(final_sd, common_sd), common_sd
    )


def strength_so_far(now: Snapshot) -> Estimate | None:
    """Alcohol by volume [%], of a chilled beer from its gravity before the cold.

    None where a gravity is not known, may be another batch's, or no formula covers it.
    """
    gravities = gravities_so_far(now)
    return None if gravities is None else alcohol_by_volume(*gravities)


def _apart(sd: float, common_sd: float) -> float:
    """What is left of `sd` beside what is common."""
    return float(max(sd**2 - common_sd**2, 0.0) ** 0.5)


def _original_sd(now: Snapshot) -> float:
    return now.original_sd if now.original_measured else _BY_SENSOR_SD
