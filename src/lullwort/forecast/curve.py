"""A logistic fall with an exponential tail, fitted to what was seen so far and to what such beers generally do.

    g(t) = E + (D − A) / (1 + exp(k·(t − m))) + A·exp(−max(t − m, 0)/tau)

the logistic of [Speers2003] and a tail of our own; D is the whole fall, A the part of it that goes in the tail, m the
middle of the main fall, k its steepness; t in yeast hours since the pitch. Early in a fall the values alone tell next
to nothing of its end. Each parameter therefore has a prior, so that the fit exists from the first hour on and moves
from what is usual to what is seen; and it cannot run away. Residuals count by Student's t, so that a few odd hours do
not bend the curve [Lange1989]; minimised by Levenberg and Marquardt's method [Marquardt1963].
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import NamedTuple

import numpy as np

from lullwort.analysis import FallBlock
from lullwort.forecast.guess import Guess
from lullwort.units import FloatArray

__all__ = ["CurvePrior", "FittedCurve", "fit_curve"]

_STUDENT_DF = 4.0
_STEPS, _TRIES = 60, 8
_ENOUGH = 1e-3
_LONGEST_H = 4000.0
_HALVINGS = 24
_DRAWS = 128


class CurvePrior(NamedTuple):
    """What such beers generally do. Of sizes and times that cannot be negative the logarithm is guessed.

    Attributes:
        top: [points] before the fall, as the sensor sees it; end: and after it.
        log_tail: of the points that go in the tail.
        log_steepness: of k [1/yeast h].
        middle: [yeast h since the pitch].
        log_tau: of the tail's time constant [yeast h].
    """

    top: Guess
    end: Guess
    log_tail: Guess
    log_steepness: Guess
    middle: Guess
    log_tau: Guess


@dataclass(frozen=True, eq=False)
class FittedCurve:
    """The curve that fits best, and draws of others that fit as well as the values allow.

    Attributes:
        best: (6,) in the order of `CurvePrior`; draws: (n, 6).
    """

    best: FloatArray
    draws: FloatArray

    def level(self, at_yeast_h: float) -> float:
        """[points] of the best curve at `at_yeast_h` [yeast hours since the pitch]."""
        return float(_curve(self.best, np.array([at_yeast_h]))[0][0])

    @property
    def weights(self) -> FloatArray:
        """(n,) Belief in each drawn curve: the same."""
        return np.full(len(self.draws), 1.0 / len(self.draws))

    @property
    def ends(self) -> FloatArray:
        """[points] (n,) where each drawn curve comes to rest."""
        return np.asarray(self.draws[:, 1])

    def left_after(self, at_yeast_h: float, points: float) -> FloatArray:
        """[yeast h] (n,) from `at_yeast_h` until no more than `points` are left, 0 where that is so already."""
        low, high = np.zeros(len(self.draws)), np.full(len(self.draws), _LONGEST_H)
        low = np.where(_left(self.draws, at_yeast_h + low) <= points, -1.0, low)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            more = _left(self.draws, at_yeast_h + middle) > points
            low, high = np.where(more, middle, low), np.where(more, high, middle)
        return np.maximum(low, 0.0)


def fit_curve(
    blocks: Sequence[FallBlock], variances: FloatArray, prior: CurvePrior, *, spread: float
) -> FittedCurve | None:
    """Fit the curve.

    Args:
        blocks:    what was seen.
        variances: [points²] of each block about the curve.
        spread:    by how much the draws are spread wider than the values alone would allow.

    Returns: None where no curve was found that fits better than its neighbours: "no forecast yet", never nonsense.
    """
    at_h = np.array([block.at_yeast_h for block in blocks])
    levels = np.array([block.level for block in blocks])
    mean = np.array([guess.mean for guess in prior])
    inverse = np.array([guess.sd for guess in prior]) ** -2.0
    found = None
    for start in _starts(at_h, levels, mean, prior):
        tried = _descend(start, at_h, levels, variances, mean, inverse)
        if tried is not None and (found is None or tried[2] < found[2] - _ENOUGH):
            found = tried
    if found is None:
        return None
    best, information, _ = found
    factor = np.linalg.cholesky(np.linalg.inv(information))
    draws = best + spread * _normal_draws() @ factor.T
    draws[:, 1] = np.minimum(draws[:, 1], draws[:, 0] - 1.0)
    return FittedCurve(best, draws)


def _starts(at_h: FloatArray, levels: FloatArray, mean: FloatArray, prior: CurvePrior) -> list[FloatArray]:
    """Where to begin: from a fall that is half-way its middle is seen, before that a slow one may be a late one."""
    start = mean.copy()
    below = np.flatnonzero(levels < 0.5 * (prior.top.mean + prior.end.mean))
    if len(below):
        start[4] = at_h[below[0]]
        return [start]
    start[4] = max(prior.middle.mean, float(at_h[-1]) if len(at_h) else 0.0)
    starts = []
    for off in (-1.0, 0.0, 1.0):
        starts.append(start.copy())
        starts[-1][3] += off * prior.log_steepness.sd
    return starts


def _descend(
    start: FloatArray,
    at_h: FloatArray,
    levels: FloatArray,
    variances: FloatArray,
    mean: FloatArray,
    inverse: FloatArray,
) -> tuple[FloatArray, FloatArray, float] | None:
    """The best parameters, their information matrix (6, 6), and their cost; None where none was found."""
    here, damping = start, 1e-2
    residuals, slopes, odd, cost = _cost(here, at_h, levels, variances, mean, inverse)
    for _ in range(_STEPS):
        weights = (_STUDENT_DF + 1.0) / (_STUDENT_DF + odd) / variances
        information = (slopes * weights[:, None]).T @ slopes + np.diag(inverse)
        downhill = (slopes * weights[:, None]).T @ residuals - (here - mean) * inverse
        for _ in range(_TRIES):
            step = np.linalg.solve(information + damping * np.diag(np.diag(information)), downhill)
            there = here + np.clip(step, -3.0 / np.sqrt(inverse), 3.0 / np.sqrt(inverse))
            tried = _cost(there, at_h, levels, variances, mean, inverse)
            if tried[3] < cost:
                break
            damping *= 4.0
        else:
            return here, information, cost  # no step helps: this is the bottom
        gained = cost - tried[3]
        here, (residuals, slopes, odd, cost) = there, tried
        damping = max(0.25 * damping, 1e-6)
        if gained < _ENOUGH:
            return here, information, cost
    return None


def _cost(
    here: FloatArray, at_h: FloatArray, levels: FloatArray, variances: FloatArray, mean: FloatArray, inverse: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, float]:
    curve, slopes = _curve(here, at_h)
    residuals = levels - curve
    odd = residuals * residuals / variances
    cost = (_STUDENT_DF + 1.0) * np.log1p(odd / _STUDENT_DF).sum() + ((here - mean) ** 2 * inverse).sum()
    return residuals, slopes, odd, float(cost)


def _curve(parameters: FloatArray, at_h: FloatArray) -> tuple[FloatArray, FloatArray]:
    """[points] (n,), and their slopes by each parameter (n, 6)."""
    top, end, log_tail, log_steepness, middle, log_tau = parameters
    tail, steepness, tau = math.exp(log_tail), math.exp(log_steepness), math.exp(log_tau)
    main = top - end - tail
    to_go = 1.0 / (1.0 + np.exp(np.clip(steepness * (at_h - middle), -40.0, 40.0)))
    since = np.maximum(at_h - middle, 0.0)
    fading = np.exp(-since / tau)
    bend = to_go * (1.0 - to_go)
    slopes = np.empty((len(at_h), 6))
    slopes[:, 0] = to_go
    slopes[:, 1] = 1.0 - to_go
    slopes[:, 2] = tail * (fading - to_go)
    slopes[:, 3] = -main * bend * steepness * (at_h - middle)
    slopes[:, 4] = main * bend * steepness + np.where(since > 0.0, tail * fading / tau, 0.0)
    slopes[:, 5] = tail * fading * since / tau
    return end + main * to_go + tail * fading, slopes


def _left(draws: FloatArray, at_h: FloatArray) -> FloatArray:
    """[points] (n,) that each drawn curve has still to fall at its own time [yeast h]."""
    top, end, log_tail, log_steepness, middle, log_tau = draws.T
    tail = np.exp(log_tail)
    to_go = 1.0 / (1.0 + np.exp(np.clip(np.exp(log_steepness) * (at_h - middle), -40.0, 40.0)))
    fading = np.exp(-np.maximum(at_h - middle, 0.0) / np.exp(log_tau))
    return np.asarray((top - end - tail) * to_go + tail * fading)


@cache
def _normal_draws() -> FloatArray:
    """(_DRAWS, 6) evenly spread over a normal distribution, the same each time: a Kronecker sequence, mirrored."""
    steps = np.sqrt(np.array([2.0, 3.0, 5.0, 7.0, 11.0, 13.0]))
    even = (np.arange(1, _DRAWS // 2 + 1)[:, None] * steps) % 1.0
    normal = np.vectorize(NormalDist().inv_cdf)(np.clip(even, 1e-6, 1.0 - 1e-6))
    return np.concatenate([normal, -normal])
