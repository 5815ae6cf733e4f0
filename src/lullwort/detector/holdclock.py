"""The hold window: hours over which gravity has held still, of which only proving hours count."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

__all__ = ["HoldClock"]


@dataclass
class HoldClock:
    """Counts proving hours (warm, seen, undisturbed) and remembers the levels over the hold window.

    Hours that are cold or unseen are simply not counted; a disturbance starts the count anew, and a
    long silence asks for more.
    """

    window_h: int
    needed_h: int = 0
    """[h] to count from the last restart: the window, or a longer watch."""
    counted_h: int = 0
    restarted_by: str = "pitched"
    restarted_us: int = 0
    """[µs] Since when hours count."""
    interrupted_us: int | None = None
    """[µs] End of a silence since then for which more of them are needed; None where there was none."""
    _levels: deque[float] = field(init=False)

    def __post_init__(self) -> None:
        self._levels = deque(maxlen=self.window_h + 1)
        self.needed_h = self.window_h

    def restart(self, by: str, at_us: int, watch_h: int = 0) -> None:
        """Something disturbed the beer at `at_us` [µs]; `watch_h` [h] if it asks for more than the window."""
        left = self.needed_h - self.counted_h
        self._levels.clear()
        self.counted_h = 0
        # A short watch never cuts a longer one that still runs.
        self.needed_h = max(self.window_h, watch_h, left if self.needed_h > self.window_h else 0)
        self.restarted_by, self.restarted_us, self.interrupted_us = by, at_us, None

    def interrupt(self, by: str, at_us: int) -> None:
        """Nothing was seen for a while up to `at_us` [µs]. What was proved before still counts, for beer that stands
        where it stood has not fallen meanwhile; but half a window must be seen after it."""
        if self.counted_h <= self.window_h // 2:
            self.restart(by, at_us)
            return
        needed_h = self.counted_h + self.window_h // 2
        if needed_h > self.needed_h or (needed_h == self.needed_h and self.interrupted_us is not None):
            self.needed_h, self.interrupted_us = needed_h, at_us

    def count(self, level: float) -> None:
        """One more proving hour, at `level` [points]."""
        self._levels.append(level)
        self.counted_h += 1

    @property
    def complete(self) -> bool:
        """Whether enough proving hours have passed since the last disturbance."""
        return self.counted_h > self.needed_h

    @property
    def fall(self) -> float:
        """[points] by which the level fell over the window's proving hours so far; negative if it rose."""
        return self._levels[0] - self._levels[-1] if self._levels else 0.0

    @property
    def hours_left(self) -> int:
        """[h] of proof still to come."""
        return max(0, self.needed_h + 1 - self.counted_h)
