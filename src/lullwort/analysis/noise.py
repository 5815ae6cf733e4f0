"""The sensor's own noise, learned from its hourly values while the batch runs.

Second differences of the values cancel level and slope. At a lag of one hour they see mostly the white noise, at three
hours the white and most of the slow (red) noise, so that the two can be told apart:

    var(y[t] − 2·y[t−k] + y[t−2k]) = 6·white + red·(6 − 8·rho^k + 2·rho^2k),   rho = exp(−1/RED_TAU_H)
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass, field

from lullwort.analysis.bank import RED_TAU_H

__all__ = ["SensorNoise"]


def _red_share(lag: int) -> float:
    rho = math.exp(-lag / RED_TAU_H)
    return 6.0 - 8.0 * rho + 2.0 * rho * rho


_SHARE_1, _SHARE_3 = _red_share(1), _red_share(3)
_MEMORY_H = 36.0
_START_WHITE, _START_RED, _START_H = 0.20**2, 0.35**2, 16.0
_KEPT = 1.0 - 1.0 / _MEMORY_H
_CLIP = 9.0
_LEAST_WHITE, _LEAST_RED = 0.05**2, 0.08**2


@dataclass
class _ClippedMean:
    """Decaying mean of squares in which one value counts at most `_CLIP` times the mean so far."""

    mean: float
    weight: float = _START_H

    def update(self, square: float) -> None:
        mean, weight = self.mean, self.weight
        most = _CLIP * mean
        self.weight = weight = (weight if weight < _MEMORY_H else _MEMORY_H) * _KEPT + 1.0
        self.mean = mean + ((square if square < most else most) - mean) / weight


@dataclass
class SensorNoise:
    """White and red variance [points²] of hourly values. O(1) memory; hours without a value are passed as None."""

    resolution: float = 0.0
    """[points] the step in which this sensor reports; a run of equal coarse values is no extra certainty."""
    _lag1: _ClippedMean = field(default_factory=lambda: _ClippedMean(6.0 * _START_WHITE + _SHARE_1 * _START_RED))
    _lag3: _ClippedMean = field(default_factory=lambda: _ClippedMean(6.0 * _START_WHITE + _SHARE_3 * _START_RED))
    _values: deque[float | None] = field(default_factory=lambda: deque([None] * 6, maxlen=6))

    def update(self, y: float | None, curved: bool) -> None:
        """Add one hour's value [points].

        Args:
            curved: True while the beer's own fall bends so much within six hours that it would be booked as noise.
        """
        values = self._values
        six_ago, _, _, three_ago, two_ago, one_ago = values
        values.append(y)
        if y is None:
            return
        if one_ago is not None and two_ago is not None:
            self._lag1.update((y - 2.0 * one_ago + two_ago) ** 2)
        if not curved and three_ago is not None and six_ago is not None:
            self._lag3.update((y - 2.0 * three_ago + six_ago) ** 2)

    def forget(self) -> None:
        """The level jumped: differences across the jump are not noise."""
        self._values.extend([None] * 6)

    @property
    def red_var(self) -> float:
        """[points²] of the part that wanders over hours."""
        return self.variances()[1]

    @property
    def white_var(self) -> float:
        """[points²] of the part that is new every hour."""
        return self.variances()[0]

    def variances(self) -> tuple[float, float]:
        """[points²] White and red, the part that is new every hour and the part that wanders over hours."""
        lag1 = self._lag1.mean
        least = self.resolution * self.resolution / 12.0
        red = max((self._lag3.mean - lag1) / (_SHARE_3 - _SHARE_1), least if least > _LEAST_RED else _LEAST_RED)
        return max((lag1 - _SHARE_1 * red) / 6.0, _LEAST_WHITE), red
