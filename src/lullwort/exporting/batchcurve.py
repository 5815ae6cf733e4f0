"""What a picture of one batch shows: its hours, smoothed and as they came, its samples, events and temperature."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from lullwort.analysis import CourseHour
from lullwort.detector import Units
from lullwort.packaging_day import SPREAD, SheetFacts
from lullwort.records import HOUR_US, Event
from lullwort.science import from_sg
from lullwort.units import FloatArray, from_celsius

__all__ = ["BatchCurve", "HeldStill", "SampleMark", "Tick", "batch_curve", "gravities_shown", "runs"]

_DAY_US = 24 * HOUR_US
_MEDIAN_H, _MEAN_H = 7, 9
_SILENT_D = 0.25
# A line over a longer silence would show what nobody saw.
_BEYOND_POINTS = 6.0
# So far beyond all else a lone wild hour may stretch the picture.
_LEAST_SG, _MOST_SG = 0.97, 1.2


class SampleMark(NamedTuple):
    """A sample on `day` [d since pitch]: its gravity and the range that holds it in 9 of 10 cases."""

    day: float
    gravity: float
    low: float
    high: float


class Tick(NamedTuple):
    """Something done on `day` [d since pitch]: its `mark` in the list of events, empty where it has none, and what."""

    day: float
    mark: str
    says: str


class HeldStill(NamedTuple):
    """From when to when [d since pitch] gravity held between `low` and `high`, by which `ready` was proved."""

    from_day: float
    to_day: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class BatchCurve:
    """One batch in the brewer's units, over days since the pitch.

    Attributes:
        pitched_us: [µs].
        from_day, to_day: [d] what the picture spans.
        days, hourly, smooth: each hour with a gravity, the sensor mended; as it came and smoothed.
        points, smooth_points: [points] the same.
        wild:     hours that are left out, for they lie far beyond all else.
        temp_days, temps: each hour with a temperature.
        expected: lowest and highest gravity at which it should end.
        yeast_min: [the brewer's degrees] below which its yeast sleeps, where that was entered.
    """

    pitched_us: int
    from_day: float
    to_day: float
    days: FloatArray
    hourly: FloatArray
    smooth: FloatArray
    points: FloatArray
    smooth_points: FloatArray
    wild: int
    temp_days: FloatArray
    temps: FloatArray
    samples: tuple[SampleMark, ...]
    ticks: tuple[Tick, ...]
    held: HeldStill | None
    expected: tuple[float, float] | None
    yeast_min: float | None


def runs(days: FloatArray) -> Iterator[slice]:
    """The parts of `days`, in order of time, without a long silence in any.

    >>> list(runs(np.array([0.0, 0.1, 3.0])))
    [slice(0, 2, None), slice(2, 3, None)]
    """
    breaks = [0, *(np.flatnonzero(np.diff(days) > _SILENT_D) + 1).tolist(), len(days)]
    yield from (slice(begin, end) for begin, end in pairwise(breaks) if end > begin)


def batch_curve(
    facts: SheetFacts, marks: Mapping[Event, str], course: Sequence[CourseHour], units: Units
) -> BatchCurve | None:
    """The picture's content; None where neither sensor nor sample has given a gravity.

    Args:
        marks: of the events that are to be ticked; samples are drawn in any case.
        course: hours up to the same instant, see `hourly_course`.
    """
    batch, pitched_us = facts.batch, facts.batch.pitched_us
    samples = tuple(_samples(facts, units))
    days, points, wild = _hourly(facts, course)
    held = _held(facts, days, points)
    if not len(days) and not samples:
        return None
    temp_days, temps = _temperatures(course, pitched_us, units)
    last_us = min(facts.as_of_us, facts.as_of_us if batch.packaged_us is None else batch.packaged_us)
    seen_days = [0.0, *(mark.day for mark in samples)]
    expected = facts.seen.expected
    smooth_points = _smooth(days, points)
    return BatchCurve(
        pitched_us=pitched_us,
        from_day=min(seen_days),
        to_day=max((last_us - pitched_us) / _DAY_US, *seen_days, 1.0),
        days=days,
        hourly=gravities_shown(points, units),
        smooth=gravities_shown(smooth_points, units),
        points=points,
        smooth_points=smooth_points,
        wild=wild,
        temp_days=temp_days,
        temps=temps,
        samples=samples,
        ticks=tuple(_ticks(facts, marks)),
        held=held and held._replace(low=_gravity(held.low, units), high=_gravity(held.high, units)),
        expected=None if expected is None else (_gravity(expected.low, units), _gravity(expected.high, units)),
        yeast_min=None if batch.yeast_min_c is None else float(from_celsius(batch.yeast_min_c, units.temperature)),
    )


def gravities_shown(points: FloatArray, units: Units) -> FloatArray:
    """Gravities [points] in the brewer's unit; of those beyond all beer the last that there is."""
    if units.gravity == "plato":
        return np.interp(points, *_plato_table())
    return np.asarray(from_sg(np.clip(1.0 + points / 1000.0, _LEAST_SG, _MOST_SG), units.gravity))


@cache
def _plato_table() -> tuple[FloatArray, FloatArray]:
    """Points, a tenth apart, and their °P: between two of them a line is off by less than 0.0001 °P. To solve for each
    of thousands of readings would take longer than to draw them."""
    points = np.linspace(1000.0 * (_LEAST_SG - 1.0), 1000.0 * (_MOST_SG - 1.0), 2301)
    return points, np.asarray(from_sg(1.0 + points / 1000.0, "plato"))


def _gravity(points: float, units: Units) -> float:
    return float(gravities_shown(np.array([points]), units)[0])


def _hourly(facts: SheetFacts, course: Sequence[CourseHour]) -> tuple[FloatArray, FloatArray, int]:
    """Days, gravities [points], and how many wild hours are not among them."""
    seen, pitched_us = facts.seen, facts.batch.pitched_us
    some = [
        ((hour.end_us - pitched_us) / _DAY_US, seen.gravity_of(hour.points))
        for hour in course
        if hour.points is not None
    ]
    days, points = np.array(some).reshape(-1, 2).T
    if not len(days):
        return days, points, 0
    even = _median(points)
    usual = (points > even.min() - _BEYOND_POINTS) & (points < even.max() + _BEYOND_POINTS)
    return days[usual], points[usual], int(np.count_nonzero(~usual))


def _smooth(days: FloatArray, values: FloatArray) -> FloatArray:
    smooth = np.array(values)
    for run in runs(days):
        smooth[run] = _windows(_median(values[run]), _MEAN_H).mean(axis=1)
    return smooth


def _median(values: FloatArray) -> FloatArray:
    """Median of each hour and its neighbours, which keeps the level of a shoulder and drops lone hours."""
    return np.asarray(np.median(_windows(values, _MEDIAN_H), axis=1))


def _windows(values: FloatArray, length: int) -> FloatArray:
    padded = np.pad(values, length // 2, mode="edge")
    return np.lib.stride_tricks.sliding_window_view(padded, length)


def _temperatures(course: Sequence[CourseHour], pitched_us: int, units: Units) -> tuple[FloatArray, FloatArray]:
    some = [
        ((hour.end_us - pitched_us) / _DAY_US, float(from_celsius(hour.temperature_c, units.temperature)))
        for hour in course
        if hour.temperature_c is not None
    ]
    days, temps = np.array(some).reshape(-1, 2).T
    return days, temps


def _samples(facts: SheetFacts, units: Units) -> Iterator[SampleMark]:
    for event, said in facts.readings.items():
        if said is not None:
            value, *ends = (_gravity(said.points + sds * said.sd, units) for sds in (0.0, -SPREAD, SPREAD))
            yield SampleMark((event.at_us - facts.batch.pitched_us) / _DAY_US, value, *ends)


def _ticks(facts: SheetFacts, marks: Mapping[Event, str]) -> Iterator[Tick]:
    pitched_us = facts.batch.pitched_us
    done: list[tuple[int, str, str]] = [(event.at_us, mark, event.kind) for event, mark in marks.items()]
    done = [(at_us, mark, kind) for at_us, mark, kind in done if kind not in ("sample", "forced test")]
    if facts.proved is not None:
        done.append((facts.proved.at_us, "", "ready"))
    if facts.batch.packaged_us is not None:
        done.append((facts.batch.packaged_us, "", "packaged"))
    for at_us, mark, says in sorted(done, key=lambda one: one[0]):
        yield Tick((at_us - pitched_us) / _DAY_US, mark, says)


def _held(facts: SheetFacts, days: FloatArray, hourly: FloatArray) -> HeldStill | None:
    """[points] Within the tolerance of the middle of what was read then: later samples may have mended it."""
    proved = facts.proved
    if proved is None or proved.seen.ready_gravity is None:
        return None
    hand, gravity, tolerance = proved.seen.hand, proved.seen.ready_gravity, facts.batch.tolerance * 1000.0
    if hand is not None and hand.first_us is not None:
        from_us, to_us = hand.first_us, hand.last_us
    else:
        from_us, to_us = proved.at_us - proved.seen.needed_h * HOUR_US, proved.at_us
    first, last = ((at_us - facts.batch.pitched_us) / _DAY_US for at_us in (from_us, to_us))
    within = hourly[(days >= first) & (days <= last)]
    if hand is None and len(within):
        gravity = float(np.median(within))
    return HeldStill(first, last, gravity - tolerance, gravity + tolerance)
