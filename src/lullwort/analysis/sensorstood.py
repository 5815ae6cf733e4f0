"""Hours in which a sensor repeated itself, so that what it read then says nothing of the beer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis.course import CourseHour

__all__ = ["sensor_stood"]

_FINE_POINTS, _FINE_HOURS, _FINE_TIMES, _MOST_STANDS = 0.45, 9, 4.0, 2
# Medians of so many hours of an invented sensor in health all agree to the last place once in a hundred batches. One
# that is stiller than those shows it all the time: so as many times longer than its other runs, but for the longest
# ones.
_COARSE_HOURS, _FELL_BEFORE, _FALLS_AFTER = 12, 3.0, 9.0
# One that reports in whole points repeats a beer at rest for days. That it was not the beer shows by what came before,
# for no beer that falls by as much in so many hours, and as fast in either half of them, stands from one hour to the
# next, or by what comes after: none falls by as much within an hour, and no knock moves a float as far.
_WHOLE_AGAIN = 2
# Values after a run of which the first may still be half of it.


def sensor_stood(read: Sequence[CourseHour]) -> NDArray[np.bool_]:
    """Whether each of the hours with a gravity, in order of time, gives again what was reported before it, for so long
    that the sensor stood still and not the beer. The first that gave it may be believed.
    """
    if not read or not read[-1].resolution:
        return np.zeros(len(read), dtype=np.bool_)
    reported = np.array([hour.reported for hour in read], dtype=np.float64)
    changes = np.flatnonzero(np.diff(reported, prepend=np.nan) != 0.0)
    lengths = np.diff(changes, append=len(read))
    if read[-1].resolution < _FINE_POINTS:
        others = np.sort(lengths)[:-_MOST_STANDS]
        usual = float((others**2).sum() / others.sum()) if len(others) else 1.0  # of the run that an hour is in
        again = lengths >= max(_FINE_HOURS, _FINE_TIMES * usual)
    else:
        after = np.minimum(changes + lengths - 1 + _WHOLE_AGAIN, len(read) - 1)
        earlier, before, last = (
            reported[np.maximum(changes - back, 0)] for back in (_COARSE_HOURS, _COARSE_HOURS // 2, 1)
        )
        fell = 2.0 * np.minimum(earlier - before, before - last)
        falls = reported[changes] - reported[after]
        again = (lengths >= _COARSE_HOURS) & ((1000.0 * fell > _FELL_BEFORE) | (1000.0 * falls > _FALLS_AFTER))
    stood = np.repeat(again, lengths)
    stood[changes] = False
    return stood
