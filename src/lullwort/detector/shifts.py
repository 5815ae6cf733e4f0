"""When the sensor's reading shifted while the beer did not, as its offset has taken it up: what a curve is mended by,
hour by hour."""

from __future__ import annotations

from dataclasses import dataclass, field

import msgspec

__all__ = ["Shift", "ShiftLog"]

_MOST = 24


class Shift(msgspec.Struct, frozen=True):
    """From the third hour with a value before `at_us` [µs] on, the end of the hour in which that was understood, the
    sensor reads `points` more of the same beer."""

    at_us: int
    points: float


@dataclass
class ShiftLog:
    """Notes what has been taken up in all whenever it changes. O(1) memory: of very many shifts the last.

    >>> log = ShiftLog()
    >>> log.hour(1, 0.0); log.hour(2, 5.0); log.hour(3, 5.0); log.hour(4, 0.0)
    >>> log.kept
    [Shift(at_us=2, points=5.0), Shift(at_us=4, points=-5.0)]
    """

    _points: float = 0.0
    kept: list[Shift] = field(default_factory=list)

    def hour(self, at_us: int, points: float) -> None:
        """Take what has been taken up [points] by `at_us` [µs]."""
        if points != self._points:
            self.kept.append(Shift(at_us, points - self._points))
            del self.kept[:-_MOST]
            self._points = points
