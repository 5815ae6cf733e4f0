"""By how much a sensor reads more than before, for certain: beer does not rise while nothing is put in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lullwort.analysis import CourseHour
from lullwort.detector import Snapshot
from lullwort.packaging_day.mending import Mending
from lullwort.packaging_day.uncertain import SPREAD
from lullwort.records import HOUR_US, Batch
from lullwort.units import FloatArray

__all__ = ["may_rise_us", "risen_by_now", "rises"]

_HOURS = 12
_MAD_TO_SD, _LEFT_IN = 1.4826, 0.6
# Of a normal distribution; and what is left of the hours' scatter in the median of as many, where they wander together.


def may_rise_us(batch: Batch) -> list[int]:
    """[µs] After which the reading may be above what it was: something was put in, or pressure is, which is counted."""
    return sorted(event.at_us for event in batch.events if event.points or event.kind == "seal")


def rises(points: FloatArray, slack: FloatArray, parts: Sequence[int], right: int) -> tuple[FloatArray, FloatArray]:
    """[points] By which each is certain to lie above one before it, which may have been right, and those before
    `right` below one up to there, which was.

    Args:
        points: in order of time; NaN for what is not believed.
        slack: [points] by which each may be less or more for its scatter.
        parts: places from which on it may be above what was before.
        right: the place from which on the sensor was not compared any more; 0 where it never was.
    """
    above, below = np.zeros(len(points)), np.zeros(len(points))
    for part in np.split(np.arange(len(points)), sorted([*parts, right])):
        if not len(part):
            continue
        known = ~np.isnan(points[part])
        if part[0] >= right:
            least = np.minimum.accumulate(np.where(known, points[part] + slack[part], np.inf))
            above[part] = np.where(known, np.maximum(points[part] - least, 0.0), 0.0)
        else:
            most = np.maximum.accumulate(np.where(known, points[part] - slack[part], -np.inf)[::-1])[::-1]
            below[part] = np.where(known, np.maximum(most - points[part], 0.0), 0.0)
    return above, below


def risen_by_now(seen: Snapshot, hours: Sequence[CourseHour], mending: Mending, batch: Batch) -> float:
    """[points] By which gravity as it is told may be too much for that.

    Args:    hours: those with a gravity that tells anything, in order of time.
    """
    since_us = max([-1 if seen.sampled_us is None else seen.sampled_us, *may_rise_us(batch)])
    until_us = seen.at_us if seen.chilled is None else seen.chilled.at_us
    counted = [
        (hour.end_us, hour.points)
        for hour in hours
        if since_us < hour.end_us - HOUR_US
        and hour.end_us <= until_us
        and (hour.temperature_c is None or hour.temperature_c >= seen.yeast_min_c)
    ]
    if len(counted) <= _HOURS or (seen.chilled is None and seen.warm_gravity != seen.gravity):
        return 0.0
    ends_us = np.array([end_us for end_us, _ in counted], dtype=np.int64)
    gravities = mending.gravities(ends_us - HOUR_US, np.array([points for _, points in counted], dtype=np.float64))
    windows = np.lib.stride_tricks.sliding_window_view(gravities, _HOURS)
    middle = np.median(windows, axis=1)
    slack = SPREAD * _LEFT_IN * _MAD_TO_SD * np.median(np.abs(windows - middle[:, None]), axis=1)
    return float(max(middle[-1] - (middle + slack).min(), 0.0))
