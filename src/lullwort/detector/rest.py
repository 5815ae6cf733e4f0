"""How warm the beer has been since it came to rest: what it still holds of its own gas hangs on that."""

from __future__ import annotations

import msgspec

from lullwort.detector.snapshot import AtRest, Verdict

__all__ = ["RestWatch"]

_FALLS: frozenset[Verdict] = frozenset(("lag", "fermenting", "moving again"))


class RestWatch:
    """Streaming: told of each hour's verdict, keeps the warmest since the beer last fell.

    An `unclear` hour goes on as the one before it: who cannot tell does not end a fall.
    """

    def __init__(self) -> None:
        self.at_rest: AtRest | None = None
        self._falls = True

    def hour(self, end_us: int, verdict: Verdict, temp_c: float | None, gravity: float | None) -> None:
        """Take the hour that ended at `end_us` [µs]; `temp_c` [°C] and `gravity` [points] of the beer, if known."""
        if verdict == "packaged":
            return
        if verdict != "unclear":
            self._falls = verdict in _FALLS
        if self._falls:
            self.at_rest = None
        elif self.at_rest is None:
            self.at_rest = AtRest(end_us, temp_c, end_us, gravity)
        elif temp_c is not None and (self.at_rest.warmest_c is None or temp_c > self.at_rest.warmest_c):
            self.at_rest = msgspec.structs.replace(
                self.at_rest, warmest_c=temp_c, warmest_us=end_us, gravity_then=gravity
            )
