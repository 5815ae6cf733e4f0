"""How much of an hour the yeast could use, and whether the vessel's temperature has moved to another place."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["Warmth"]

_RATE_PER_10K = 2.7
# Fermentation runs two to three times faster for 10 K more. Common practice, no source.
_LOG_RATE_PER_10K = math.log(_RATE_PER_10K)
_USUAL_HOURS = 72
_SLEEPS_BELOW_USUAL_K = 5.0
_COLDEST_MIN_C = 4.0
_SMOOTH_H = 8.0
_STEP_UP_K, _STEP_DOWN_K = 2.5, 4.0
_STEADY_K = 1.0


@dataclass
class Warmth:
    """Temperature of one batch, hour by hour. O(1) memory.

    The usual temperature is the mean of the first three days with readings; where the brewer gave no minimum for
    the yeast it is taken as 5 K below that, for an ale yeast sleeps near 13 °C and a lager yeast near 3 °C.
    """

    given_min_c: float | None
    steady_c: float | None
    temp_c: float | None = None
    """[°C] the newest hour's, carried over hours without one."""
    moved_k: float = 0.0
    """[K] since the hour before."""
    smooth_c: float | None = None
    anchor_c: float | None = None
    """[°C] where the temperature stood when it last settled."""
    usual_c: float = 20.0
    warm: bool = False
    """Whether the yeast can work now."""
    yeast_h: float = 1.0
    """[h] What this hour is worth at the usual temperature; 0 while the yeast sleeps."""
    steady: bool = False
    """Whether the temperature stands about where it has been for hours."""
    crashed: bool = False
    """Whether a cold crash was noted that is not over."""
    noted_cold: bool = False
    """Whether it counts as cold for that alone, since the log gives no temperature."""
    _usual_n: int = 0

    def hour(self, temp_c: float | None) -> bool:
        """Take an hour's temperature [°C]; tells whether it has stepped since it last settled."""
        self.noted_cold = self.crashed and temp_c is None and self.steady_c is not None
        temp_c = self.steady_c if temp_c is None else temp_c
        if temp_c is None:
            self.moved_k = 0.0
            return False
        self.moved_k = 0.0 if self.temp_c is None else temp_c - self.temp_c
        self.temp_c = temp_c
        if self._usual_n < _USUAL_HOURS:
            self._usual_n += 1
            self.usual_c += (temp_c - self.usual_c) / self._usual_n
        self.warm = temp_c >= self.yeast_min_c and not self.noted_cold
        self.yeast_h = math.exp(_LOG_RATE_PER_10K * (temp_c - self.usual_c) / 10.0) if self.warm else 0.0
        if self.smooth_c is None or self.anchor_c is None:
            self.smooth_c = self.anchor_c = temp_c
            self.steady = True
            return False
        self.smooth_c += (temp_c - self.smooth_c) / _SMOOTH_H
        self.steady = -_STEADY_K < self.smooth_c - temp_c < _STEADY_K
        step = self.smooth_c - self.anchor_c
        if step > _STEP_UP_K or step < -_STEP_DOWN_K:
            self.anchor_c = self.smooth_c
            return True
        return False

    @property
    def cooling(self) -> bool:
        """Whether the temperature falls away from where it has been for hours."""
        return not self.steady and self.smooth_c is not None and self.temp_c is not None and self.temp_c < self.smooth_c

    @property
    def yeast_min_c(self) -> float:
        """[°C] below which this yeast is taken to sleep."""
        if self.given_min_c is not None:
            return self.given_min_c
        return max(_COLDEST_MIN_C, self.usual_c - _SLEEPS_BELOW_USUAL_K)

    @property
    def known(self) -> bool:
        """Whether any temperature has been seen or given."""
        return self.temp_c is not None
