"""Readings in time order, each key once: repeats are one, contradictions are none."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.records import VesselReadings
from lullwort.units import FloatArray

__all__ = ["SAME_DEGREES", "SAME_GRAVITY_SG", "SAME_TEMPERATURE_C", "Settled", "settle"]

SAME_GRAVITY_SG, SAME_TEMPERATURE_C, SAME_DEGREES = 1e-9, 1e-6, 1e-6
"""What is no difference between two reports of one instant: a value that was turned into another unit, written as text,
read and turned back is off by some rounding errors, and °P are solved for to 1e-8 °P, some 4e-11 SG. No sensor resolves
it."""


class Settled(NamedTuple):
    """Readings by (time, sensor), and how many keys were left out because their values contradict each other."""

    readings: VesselReadings
    conflicts: int


def settle(readings: VesselReadings) -> Settled:
    """Sort by (time, sensor); reports of one key that agree become one, others are all left out.

    Of raw readings, as they were reported: calibrating comes after. They agree where no two give the same quantity
    differently. What one leaves out is taken from another, and of values equal but for rounding the least.

    >>> from lullwort.records import Reading
    >>> a, b = Reading("s", "v", 1, 1.050, 20.0), Reading("s", "v", 1, 1.051, 20.0)
    >>> [(len(s.readings), s.conflicts) for s in (settle(VesselReadings.of(rows)) for rows in ([a, a], [a, b]))]
    [(1, 0), (0, 1)]
    """
    if np.all(np.diff(readings.at_us) > 0):
        return Settled(readings, 0)
    alphabetical = np.argsort(np.argsort(np.array(readings.sensors)))
    ordered = readings[np.lexsort((alphabetical[readings.sensor_codes], readings.at_us))]
    repeats = (np.diff(ordered.at_us) == 0) & (np.diff(ordered.sensor_codes) == 0)
    if not repeats.any():
        return Settled(ordered, 0)
    first = np.flatnonzero(np.concatenate([[True], ~repeats]))
    gravity, gravity_differs = _together(ordered.gravity, first, SAME_GRAVITY_SG)
    temp_c, temp_differs = _together(ordered.temperature_c, first, SAME_TEMPERATURE_C)
    contradicts, inclination = gravity_differs | temp_differs, None
    if ordered.inclination is not None:
        inclination, differs = _together(ordered.inclination, first, SAME_DEGREES)
        contradicts |= differs
    once = VesselReadings(
        ordered.sensors, ordered.sensor_codes[first], ordered.at_us[first], gravity, temp_c, inclination
    )
    return Settled(once[~contradicts], int(np.count_nonzero(contradicts)))


def _together(values: FloatArray, first: NDArray[np.int64], tolerance: float) -> tuple[FloatArray, NDArray[np.bool_]]:
    """For each key the least value given, NaN if none is, and whether others differ from it."""
    lowest, highest = np.fmin.reduceat(values, first), np.fmax.reduceat(values, first)
    return lowest, highest > lowest + tolerance
