"""From when to when gravity held still: the hours that the detector counted, which leave out silence and cold."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from lullwort.analysis import CourseHour
from lullwort.detector import Snapshot
from lullwort.packaging_day import SheetFacts, mending_of
from lullwort.records import HOUR_US, Batch

__all__ = ["HeldStill", "held_still", "proved_still"]

_DAY_US = 24 * HOUR_US
_SILENT_US = 6 * HOUR_US


class HeldStill(NamedTuple):
    """Where gravity held between `low` and `high`.

    Attributes:
        parts: from when to when [d since pitch], one for each stretch without a long silence or cold in it.
        hours: [h] of proof in them.
    """

    parts: tuple[tuple[float, float], ...]
    low: float
    high: float
    hours: int

    @property
    def from_day(self) -> float:
        """[d since pitch] When it began."""
        return self.parts[0][0]

    @property
    def to_day(self) -> float:
        """[d since pitch] When it ended, or was seen last."""
        return self.parts[-1][1]


def held_still(
    seen: Snapshot, course: Sequence[CourseHour], batch: Batch, mended_by: Snapshot | None = None
) -> HeldStill | None:
    """The window over which `seen` has judged whether gravity moves, as far as it goes, in points; None before its
    first hour.

    Of more hours of proof that are needed, as after a dry hop or a silence, the earlier ones lie before it: in them
    nothing was done to the beer, but it need not have stood still.

    Args:    mended_by: what is known of the sensor by now, where later samples have told more; None: `seen`.
    """
    if seen.hand is not None:
        gravity, last_us = seen.hand.gravity, seen.hand.last_us
        parts = [(last_us if seen.hand.first_us is None else seen.hand.first_us, last_us)]
        hours = round(seen.hand.apart_h)
    else:
        hours = min(max(seen.counted_h - 1, 0), seen.window_h)
        counted = _counted(seen, course, hours + 1)
        if not counted:
            return None
        ends_us = np.array([end_us for end_us, _ in counted], dtype=np.int64)
        read_us = np.array([hour.end_us for hour in course if hour.points is not None], dtype=np.int64)
        levels = np.array([points for _, points in counted])
        gravity = float(np.median(mending_of(mended_by or seen, read_us).gravities(ends_us - HOUR_US, levels)))
        parts = _parts([end_us for end_us, _ in counted])
    days = tuple(((a - batch.pitched_us) / _DAY_US, (b - batch.pitched_us) / _DAY_US) for a, b in parts)
    tolerance = 1000.0 * batch.tolerance
    return HeldStill(days, gravity - tolerance, gravity + tolerance, hours)


def proved_still(facts: SheetFacts, course: Sequence[CourseHour]) -> HeldStill | None:
    """That by which the `ready` that stands was proved, in points; None where none stands."""
    if facts.proved is None or facts.proved.seen.ready_gravity is None:
        return None
    return held_still(facts.proved.seen, course, facts.batch, facts.seen)


def _counted(seen: Snapshot, course: Sequence[CourseHour], most: int) -> list[tuple[int, float]]:
    """Ends [µs] of the newest `most` hours of proof and their levels [points], oldest first; of those that count
    though nothing was read in them, since the sensor had been heard just before, none."""
    told, temp_c = [], seen.temp_c
    for hour in course:
        if hour.end_us > seen.at_us:
            break
        temp_c = hour.temperature_c if hour.temperature_c is not None else temp_c
        if hour.points is not None and temp_c is not None and temp_c >= seen.yeast_min_c:
            told.append((hour.end_us, hour.points))
    found: list[tuple[int, float]] = []
    later_us, left = seen.at_us + HOUR_US, most
    for end_us, points in reversed(told):
        left -= min((later_us - end_us) // HOUR_US - 1, int(seen.unseen_limit_h))
        if left <= 0:
            break
        found.append((end_us, points))
        left, later_us = left - 1, end_us
    return found[::-1]


def _parts(ends_us: Sequence[int]) -> list[tuple[int, int]]:
    breaks = [(a, b) for a, b in pairwise(ends_us) if b - a > _SILENT_US]
    begins, ends = [ends_us[0], *(b for _, b in breaks)], [*(a for a, _ in breaks), ends_us[-1]]
    return list(zip(begins, ends, strict=True))
