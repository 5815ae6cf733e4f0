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
    fresh_h: float = 2.0
    """[h] for which a temperature tells of a vessel that is being chilled."""
    kept_h: float = 12.0
    """[h] for which it is carried on at all while readings without one go on."""
    temp_c: float | None = None
    """[°C] the newest hour's, carried over hours without one; what is to be thought of it says `known`."""
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
    _untold_h: float = math.inf
    _lost: bool = False

    def hour(self, temp_c: float | None, *, heard: bool = True) -> int:
        """Take an hour's temperature [°C].

        Args: heard: whether the hour had any reading; a temperature is not lost because nothing is heard at all.
        Returns: 1 where it has stepped up since it last settled, -1 where down, else 0.
        """
        self._untold_h = 0.0 if temp_c is not None else self._untold_h + 1.0
        if temp_c is not None or not self.crashed:
            self.noted_cold = False
        elif self.steady_c is not None or (heard and self._untold_h > self.fresh_h and self.temp_c is not None):
            self.noted_cold = True
        temp_c = self.steady_c if temp_c is None else temp_c
        if temp_c is None:
            self._carry(heard)
            return 0
        self._lost = False
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
            return 0
        self.smooth_c += (temp_c - self.smooth_c) / _SMOOTH_H
        self.steady = -_STEADY_K < self.smooth_c - temp_c < _STEADY_K
        step = self.smooth_c - self.anchor_c
        if step > _STEP_UP_K or step < -_STEP_DOWN_K:
            self.anchor_c = self.smooth_c
            return 1 if step > 0.0 else -1
        return 0

    def _carry(self, heard: bool) -> None:
        self.moved_k = 0.0
        if self.noted_cold:
            self._lost, self.warm, self.yeast_h = False, False, 0.0
        elif heard and self._untold_h > self.kept_h:
            # How fast the yeast works is not known either: as fast as usual is the best guess.
            self._lost, self.warm, self.yeast_h, self.steady = True, False, 1.0, True

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
        """Whether a temperature is given, or was seen lately enough to be carried on."""
        return self.temp_c is not None and not self._lost

    @property
    def told(self) -> bool:
        """Whether the log told it lately; an entry does not tell of a warmer day."""
        return self._untold_h <= self.kept_h

    @property
    def may_work(self) -> bool:
        """Whether the yeast can work for all that is known."""
        return self.warm or not self.known
