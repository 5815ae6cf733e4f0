"""How warm the beer has been since it came to rest: what it still holds of its own gas hangs on that."""

from __future__ import annotations

import math
from collections.abc import Callable

from lullwort.detector.snapshot import AtRest, Verdict
from lullwort.records import HOUR_US

__all__ = ["RestWatch"]

_FALLS: frozenset[Verdict] = frozenset(("lag", "fermenting", "moving again"))
_NOTHING = -math.inf
_FALL_POINTS = 5.0
# A log in which the beer fell by so much began before the fall ended; a float that settles in sinks by less.
_NOT_OVER_US = 24 * HOUR_US
# So soon after the pitch no fall is over. Common practice, no source.


class RestWatch:
    """Streaming: told of each hour's verdict, keeps the warmest since the beer last fell.

    An `unclear` hour goes on as the one before it: who cannot tell does not end a fall. It is told of every hour, so
    nothing is made in those that change nothing.
    """

    __slots__ = (
        "_falls", "_from_fall", "_gravity_then", "_highest", "_pitched_us", "_since_us", "_told_since_us", "_warmest_c",
        "_warmest_us",
    )  # fmt: skip

    def __init__(self, pitched_us: int = 0) -> None:
        self._pitched_us = pitched_us
        self._falls = True
        self._since_us: int | None = None
        self._warmest_c, self._warmest_us = _NOTHING, 0
        self._gravity_then: float | None = None
        self._told_since_us: int | None = None
        self._highest = _NOTHING
        self._from_fall = False

    def hour(
        self,
        end_us: int,
        verdict: Verdict,
        temp_c: float | None,
        gravity: Callable[[], float | None],
        *,
        level: float | None = None,
        told: bool = True,
    ) -> None:
        """Take the hour that ended at `end_us` [µs]; `temp_c` [°C] of the beer, if known.

        `gravity` gives its gravity [points], or None; it is asked only in hours that are kept. `level` [points] is what
        the sensor reads, if one does; `told` whether the log tells the temperature.
        """
        if verdict == "packaged":
            return
        if verdict != "unclear":
            self._falls = verdict in _FALLS
        if not told:
            self._told_since_us, self._highest, self._from_fall = None, _NOTHING, False
        elif self._told_since_us is None:
            self._told_since_us = end_us
        if self._falls:
            self._since_us = None
            if level is not None and told and level > self._highest:
                self._highest = level
        elif self._since_us is None:
            self._since_us = self._warmest_us = end_us
            self._warmest_c = _NOTHING if temp_c is None else temp_c
            self._gravity_then = gravity()
            self._from_fall = self._reaches_into_fall(level)
        elif temp_c is not None and temp_c > self._warmest_c:
            self._warmest_c, self._warmest_us, self._gravity_then = temp_c, end_us, gravity()

    def _reaches_into_fall(self, level: float | None) -> bool:
        """Whether the log has told without a gap since before the end of the fall, which is over now."""
        if self._told_since_us is None:
            return False
        if self._told_since_us <= self._pitched_us + _NOT_OVER_US:
            return True
        return level is not None and self._highest - level > _FALL_POINTS

    @property
    def at_rest(self) -> AtRest | None:
        """The warmest since it came to rest; None while it falls."""
        if self._since_us is None:
            return None
        warmest_c = None if self._warmest_c == _NOTHING else self._warmest_c
        told_since_us = None if self._from_fall else self._told_since_us
        return AtRest(self._since_us, warmest_c, self._warmest_us, self._gravity_then, self._from_fall, told_since_us)
