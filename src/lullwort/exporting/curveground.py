"""What a picture of one batch rests on, whatever its units: gravities and temperatures hour by hour, in columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis import CourseHour, sensor_stood
from lullwort.exporting.curveheld import HeldStill, proved_still
from lullwort.packaging_day import Mending, SheetFacts, may_rise_us, mending_of
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["CurveGround", "Present", "curve_ground", "runs", "smooth_runs"]

_DAY_US = 24 * HOUR_US
_MEDIAN_H, _MEAN_H = 7, 9
_ONE_SIDED_H = 8
# So many hours before an end of the line the two of them have no hour after it to look at.
_SILENT_D = 0.25
# A line over a longer silence would show what nobody saw.
_BEYOND_POINTS = 6.0
# So far beyond all else a lone wild hour may stretch the picture.
_COLD_H = 6
# For a shorter time a beer is not chilled through.


class Present(NamedTuple):
    """The newest gravity [points] that is believed, with its range, as all words of the batch have it, on `day` [d
    since pitch]."""

    day: float
    points: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class CurveGround:
    """One batch over days since the pitch.

    Attributes:
        days, points, smooth: each hour with a gravity [points], the sensor mended; as it came and smoothed. The newest
            that is believed is what the words have, and the hours before it lead there.
        believed: of each whether it is; not what was read in the cold, where the sensor's own error grows, nor what it
            repeated.
        repeated: of each whether the sensor only repeated itself.
        parts:    between silences, and where the sensor stood, its reading shifted, something was put in or the vessel
            was sealed; what is smoothed together.
        mending:  by which their gravities were made.
        leads:    of each from 0 to 1 how far it was led towards `present`.
        present:  None where the words have none by the sensor.
        wild:     hours that are left out, for they lie far beyond all else.
        temp_days, temps_c: each hour with a temperature.
        held:     by which it was proved, in points.
    """

    days: FloatArray
    points: FloatArray
    smooth: FloatArray
    believed: NDArray[np.bool_]
    repeated: NDArray[np.bool_]
    parts: tuple[slice, ...]
    mending: Mending
    leads: FloatArray
    present: Present | None
    wild: int
    temp_days: FloatArray
    temps_c: FloatArray
    held: HeldStill | None


def runs(days: FloatArray) -> Iterator[slice]:
    """The parts of `days`, in order of time, without a long silence in any.

    >>> list(runs(np.array([0.0, 0.1, 3.0])))
    [slice(0, 2, None), slice(2, 3, None)]
    """
    breaks = [0, *(np.flatnonzero(np.diff(days) > _SILENT_D) + 1).tolist(), len(days)]
    yield from (slice(begin, end) for begin, end in pairwise(breaks) if end > begin)


def smooth_runs(days: FloatArray, believed: NDArray[np.bool_]) -> Iterator[tuple[slice, bool]]:
    """The parts of `runs`, where they change from believed to not and back told apart; what is not begins and ends at
    its believed neighbours.

    >>> list(smooth_runs(np.array([0.0, 0.1, 0.2, 0.3, 3.0]), np.array([True, True, False, True, True])))
    [(slice(0, 2, None), True), (slice(1, 4, None), False), (slice(3, 4, None), True), (slice(4, 5, None), True)]
    """
    for run in runs(days):
        turns = (np.flatnonzero(np.diff(believed[run])) + run.start + 1).tolist()
        for begin, end in pairwise([run.start, *turns, run.stop]):
            if believed[begin]:
                yield slice(begin, end), True
            else:
                yield slice(max(begin - 1, run.start), min(end + 1, run.stop)), False


def curve_ground(facts: SheetFacts, course: Sequence[CourseHour]) -> CurveGround:
    """The columns.

    Args:    course: hours up to the same instant, see `hourly_course`.
    """
    columns = np.array([(hour.end_us, hour.temperature_c) for hour in course], dtype=np.float64)
    ends_us, temps_c = columns.reshape(-1, 2).T
    all_days, warm = (ends_us - facts.batch.pitched_us) / _DAY_US, ~np.isnan(temps_c)
    temp_days, temps_c = all_days[warm], temps_c[warm]
    read = _read(course, facts)
    days = (read.ends_us - facts.batch.pitched_us) / _DAY_US
    parts = tuple(_parts(days, read))
    smooth, leads, present = _smooth(parts, read.points), np.zeros(len(days)), _present(facts)
    if present is not None and len(days):
        newest = int(np.searchsorted(days, present.day + 1e-9)) - 1
        part = next((each for each in parts if each.start <= newest < each.stop), None)
        if part is not None and not read.repeated[newest]:
            leads[part] = np.clip(1.0 - (days[newest] - days[part]) * 24.0 / _ONE_SIDED_H, 0.0, 1.0)
            leads[newest + 1 :] = 0.0
            smooth = smooth + leads * (present.points - smooth[newest])
    believed = _believed(days, temp_days, temps_c, facts) & ~read.repeated
    held = proved_still(facts, course)
    return CurveGround(
        days, read.points, smooth, believed, read.repeated, parts, read.mending, leads, present, read.wild,
        temp_days, temps_c, held,
    )  # fmt: skip


class _Read(NamedTuple):
    """Hours with a gravity [points], and how many wild ones are not among them; the rest as in `CurveGround`."""

    ends_us: NDArray[np.int64]
    points: FloatArray
    repeated: NDArray[np.bool_]
    shifts: NDArray[np.int64]
    mending: Mending
    wild: int


def _read(course: Sequence[CourseHour], facts: SheetFacts) -> _Read:
    hours = [hour for hour in course if hour.points is not None]
    ends_us = np.array([hour.end_us for hour in hours], dtype=np.int64)
    mending, again = mending_of(facts.seen, ends_us), sensor_stood(hours)
    points = mending.gravities(ends_us - HOUR_US, np.array([hour.points for hour in hours], dtype=np.float64))
    usual = np.ones(len(points), dtype=np.bool_)
    if len(points):
        even = _median(points)
        usual = (points > even.min() - _BEYOND_POINTS) & (points < even.max() + _BEYOND_POINTS)
    ends_us = ends_us[usual]
    put_in_us = (at_us // HOUR_US * HOUR_US for at_us in may_rise_us(facts.batch))
    steps_us = np.array(sorted([*mending.from_us.tolist(), *facts.doubts.steps_us, *put_in_us]), dtype=np.int64)
    shifts = np.searchsorted(steps_us, ends_us - HOUR_US, side="right")
    return _Read(ends_us, points[usual], again[usual], shifts, mending, int(np.count_nonzero(~usual)))


def _parts(days: FloatArray, read: _Read) -> Iterator[slice]:
    turns = np.flatnonzero(np.diff(read.repeated) | (np.diff(read.shifts) > 0)) + 1
    for run in runs(days):
        within = turns[(turns > run.start) & (turns < run.stop)].tolist()
        yield from (slice(begin, end) for begin, end in pairwise([run.start, *within, run.stop]))


def _smooth(parts: Sequence[slice], values: FloatArray) -> FloatArray:
    smooth = np.array(values)
    for part in parts:
        smooth[part] = _windows(_median(values[part]), _MEAN_H).mean(axis=1)
    return smooth


def _median(values: FloatArray) -> FloatArray:
    """Median of each hour and its neighbours, which keeps the level of a shoulder and drops lone hours."""
    return np.asarray(np.sort(_windows(values, _MEDIAN_H), axis=1)[:, _MEDIAN_H // 2])


def _windows(values: FloatArray, length: int) -> FloatArray:
    padded = np.pad(values, length // 2, mode="edge")
    return np.lib.stride_tricks.sliding_window_view(padded, length)


def _present(facts: SheetFacts) -> Present | None:
    """Of a chilled beer what it was before the cold. One that was proved stood so at its proof, hours before."""
    seen = facts.seen
    at_us = seen.at_us if seen.chilled is None else seen.chilled.at_us
    proved_before = seen.chilled is None and seen.warm_gravity != seen.gravity
    if seen.hand is not None or seen.warm_gravity is None or facts.gravity is None or proved_before:
        return None
    return Present((at_us - facts.batch.pitched_us) / _DAY_US, *facts.gravity)


def _believed(days: FloatArray, temp_days: FloatArray, temps_c: FloatArray, facts: SheetFacts) -> NDArray[np.bool_]:
    """All but the cold that hides what the beer does now, and the times before in which it was too cold for its yeast
    for hours on end."""
    believed, seen = np.ones(len(days), dtype=np.bool_), facts.seen
    cold_us = None
    if seen.chilled is not None:
        cold_us = seen.chilled.at_us
    elif seen.hand is None and seen.warm_gravity not in (None, seen.gravity):  # it was proved before the cold
        cold_us = seen.since_us["warm enough"]
    if cold_us is not None:
        believed &= days <= (cold_us - facts.batch.pitched_us) / _DAY_US + 1e-9
    edges = np.flatnonzero(np.diff(temps_c < seen.yeast_min_c, prepend=False, append=False))
    for begin, end in edges.reshape(-1, 2).tolist():
        if end - begin >= _COLD_H and end < len(temps_c):  # of what is cold now the detector has judged above
            believed &= (days < temp_days[begin]) | (days >= temp_days[end])
    return believed
