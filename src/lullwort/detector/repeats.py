"""A sensor, or its gateway, that repeats itself: for how long, and whether longer than one in health would."""

from __future__ import annotations

from dataclasses import dataclass

from lullwort.analysis import Hour
from lullwort.records import HOUR_US

__all__ = ["Repeats"]

_FINE_H, _COARSE_H, _FINE_POINTS = 12.0, 48.0, 0.45
# A coarse sensor in a steady cellar repeats itself for a day in good health.
_FINE_HOURS, _COARSE_HOURS = 4, 10
# With readings: where they are hours apart a few say little, the less the coarser; such a sensor repeats a beer at rest
# up to six times before it is ready.


@dataclass
class Repeats:
    """Watches for gravity and temperature that both stay exactly the same. O(1) memory."""

    gap_h: float
    """[h] After a longer silence what was the same before it says nothing."""
    _heard: Hour | None = None
    """The newest hour in which there was any reading."""
    _hours: int = 0
    """Hours with usable readings since gravity and temperature last changed."""

    def hour(self, hour: Hour) -> None:
        """Take an hour that had readings."""
        if hour.gravity is not None:
            same = self._heard is not None and self._heard.same_since_us == hour.same_since_us
            self._hours = self._hours + 1 if same else 1
        self._heard = hour

    def same_h(self, end_us: int) -> float:
        """[h] for which both have been exactly equal up to the last reading, as of `end_us` [µs]."""
        if self._heard is None:
            return 0.0
        since, last = self._heard.same_since_us, self._heard.last_used_us
        if since is None or last is None or end_us - last > self.gap_h * HOUR_US:
            return 0.0
        return (last - since) / HOUR_US

    def frozen(self, end_us: int) -> bool:
        """Whether that has lasted longer, and in more readings, than a sensor in health would repeat itself."""
        if self._heard is None or self._hours <= _FINE_HOURS:
            return False
        same_h = self.same_h(end_us)
        if same_h < _FINE_H:
            return False
        resolution = self._heard.resolution_points
        # Read seldom, a sensor takes long to show how coarse it is.
        if not 0.0 < resolution < _FINE_POINTS and self._hours <= _COARSE_HOURS:
            return False
        return resolution < _FINE_POINTS or same_h >= _COARSE_H
