"""What a picture of one batch shows: its hours, smoothed and as they came, its samples, events and temperature."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis import CourseHour
from lullwort.detector import Units
from lullwort.exporting.curveground import CurveGround, curve_ground
from lullwort.exporting.curveheld import HeldStill
from lullwort.packaging_day import SPREAD, SheetFacts
from lullwort.records import HOUR_US, Event
from lullwort.science import from_sg
from lullwort.units import FloatArray, from_celsius

__all__ = ["BatchCurve", "SampleMark", "Tick", "batch_curve", "gravities_shown", "held_shown"]

_DAY_US = 24 * HOUR_US
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


@dataclass(frozen=True, eq=False)
class BatchCurve:
    """One batch in the brewer's units, over days since the pitch.

    Attributes:
        pitched_us: [µs].
        from_day, to_day: [d] what the picture spans.
        days, hourly, smooth, believed, repeated: see `CurveGround`.
        wild:     hours that are left out, for they lie far beyond all else.
        temp_days, temps: each hour with a temperature.
        held:     by which it was proved.
        expected: lowest and highest gravity at which it should end.
        yeast_min: [the brewer's degrees] below which its yeast sleeps, where that was entered.
    """

    pitched_us: int
    from_day: float
    to_day: float
    days: FloatArray
    hourly: FloatArray
    smooth: FloatArray
    believed: NDArray[np.bool_]
    repeated: NDArray[np.bool_]
    wild: int
    temp_days: FloatArray
    temps: FloatArray
    samples: tuple[SampleMark, ...]
    ticks: tuple[Tick, ...]
    held: HeldStill | None
    expected: tuple[float, float] | None
    yeast_min: float | None


def batch_curve(
    facts: SheetFacts, marks: Mapping[Event, str], course: Sequence[CourseHour], units: Units,
    ground: CurveGround | None = None,
) -> BatchCurve | None:  # fmt: skip
    """The picture's content; None where neither sensor nor sample has given a gravity.

    Args:
        marks: of the events that are to be ticked; samples are drawn in any case.
        course: hours up to the same instant, see `hourly_course`.
        ground: that was made of these already.
    """
    batch, pitched_us = facts.batch, facts.batch.pitched_us
    on = ground or curve_ground(facts, course)
    samples = tuple(_samples(facts, units))
    if not len(on.days) and not samples:
        return None
    last_us = min(facts.as_of_us, facts.as_of_us if batch.packaged_us is None else batch.packaged_us)
    seen_days = [0.0, *(mark.day for mark in samples)]
    expected = facts.seen.expected
    return BatchCurve(
        pitched_us=pitched_us,
        from_day=min(seen_days),
        to_day=max((last_us - pitched_us) / _DAY_US, *seen_days, 1.0),
        days=on.days,
        hourly=gravities_shown(on.points, units),
        smooth=gravities_shown(on.smooth, units),
        believed=on.believed,
        repeated=on.repeated,
        wild=on.wild,
        temp_days=on.temp_days,
        temps=np.asarray(from_celsius(on.temps_c, units.temperature)),
        samples=samples,
        ticks=tuple(_ticks(facts, marks)),
        held=None if on.held is None else held_shown(on.held, units),
        expected=None if expected is None else (_gravity(expected.low, units), _gravity(expected.high, units)),
        yeast_min=None if batch.yeast_min_c is None else float(from_celsius(batch.yeast_min_c, units.temperature)),
    )


def held_shown(held: HeldStill, units: Units) -> HeldStill:
    """One in points, in the brewer's unit."""
    return held._replace(low=_gravity(held.low, units), high=_gravity(held.high, units))


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
