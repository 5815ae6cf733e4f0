"""Times on a local clock into UTC. What a clock change repeats or skips is never guessed here.

A local time is written as µs since 1970-01-01T00:00 on that clock.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from lullwort.records import from_datetime, to_datetime

__all__ = ["RepeatedTimeError", "SkippedTimeError", "local_to_utc_us", "locals_to_utc_us"]

# Clocks change by whole quarters of an hour, on one; all of a quarter has the offset of its ends.
_QUARTER_US = 15 * 60 * 1_000_000
_EPOCH = to_datetime(0).replace(tzinfo=None)


class SkippedTimeError(ValueError):
    """Clocks never showed this time."""


class RepeatedTimeError(ValueError):
    """Clocks showed this time twice: at `first_us` and at `second_us` [µs since the epoch]."""

    def __init__(self, first_us: int, second_us: int) -> None:
        self.first_us, self.second_us = first_us, second_us
        super().__init__(first_us, second_us)


def local_to_utc_us(local_us: int, zone: ZoneInfo) -> int:
    """Microseconds since the epoch of a local time [µs] as clocks in `zone` showed it.

    Raises: RepeatedTimeError, SkippedTimeError; OverflowError beyond the years of a calendar.
    """
    local = _EPOCH + timedelta(microseconds=local_us)
    before, after = (from_datetime(local.replace(tzinfo=zone, fold=fold)) for fold in (0, 1))
    if before < after:
        raise RepeatedTimeError(before, after)
    if before > after:
        raise SkippedTimeError(local_us)
    return before


def locals_to_utc_us(local_us: NDArray[np.int64], zone: ZoneInfo) -> NDArray[np.int64] | None:
    """The same for many, shape (n,); None if any was shown never or twice."""
    quarters, which = np.unique(local_us // _QUARTER_US, return_inverse=True)
    offsets = np.empty(len(quarters), dtype=np.int64)
    for i, quarter in enumerate(quarters.tolist()):
        offset = _offset_us(quarter, zone)
        if offset is None:
            return None
        offsets[i] = offset
    return local_us - offsets[which]


def _offset_us(quarter: int, zone: ZoneInfo) -> int | None:
    """What the local clock is ahead of UTC throughout this quarter; None if that is not one number."""
    try:
        start = _EPOCH + timedelta(microseconds=quarter * _QUARTER_US)
        ends: tuple[datetime, datetime] = (start, start + timedelta(microseconds=_QUARTER_US - 1))
    except OverflowError:
        return None
    seen = {end.replace(tzinfo=zone, fold=fold).utcoffset() for end in ends for fold in (0, 1)}
    offset = seen.pop()
    return None if seen or offset is None else offset // timedelta(microseconds=1)
