"""What the filter bank foresees after the main fall: each filter's slope dies away with its own time constant."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from lullwort.analysis import TailBank
from lullwort.analysis.bank import TAUS_H
from lullwort.forecast.guess import Guess
from lullwort.units import FloatArray

__all__ = ["TailOutlook", "tail_outlook"]

_EACH = 24
_NORMAL = np.array([NormalDist().inv_cdf((i + 0.5) / _EACH) for i in range(_EACH)])
_LEAST_LEFT = 1e-3
_WIDER = 2.3
# The bank's slopes are too sure of themselves where the beer's tail bends, which no filter of one time constant does.


@dataclass(frozen=True, eq=False)
class TailOutlook:
    """What may be left, and how fast it goes; all (n,).

    Attributes:
        taus_h: [yeast h]; left: [points] still to fall; weights: belief, 1 in all.
    """

    taus_h: FloatArray
    left: FloatArray
    weights: FloatArray

    def fallen_after(self, yeast_h: float) -> float:
        """[points] that will have fallen `yeast_h` from now, in the mean."""
        return float(np.sum(self.weights * self.left * -np.expm1(-yeast_h / self.taus_h)))

    def left_after(self, points: float) -> FloatArray:
        """[yeast h] (n,) until no more than `points` are left, 0 where that is so already."""
        return np.asarray(self.taus_h * np.maximum(np.log(self.left / points), 0.0))


def tail_outlook(bank: TailBank, above_end: Guess, log_tau: Guess | None) -> TailOutlook:
    """What the bank foresees.

    Each filter is believed as far as what it leaves agrees with where the beer should end, and as its time constant
    does with those of earlier batches; what it leaves is drawn towards that end.

    Args:
        above_end: [points] by which the beer stands above where it should end.
        log_tau: of the time constant [yeast h] that earlier batches had; None where there are none.
    """
    taus = np.array(TAUS_H)
    slope, variance = np.array([[s[1], s[6]] for s in bank.states]).T
    left, left_var = slope * taus, variance * taus * taus * _WIDER**2
    log_weights = np.log(np.maximum(bank.weights, 1e-12))
    if log_tau is not None:
        log_weights -= 0.5 * ((np.log(taus) - log_tau.mean) / log_tau.sd) ** 2
    end_var = above_end.sd**2
    both = left_var + end_var
    off = above_end.mean - left
    log_weights -= 0.5 * (off * off / both + np.log(both))
    left, left_var = left + left_var / both * off, left_var * end_var / both
    weights = np.exp(log_weights - log_weights.max())
    weights /= weights.sum() * _EACH
    drawn = np.maximum(left[:, None] + np.sqrt(left_var)[:, None] * _NORMAL, _LEAST_LEFT)
    return TailOutlook(np.repeat(taus, _EACH), drawn.ravel(), np.repeat(weights, _EACH))
