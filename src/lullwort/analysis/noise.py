"""The sensor's own noise, learned from its hourly values while the batch runs.

Second differences of the values cancel level and slope. At a lag of one hour they see mostly the white noise, at six
hours the white and most of the slow (red) noise, so that the two can be told apart:

    var(y[t] − 2·y[t−k] + y[t−2k]) = 6·white + red·(6 − 8·rho^k + 2·rho^2k),   rho = exp(−1/RED_TAU_H)

Longer lags would see more of the red noise, but also the tail's own bend and the cellar's day and night.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass, field

from lullwort.analysis.bank import RED_TAU_H

__all__ = ["SensorNoise"]

_LONG_H = 6


def _red_share(lag: int) -> float:
    rho = math.exp(-lag / RED_TAU_H)
    return 6.0 - 8.0 * rho + 2.0 * rho * rho


_SHORT_SHARE, _LONG_SHARE = _red_share(1), _red_share(_LONG_H)
_ACTIVE_MEMORY_H, _QUIET_MEMORY_H = 24.0, 150.0
# A float is noisier in the main fall, so what was learned there is soon forgotten. Afterwards a day and a half would
# leave its noise unknown by a third, and the proof rests on it.
_START_WHITE, _START_RED, _START_H = 0.20**2, 0.35**2, 16.0
_CLIP = 9.0
_LEAST_WHITE, _LEAST_RED = 0.05**2, 0.08**2
_EQUAL_SHARE = 6.0 + _SHORT_SHARE
# The noise of such sensors hangs together over hours. Common practice, no source. What differs from hour to hour is
# therefore never taken to be more than what wanders, however the differences happened to fall.


@dataclass
class _ClippedMean:
    """Mean of the last squares, in which one counts at most `_CLIP` times the mean so far."""

    mean: float
    weight: float = _START_H

    def update(self, square: float, memory_h: float) -> None:
        mean = self.mean
        most = _CLIP * mean
        weight = self.weight + 1.0
        self.weight = weight = weight if weight < memory_h else memory_h
        self.mean = mean + ((square if square < most else most) - mean) / weight


@dataclass
class SensorNoise:
    """White and red variance [points²] of hourly values. O(1) memory; hours without a value are passed as None."""

    resolution: float = 0.0
    """[points] the step in which this sensor reports; a run of equal coarse values is no extra certainty."""
    _short: _ClippedMean = field(default_factory=lambda: _ClippedMean(6.0 * _START_WHITE + _SHORT_SHARE * _START_RED))
    _long: _ClippedMean = field(default_factory=lambda: _ClippedMean(6.0 * _START_WHITE + _LONG_SHARE * _START_RED))
    _values: deque[float | None] = field(default_factory=lambda: deque([None] * (2 * _LONG_H), maxlen=2 * _LONG_H))

    def update(self, y: float | None, curved: bool) -> None:
        """Add one hour's value [points].

        Args:
            curved: True while the beer's own fall bends so much within half a day that it would be booked as noise.
        """
        values = self._values
        twice_long_ago, long_ago, two_ago, one_ago = values[0], values[_LONG_H], values[-2], values[-1]
        values.append(y)
        if y is None:
            return
        memory_h = _ACTIVE_MEMORY_H if curved else _QUIET_MEMORY_H
        if one_ago is not None and two_ago is not None:
            self._short.update((y - 2.0 * one_ago + two_ago) ** 2, memory_h)
        if not curved and long_ago is not None and twice_long_ago is not None:
            self._long.update((y - 2.0 * long_ago + twice_long_ago) ** 2, memory_h)

    def forget(self) -> None:
        """The level jumped: differences across the jump are not noise."""
        self._values.extend([None] * (2 * _LONG_H))

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
        short = self._short.mean
        least = self.resolution * self.resolution / 12.0
        red = (self._long.mean - short) / (_LONG_SHARE - _SHORT_SHARE)
        red = max(red, least if least > _LEAST_RED else _LEAST_RED, short / _EQUAL_SHARE)
        return max((short - _SHORT_SHARE * red) / 6.0, _LEAST_WHITE), red
