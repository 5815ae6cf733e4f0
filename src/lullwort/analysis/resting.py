"""The pieces of a log in which the beer rests, so that what moves with temperature is the sensor's own doing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from lullwort.analysis.course import CourseHour
from lullwort.analysis.trend import Trend
from lullwort.records import HOUR_US, Event
from lullwort.units import FloatArray

__all__ = ["Piece", "resting_pieces"]

_OVER_H = 36
# So long the main fall must be over: what follows soon after it bends too much.
_LEAST_H, _LONGEST_H, _GAP_H = 30, 240, 24
_SPREAD_K, _RAMP_K = 0.5, 2.0
_DISTURBS_H = {"dry hop": 96, "addition": 96, "rouse": 24, "moved": 1}
# [h] after which what was done lies no longer on the sensor, or ferments.
_SAME_H, _SAME_SPAN = 8, 8.0


class Piece(NamedTuple):
    """Hours of one sensor in resting beer while temperature moved, arrays of one length.

    `hours` [h since 1970] ascending, `points` corrected for temperature, `temp_c` [°C]; `resolution` [points] the steps
    in which the sensor reports, 0 where not known.
    """

    sensor: str
    hours: FloatArray
    points: FloatArray
    temp_c: FloatArray
    resolution: float


def resting_pieces(course: Sequence[CourseHour], events: Sequence[Event]) -> Iterator[Piece]:
    """Every piece from which an answer to temperature may be learned, in order of time.

    Args:    course: hours of one batch in order of time. events: of the same batch.
    """
    run: list[CourseHour] = []
    for hour in _usable(course, events):
        if run and (hour.sensor != run[-1].sensor or _parted(run[-1].end_us, hour.end_us, events)):
            yield from _pieces(run)
            run = []
        run.append(hour)
    yield from _pieces(run)


def _usable(course: Sequence[CourseHour], events: Sequence[Event]) -> Iterator[CourseHour]:
    """Hours with all that is needed, once the main fall is over, not disturbed, not of a sensor that stands still."""
    sealed_us = min((event.at_us for event in events if event.kind == "seal"), default=None)
    pinned = _pinned(course)
    for hour, rests in zip(course, _rests(course), strict=True):
        if sealed_us is not None and hour.end_us > sealed_us:
            return  # pressure moves with temperature, and the reading with it
        if not rests or hour.points is None or hour.temperature_c is None or hour.end_us in pinned:
            continue
        if any(0 < hour.end_us - e.at_us < _DISTURBS_H.get(e.kind, 0) * HOUR_US for e in events):
            continue
        yield hour


def _rests(course: Sequence[CourseHour]) -> Iterator[bool]:
    """For each hour whether the main fall has been over for long; what the cold shows later does not undo that."""
    trend, over_h, rests = Trend(), 0, False
    temp_c, end_us = None, None
    for hour in course:
        missed = 0 if end_us is None else min((hour.end_us - end_us) // HOUR_US - 1, _LONGEST_H)
        for _ in range(missed):
            trend.hour(None, 1.0, 0.0)
        moved_k = 0.0 if temp_c is None or hour.temperature_c is None else abs(hour.temperature_c - temp_c)
        trend.hour(hour.points, 1.0, moved_k)
        over_h = 0 if trend.in_main_fall else over_h + 1 + missed
        rests = rests or over_h >= _OVER_H
        temp_c, end_us = hour.temperature_c, hour.end_us
        yield rests


def _pinned(course: Sequence[CourseHour]) -> set[int]:
    """Ends of the hours in which gravity, as reported, stood while temperature moved too much for that, or for days."""
    found: set[int] = set()
    run: list[CourseHour] = []
    for hour in [*(h for h in course if h.reported is not None), None]:
        if run and (hour is None or hour.reported != run[-1].reported):
            temps = [h.temperature_c for h in run if h.temperature_c is not None]
            moved_k = max(temps) - min(temps) if temps else 0.0
            fine = run[-1].resolution < 0.5
            if len(run) >= _SAME_H and (fine or moved_k >= _SAME_SPAN * run[-1].resolution):
                found.update(h.end_us for h in run)
            run = []
        if hour is not None:
            run.append(hour)
    return found


def _parted(before_us: int, end_us: int, events: Sequence[Event]) -> bool:
    return end_us - before_us > _GAP_H * HOUR_US or any(
        before_us < event.at_us <= end_us and event.kind in _DISTURBS_H for event in events
    )


def _pieces(run: Sequence[CourseHour]) -> Iterator[Piece]:
    """A run cut into equal pieces no longer than may be worked out at once, those left out that teach nothing."""
    if not run or run[0].sensor is None:
        return
    hours = np.array([hour.end_us / HOUR_US for hour in run])
    points, temp_c = (np.array([hour[column] for hour in run], dtype=float) for column in (1, 2))
    count = int((hours[-1] - hours[0]) // _LONGEST_H) + 1
    which = np.minimum(((hours - hours[0]) * count / (hours[-1] - hours[0] + 1.0)).astype(int), count - 1)
    for number in range(count):
        of = which == number
        if np.count_nonzero(of) >= _LEAST_H and _moves(temp_c[of]):
            yield Piece(run[0].sensor, hours[of], points[of], temp_c[of], run[-1].resolution)


def _moves(temp_c: FloatArray) -> bool:
    return bool(np.std(temp_c) > _SPREAD_K or np.ptp(temp_c) > _RAMP_K)
