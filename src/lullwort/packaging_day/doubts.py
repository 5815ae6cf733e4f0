"""What has shifted a sensor's reading, and nobody knows which way or how far: gravity may be less, or more, by that."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from lullwort.analysis import CourseHour, StepDown, sensor_stood, steps_down
from lullwort.detector import Snapshot
from lullwort.packaging_day.present import pressure_lift
from lullwort.records import HOUR_US

__all__ = ["Doubts", "doubts_of"]

_SAME_H = 6.0
# A step that the detector took up within so many hours of one found in hindsight is that one.
_LEAST_POINTS = 2.0


class Doubts(NamedTuple):
    """Of one sensor in one batch.

    Attributes:
        steps_us: [µs] beginnings of the hours from which on it reads less, in order of time.
        steps:  [points] by how much less each time: it was knocked there, and reads too little since, or came free, and
            had read too much.
        stands_us: [µs] end of the last hour that told anything, where the sensor repeats itself since; else None.
        less, more: [points] by how much gravity now may be less and more than the sensor says: pressure may lift it,
            and what it has stepped down by since the last hand sample may be too much.
    """

    steps_us: tuple[int, ...]
    steps: tuple[float, ...]
    stands_us: int | None
    less: float
    more: float


def doubts_of(seen: Snapshot, course: Sequence[CourseHour]) -> Doubts:
    """By the hours up to the same instant."""
    read = [hour for hour in course if hour.points is not None]
    again = sensor_stood(read)
    told = [(hour.end_us, hour.points) for hour, same in zip(read, again.tolist(), strict=True) if not same]
    ends_us, points = np.array(told, dtype=np.float64).reshape(-1, 2).T
    taken = [(shift.at_us / HOUR_US, shift.points) for shift in seen.shifts]
    steps = [_not_taken(step, taken) for step in steps_down(ends_us / HOUR_US, points)]
    steps = [step for step in steps if step.points >= _LEAST_POINTS]
    steps_us = tuple(round(step.at_h - 1.0) * HOUR_US for step in steps)
    stands_us = None
    if seen.hand is None and again[-1:].any():
        stands_us = read[int(np.flatnonzero(~again)[-1])].end_us
    since_us = -1 if seen.sampled_us is None else seen.sampled_us
    more = sum(step.points for step, at_us in zip(steps, steps_us, strict=True) if at_us > since_us)
    return Doubts(steps_us, tuple(step.points for step in steps), stands_us, pressure_lift(seen), more / seen.scale)


def _not_taken(step: StepDown, taken: Sequence[tuple[float, float]]) -> StepDown:
    """What is left of a step beside what the detector took up there: a raft that had lifted the float has gone."""
    return step._replace(points=step.points + sum(points for at_h, points in taken if abs(at_h - step.at_h) <= _SAME_H))
