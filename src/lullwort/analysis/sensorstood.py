"""Hours in which a sensor repeated itself, so that what it read then says nothing of the beer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis.course import CourseHour

__all__ = ["sensor_stood"]

_FINE_POINTS, _FINE_HOURS = 0.45, 9
# Of a sensor in health: medians of so many hours all agree to the last place once in a hundred batches.
_COARSE_HOURS, _COARSE_POINTS = 12, 9.0
# One that reports in whole points repeats a beer at rest for days. That it was not the beer shows by what comes next: no
# beer falls by as much within an hour, and no knock moves a float as far.


def sensor_stood(read: Sequence[CourseHour]) -> NDArray[np.bool_]:
    """Whether each of the hours with a gravity, in order of time, gives again what was reported before it, for so long that
    the sensor stood still and not the beer. The first that gave it may be believed.
    """
    if not read or not read[-1].resolution:
        return np.zeros(len(read), dtype=np.bool_)
    reported = np.array([hour.reported for hour in read], dtype=np.float64)
    changes = np.flatnonzero(np.diff(reported, prepend=np.nan) != 0.0)
    lengths = np.diff(changes, append=len(read))
    if read[-1].resolution < _FINE_POINTS:
        again = lengths >= _FINE_HOURS
    else:
        values = 1000.0 * reported[changes]
        again = (lengths >= _COARSE_HOURS) & (values - np.append(values[1:], values[-1:]) > _COARSE_POINTS)
    stood = np.repeat(again, lengths)
    stood[changes] = False
    return stood
