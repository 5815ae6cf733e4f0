"""When the sensor's reading shifted while the beer did not, as its offset has taken it up: what a curve is mended by,
hour by hour."""

from __future__ import annotations

from dataclasses import dataclass, field

import msgspec

__all__ = ["Former", "Shift", "ShiftLog"]

_MOST = 24


class Former(msgspec.Struct, frozen=True):
    """How the sensor before this one read: `offset` [points] and `scale`, and within what standard deviation `sd`
    [points] a beer's gravity by them."""

    offset: float
    scale: float
    sd: float


class Shift(msgspec.Struct, frozen=True):
    """From the third hour with a value before `at_us` [µs] on, the end of the hour in which that was understood, the
    sensor reads `points` more of the same beer; or another sensor reads, of which the `former` one tells nothing."""

    at_us: int
    points: float
    former: Former | None = None


@dataclass
class ShiftLog:
    """Notes what has been taken up in all whenever it changes. O(1) memory: of very many shifts the last.

    >>> log = ShiftLog()
    >>> log.hour(1, 0.0, None); log.hour(2, 5.0, None); log.hour(3, 5.0, None); log.hour(4, 0.0, None)
    >>> log.kept
    [Shift(at_us=2, points=5.0, former=None), Shift(at_us=4, points=-5.0, former=None)]
    """

    _points: float = 0.0
    _former: Former | None = None
    kept: list[Shift] = field(default_factory=list)

    def hour(self, at_us: int, points: float, former: Former | None) -> None:
        """Take what has been taken up [points] by `at_us` [µs], and how the sensor before this one read."""
        if points != self._points or former is not self._former:
            self.kept.append(Shift(at_us, points - self._points, None if former is self._former else former))
            del self.kept[:-_MOST]
            self._points, self._former = points, former
