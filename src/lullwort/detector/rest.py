"""How warm the beer has been since it came to rest: what it still holds of its own gas hangs on that."""

from __future__ import annotations

import math
from collections.abc import Callable

from lullwort.detector.snapshot import AtRest, Verdict

__all__ = ["RestWatch"]

_FALLS: frozenset[Verdict] = frozenset(("lag", "fermenting", "moving again"))
_NO_TEMPERATURE = -math.inf


class RestWatch:
    """Streaming: told of each hour's verdict, keeps the warmest since the beer last fell.

    An `unclear` hour goes on as the one before it: who cannot tell does not end a fall. It is told of every hour, so
    nothing is made in those that change nothing.
    """

    __slots__ = ("_falls", "_gravity_then", "_since_us", "_warmest_c", "_warmest_us")

    def __init__(self) -> None:
        self._falls = True
        self._since_us: int | None = None
        self._warmest_c, self._warmest_us = _NO_TEMPERATURE, 0
        self._gravity_then: float | None = None

    def hour(self, end_us: int, verdict: Verdict, temp_c: float | None, gravity: Callable[[], float | None]) -> None:
        """Take the hour that ended at `end_us` [µs]; `temp_c` [°C] of the beer, if known.

        `gravity` gives its gravity [points], or None; it is asked only in hours that are kept.
        """
        if verdict != "unclear":
            if verdict == "packaged":
                return
            self._falls = verdict in _FALLS
        if self._falls:
            self._since_us = None
        elif self._since_us is None:
            self._since_us = self._warmest_us = end_us
            self._warmest_c = _NO_TEMPERATURE if temp_c is None else temp_c
            self._gravity_then = gravity()
        elif temp_c is not None and temp_c > self._warmest_c:
            self._warmest_c, self._warmest_us, self._gravity_then = temp_c, end_us, gravity()

    @property
    def at_rest(self) -> AtRest | None:
        """The warmest since it came to rest; None while it falls."""
        if self._since_us is None:
            return None
        warmest_c = None if self._warmest_c == _NO_TEMPERATURE else self._warmest_c
        return AtRest(self._since_us, warmest_c, self._warmest_us, self._gravity_then)
