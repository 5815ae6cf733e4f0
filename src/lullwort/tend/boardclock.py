"""The clock of this machine, and whether somebody sets it: a board that has no battery starts at a wrong time."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

__all__ = ["BoardClock", "wall_us"]

_LEAST_US = 5 * 60_000_000
"""By less a clock is trimmed, which changes nothing that is judged."""


def wall_us() -> int:
    """[µs since 1970-01-01 UTC] as the machine shows it."""
    return time.time_ns() // 1000


def _steady_us() -> int:
    """[µs] of a clock that nobody sets; where the system has one, it goes on while the machine sleeps."""
    return time.clock_gettime_ns(getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)) // 1000


@dataclass
class BoardClock:
    """Compares what the machine shows with how much time has passed.

    >>> shown, passed = iter([0, 60_000_000, 3_660_000_000]), iter([0, 60_000_000, 60_000_000])
    >>> clock = BoardClock(lambda: next(shown), lambda: next(passed))
    >>> clock.set_by_us(), clock.set_by_us()
    (0, 3600000000)
    """

    now_us: Callable[[], int] = wall_us
    steady_us: Callable[[], int] = _steady_us
    _apart_us: int = field(init=False)

    def __post_init__(self) -> None:
        self._apart_us = self.now_us() - self.steady_us()

    def set_by_us(self) -> int:
        """[µs] by how much it was set forward since this was last asked, or back (negative); 0 for less than 5 min."""
        apart_us = self.now_us() - self.steady_us()
        by_us = apart_us - self._apart_us
        if abs(by_us) < _LEAST_US:
            return 0
        self._apart_us = apart_us
        return by_us
