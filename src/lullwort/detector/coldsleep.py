"""Whether a beer sleeps in the cold: for hours it is too cold for its yeast, and the log shows no fall all the same."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["ColdSleep"]

_COLD_H, _COLD_FALL = 6, 3.0
_POINTS_PER_K = 0.6
# By which a float may answer to temperature. Common practice, no source.


@dataclass
class ColdSleep:
    """The hours of cold without a break, and how the beer stood as they began to count. O(1) memory."""

    _cold_h: int = 0
    _level: float = math.inf
    _temp_c: float = 0.0

    def hour(self, level: float, temp_c: float, *, may_work: bool) -> None:
        """An hour ended at `level` [points] and `temp_c` [°C]; `may_work`: whether its yeast works at that."""
        self._cold_h = 0 if may_work else self._cold_h + 1
        if self._cold_h == _COLD_H:
            self._level, self._temp_c = level, temp_c

    @property
    def is_cold(self) -> bool:
        """Whether it has been too cold for hours."""
        return self._cold_h >= _COLD_H

    def lasts(self, level: float, temp_c: float) -> bool:
        """Whether it sleeps at `level` [points] and `temp_c` [°C]: it is cold, and fell no more than a float shows by
        itself as it cools."""
        by_temperature = _POINTS_PER_K * abs(self._temp_c - temp_c)
        return self.is_cold and self._level - level <= _COLD_FALL + by_temperature
