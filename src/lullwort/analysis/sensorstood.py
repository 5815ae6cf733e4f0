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
_LIVELY_SHARE = 0.25
# Beer does not rise, so that a sensor shows its noise by the share of hours in which it does. One that scatters by its
# own steps rises in more hours than this, and one that scatters by less repeats a beer at rest as whole points do.
_COARSE_HOURS, _FELL_BEFORE, _FALLS_AFTER = 12, 3.0, 9.0
# One that reports in whole points repeats a beer at rest for days. That it was not the beer shows by what came before,
# for no beer that falls by as much in so many hours, and as fast in either half of them, stands from one hour to the
# next, or by what comes after: none falls by as much within an hour, and no knock moves a float as far.
_WHOLE_AGAIN = 2
# Values after a run of which the first may still be half of it.


def sensor_stood(read: Sequence[CourseHour]) -> NDArray[np.bool_]:
    """Whether each of the hours with a gravity, in order of time, gives again what was reported before it, for so long
    that the sensor stood still and not the beer. The first that gave it may be believed. Each sensor is judged by its
    own hours.
    """
    stood = np.zeros(len(read), dtype=np.bool_)
    changed = [i for i in range(1, len(read)) if read[i].sensor != read[i - 1].sensor]
    for begin, end in zip([0, *changed], [*changed, len(read)], strict=True):
        if begin < end and read[end - 1].resolution:
            reported = np.array([hour.reported for hour in read[begin:end]], dtype=np.float64)
            stood[begin:end] = _stood(reported, read[end - 1].resolution)
    return stood


def _stood(reported: NDArray[np.float64], resolution: float) -> NDArray[np.bool_]:
    """Of one sensor that reports [SG] in steps of `resolution` [points]."""
    changes = np.flatnonzero(np.diff(reported, prepend=np.nan) != 0.0)
    lengths = np.diff(changes, append=len(reported))
    if resolution < _FINE_POINTS and _is_lively(reported, lengths):
        others = np.sort(lengths)[:-_MOST_STANDS]
        usual = float((others**2).sum() / others.sum()) if len(others) else 1.0  # of the run that an hour is in
        again = lengths >= max(_FINE_HOURS, _FINE_TIMES * usual)
    else:
        after = np.minimum(changes + lengths - 1 + _WHOLE_AGAIN, len(reported) - 1)
        earlier, before, last = (
            reported[np.maximum(changes - back, 0)] for back in (_COARSE_HOURS, _COARSE_HOURS // 2, 1)
        )
        fell = 2.0 * np.minimum(earlier - before, before - last)
        falls = reported[changes] - reported[after]
        again = (lengths >= _COARSE_HOURS) & ((1000.0 * fell > _FELL_BEFORE) | (1000.0 * falls > _FALLS_AFTER))
    stood = np.repeat(again, lengths)
    stood[changes] = False
    return stood


def _is_lively(reported: NDArray[np.float64], lengths: NDArray[np.int64]) -> bool:
    """Whether it scatters so much that no beer at rest is read alike for long, but where it stood."""
    told = len(reported) - int(np.sort(lengths)[-_MOST_STANDS:].sum())
    return int(np.count_nonzero(np.diff(reported) > 0.0)) > _LIVELY_SHARE * told
