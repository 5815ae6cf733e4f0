"""The fall of one batch as a curve that only falls: what a log shows without its wild hours, steps, foam and rises."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis import CourseHour
from lullwort.detector import StartLevel
from lullwort.records import HOUR_US, Event
from lullwort.units import FloatArray

__all__ = ["FallCurve"]

_MIDDLE_OF_H = 7
_AROUND_H = 25
_STEP_POINTS, _STEP_SDS, _LARGEST_STEP = 1.5, 6.0, 9.0
_STEP_LASTS_H, _STAYS_SHARE, _BESIDE_H = 4, 0.6, 9
_NEXT_H = 2.0
# A step is told from a fall by its suddenness: over a longer silence it cannot be.
_STAYS_H = 6.0
_FROZEN_H = 5
_MIXING_H = 6


@dataclass(frozen=True, eq=False)
class FallCurve:
    """Gravity as the sensor reads it, against hours since the pitch; arrays of one length, 1 or more.

    Sudden steps are taken out, whatever made them, and so is what was put in from its instant on: the curve counts what
    has fallen in all. Its own start level and its own end are therefore what it is to be measured by.

    Attributes:
        hours:  [h] middle of each hour that had a value.
        values: [points] with the steps taken out.
        points: [points] the curve, which never rises.
        start:  [points] at which the sensor read the wort; None where that is not known.
        start_steady: whether it stood still there.
    """

    hours: FloatArray
    values: FloatArray
    points: FloatArray
    start: float | None
    start_steady: bool

    @classmethod
    def of(cls, course: Iterable[CourseHour], events: Sequence[Event], pitched_us: int) -> FallCurve | None:
        """The curve of a batch by its hours and what was put in; None where no hour has a value."""
        seen = [(hour.end_us, hour.points) for hour in course if hour.points is not None]
        if not seen:
            return None
        ends_us, values = np.array([end_us for end_us, _ in seen]), np.array([points for _, points in seen])
        moving = ~_frozen(values)
        ends_us, values = ends_us[moving], values[moving]
        hours = (ends_us - pitched_us) / HOUR_US - 0.5
        start = StartLevel()
        for hour, value in zip(hours.tolist(), values.tolist(), strict=True):
            start.hour(value, hour + 0.5)
        mixing = np.zeros(len(hours), dtype=np.bool_)
        for event in events:
            if event.points is not None:
                values = values - np.where(ends_us - HOUR_US >= event.at_us, event.points, 0.0)
                mixing |= np.abs(ends_us - event.at_us) < _MIXING_H * HOUR_US
        values = _without_steps(hours, values, mixing)
        middle = _running_median(hours, values, _MIDDLE_OF_H)
        if start.points is not None:
            middle = np.minimum(middle, start.points)  # a float that has yet to come to rest reads high
        return cls(hours, values, _never_rising(middle), start.points, start.steady)

    def at(self, hour: float) -> float:
        """[points] at `hour` [h since pitch], between its first and its last."""
        return float(np.interp(hour, self.hours, self.points))

    def reaches(self, level: float) -> float | None:
        """[h since pitch] When it falls to `level` [points]; None if it has not for some hours yet, or began there."""
        below = np.flatnonzero(self.points <= level)
        if not len(below) or below[0] == 0 or self.hours[-1] - self.hours[below[0]] < _STAYS_H:
            return None
        i = int(below[0])
        above, under = self.points[i - 1], self.points[i]
        share = 1.0 if above == under else (above - level) / (above - under)
        return float(self.hours[i - 1] + share * (self.hours[i] - self.hours[i - 1]))

    def silent_h(self, from_h: float, to_h: float | None = None) -> float:
        """[h] The longest silence that touches the time from `from_h` to `to_h`, or that instant."""
        gaps = np.diff(self.hours)
        touching = (self.hours[1:] >= from_h) & (self.hours[:-1] <= (from_h if to_h is None else to_h))
        return float(gaps[touching].max(initial=0.0))

    def noise(self, from_h: float, to_h: float) -> float:
        """[points] Standard deviation of the values about the curve in that time, told by their middle half."""
        within = (self.hours >= from_h) & (self.hours <= to_h)
        return _spread((self.values - self.points)[within]) if within.any() else 0.0


def _spread(values: FloatArray) -> float:
    return float(1.4826 * np.median(np.abs(values - np.median(values))))


def _windows(values: FloatArray, length: int) -> FloatArray:
    """Each value with its neighbours, a copy of shape (n, length); beyond the ends there is NaN."""
    half = length // 2
    padded = np.concatenate([np.full(half, np.nan), values, np.full(half, np.nan)])
    return np.lib.stride_tricks.sliding_window_view(padded, length).copy()


def _running_median(hours: FloatArray, values: FloatArray, length: int) -> FloatArray:
    """Median of the values within half of `length` hours of each."""
    near = np.abs(_windows(hours, length) - hours[:, None]) <= length / 2
    return np.asarray(np.nanmedian(np.where(near, _windows(values, length), np.nan), axis=1))


def _frozen(values: FloatArray) -> NDArray[np.bool_]:
    """Which hours only repeat the one before, in a run that ends with a jump: the beer moved, and nobody saw it."""
    frozen = np.zeros(len(values), dtype=np.bool_)
    begins = np.flatnonzero(np.diff(values, prepend=np.inf) != 0.0)
    for begin, end in pairwise([*begins.tolist(), len(values)]):
        if end - begin >= _FROZEN_H and end < len(values) and abs(values[end] - values[begin]) > _STEP_POINTS:
            frozen[begin + 1 : end] = True
    return frozen


def _without_steps(hours: FloatArray, values: FloatArray, mixing: NDArray[np.bool_]) -> FloatArray:
    """The values with each sudden lasting step taken off from where it came, except `mixing`."""
    if len(values) < 2 * _STEP_LASTS_H:
        return values
    apart, rises = np.diff(hours), np.diff(values)
    around = _windows(rises / apart, _AROUND_H)
    usual = np.nanmedian(around, axis=1)
    scatter = 1.4826 * np.nanmedian(np.abs(around - usual[:, None]), axis=1)
    jumps = rises - usual * apart
    sizes = np.abs(jumps)
    beside = _windows(sizes, _BESIDE_H)
    beside[:, _BESIDE_H // 2] = 0.0
    sudden = sizes > np.maximum(np.maximum(_STEP_POINTS, _STEP_SDS * scatter), 2.0 * np.nanmax(beside, axis=1))
    mended = values.copy()
    for i in np.flatnonzero(sudden & (sizes <= _LARGEST_STEP) & (apart <= _NEXT_H) & ~mixing[1:]).tolist():
        before, after = values[max(0, i + 1 - _STEP_LASTS_H) : i + 1], values[i + 1 : i + 1 + _STEP_LASTS_H]
        stays = np.median(after) - np.median(before) - usual[i] * _STEP_LASTS_H
        if stays / jumps[i] > _STAYS_SHARE:
            mended[i + 1 :] -= jumps[i]
    return mended


def _never_rising(values: FloatArray) -> FloatArray:
    """The curve that never rises and lies nearest to the values by least squares: neighbours that rise are pooled."""
    means: list[float] = []
    counts: list[int] = []
    for value in values.tolist():
        means.append(value)
        counts.append(1)
        while len(means) > 1 and means[-2] < means[-1]:
            mean, count = means.pop(), counts.pop()
            means[-1] = (means[-1] * counts[-1] + mean * count) / (counts[-1] + count)
            counts[-1] += count
    return np.repeat(means, counts)
