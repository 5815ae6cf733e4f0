"""What has shifted a sensor's reading, and nobody knows which way or how far: gravity may be less, or more, by that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis import CourseHour, HandReading, StepDown, hand_readings, sensor_stood, steps_down
from lullwort.detector import Judged, Snapshot
from lullwort.packaging_day.mending import Mending, mending_of
from lullwort.packaging_day.present import pressure_lift
from lullwort.packaging_day.rising import risen_by_now
from lullwort.records import HOUR_US, Batch, Event
from lullwort.units import FloatArray

__all__ = ["Doubts", "doubts_now", "doubts_of"]

_SAME_H = 6.0
# A step that the detector took up within so many hours of one found in hindsight is that one.
_LEAST_POINTS = 2.0
_AFTER_H = 4
# Values after a step that tell how the sensor reads since.


class Doubts(NamedTuple):
    """Of one sensor in one batch.

    Attributes:
        steps_us: [µs] beginnings of the hours from which on it reads less, in order of time.
        steps:  [points] by how much less each time: it was knocked there, and reads too little since, or came free, and
            had read too much.
        settled: how many of them, the first ones, were over when it was held against the last hand sample.
        stands_us: [µs] end of the last hour that told anything, where the sensor repeats itself since and the beer had
            not been proved before; else None.
        risen:  [points] by which it reads more now than before, for certain and since it was last compared.
        less, more: [points] by how much gravity now may be less and more than the sensor says: pressure may lift it,
            it has risen, and what it has stepped down by since the last hand sample may be too much.
    """

    steps_us: tuple[int, ...]
    steps: tuple[float, ...]
    settled: int
    stands_us: int | None
    risen: float
    less: float
    more: float


class _Told(NamedTuple):
    """Hours with a gravity that tells anything: their ends [µs] and the sensor's levels [points]."""

    ends_us: NDArray[np.int64]
    levels: FloatArray


def doubts_of(
    seen: Snapshot,
    course: Sequence[CourseHour],
    batch: Batch,
    samples: Mapping[Event, HandReading | None],
    proved_us: int | None,
) -> Doubts:
    """By the hours up to the same instant.

    Args:    samples: of the batch, with what each says.
             proved_us: [µs] of the `ready` that stands; None without one.
    """
    read = [hour for hour in course if hour.points is not None]
    again = sensor_stood(read)
    hours = [hour for hour, same in zip(read, again.tolist(), strict=True) if not same]
    told = _Told(
        np.array([hour.end_us for hour in hours], dtype=np.int64),
        np.array([hour.points for hour in hours], dtype=np.float64),
    )
    mending = mending_of(seen, np.array([hour.end_us for hour in read], dtype=np.int64))
    steps = _steps(seen, told, batch)
    steps_us = tuple(round(step.at_h - 1.0) * HOUR_US for step in steps)
    settled = _settled(seen, told, mending, samples, tuple(zip(steps_us, (step.points for step in steps), strict=True)))
    stands_us = hours[-1].end_us if seen.hand is None and again[-1:].any() else None
    if stands_us is not None and proved_us is not None and stands_us >= proved_us:
        stands_us = None
    risen = 0.0 if seen.hand is not None else risen_by_now(seen, hours, mending, batch)
    more = sum(step.points for step in steps[settled:]) / seen.scale
    return Doubts(
        steps_us, tuple(step.points for step in steps), settled, stands_us, risen, pressure_lift(seen) + risen, more
    )


def doubts_now(judged: Judged, course: Sequence[CourseHour]) -> Doubts:
    """Of a batch as it stands, by its hours up to when it was judged."""
    return doubts_of(judged.now, course, judged.batch, dict(hand_readings(judged.batch)), judged.ready_us)


def _steps(seen: Snapshot, told: _Told, batch: Batch) -> list[StepDown]:
    """Those that are left beside what is known: a raft that had lifted the float has gone, or water was put in."""
    known = [(shift.at_us / HOUR_US, shift.points) for shift in seen.shifts]
    known += [(event.at_us / HOUR_US, event.points * seen.scale) for event in batch.events if event.points is not None]
    steps = []
    for step in steps_down(told.ends_us / HOUR_US, told.levels):
        by_it = sum(min(points, 0.0) for at_h, points in known if abs(at_h - step.at_h) <= _SAME_H)
        if step.points + by_it >= _LEAST_POINTS:
            steps.append(step._replace(points=step.points + by_it))
    return steps


def _settled(
    seen: Snapshot,
    told: _Told,
    mending: Mending,
    samples: Mapping[Event, HandReading | None],
    steps: Sequence[tuple[int, float]],
) -> int:
    """Who draws a sample may knock the float by it, so that their times do not tell which came first. But a sample that
    was held against what the sensor reads since a step is what the sensor says since."""
    sampled_us = -1 if seen.sampled_us is None else seen.sampled_us
    says = next((said for event, said in samples.items() if event.at_us == sampled_us and said is not None), None)
    settled = sum(at_us <= sampled_us for at_us, _ in steps)
    while settled and says is not None:
        at_us, points = steps[settled - 1]
        until_us = max(sampled_us, at_us + _AFTER_H * HOUR_US)
        if settled < len(steps):
            until_us = min(until_us, steps[settled][0])
        since = (told.ends_us > at_us) & (told.ends_us <= until_us)
        gravities = mending.gravities(told.ends_us[since] - HOUR_US, told.levels[since])[-_AFTER_H:]
        if not len(gravities) or says.points - np.median(gravities) < 0.5 * points / seen.scale:
            break
        settled -= 1
    return settled
