"""How much of what a resting sensor shows is its answer to temperature: a regression that minds what else may move it.

In one piece of a log in which the beer rests, an hour's value [points] is taken to be

    y = level + slope·t + pace·∫(T - mean T)dt + answer·T' + steps + noise

where T' is the temperature as the sensor feels it, some hours late. `slope` is what the beer still falls or the float
drifts; `pace` is the yeast's own answer to temperature, which changes the slope and of which only the size is known;
steps are those of a float that was bumped, and hours far off. The noise is new every hour, hangs together over hours,
and lets the slope wander. Its make-up and the delay are not known either: each of a set of them is fitted, and they
are averaged by how well they explain what was seen, so that the uncertainty holds what is not known of them.
"""

from __future__ import annotations

import math
from itertools import product
from typing import NamedTuple

import numpy as np

from lullwort.units import FloatArray

__all__ = ["PieceAnswer", "fit_answer"]

_LAGS_H = (0.0, 1.0, 2.0, 4.0)
# By which a float and the beer around it follow. Common practice, no source.
_RED_H = (2.5, 6.0, 18.0)
_WHITE_SHARES = (0.1, 0.4)
_WANDERS = (0.02, 0.2)
# Of the noise's standard deviation: how much the slope [points/day] wanders in the root of a day.
_PACE_SD = 0.04
# [points/day/K] Yeast's pace changes by a tenth for each kelvin (common practice, no source), here of 0.4 points/day.
_FAR, _MOST_ODD = 4.5, 8
_LEAST_SHARE, _STEP_SHARE = 0.5, 0.6
_NEARLY_NONE = 1e-9
_PACE = 2


class PieceAnswer(NamedTuple):
    """The answer in one piece and its standard deviation [points/K], and by how much all else falls [points/day]."""

    points_per_k: float
    sd: float
    falls_per_day: float


class _Model(NamedTuple):
    """One make-up of the noise: what whitens (n, n), and the logarithm of the covariance's determinant."""

    whitener: FloatArray
    log_det: float


def fit_answer(
    hours: FloatArray, points: FloatArray, temp_c: FloatArray, resolution: float = 0.0
) -> PieceAnswer | None:
    """The answer in one piece; None if too many hours fit nothing.

    Args:
        hours:  [h] ascending, some may be missing. points: [points] at these. temp_c: [°C] at these.
        resolution: [points] the steps in which the sensor reports, 0 where not known.
    """
    span = np.arange(hours[0], hours[-1] + 1.0)
    course_c = np.interp(span, hours, temp_c)
    at = np.searchsorted(span, hours)
    days = (hours - hours.mean()) / 24.0
    points = points - points.mean()
    pace = np.cumsum(course_c - course_c.mean())[at] / 24.0
    fixed = np.column_stack([np.ones(len(hours)), days, pace - pace.mean()])
    felt = np.column_stack([_felt(course_c, lag_h)[at] for lag_h in _LAGS_H])
    models = [_model(hours, *parts) for parts in product(_WHITE_SHARES, _RED_H, _WANDERS)]
    odd = np.empty((len(hours), 0))
    while True:
        fits = [_Fit.of(model, fixed, felt, odd, points) for model in models]
        best = max((fit for some in fits for fit in some), key=lambda fit: fit.likelihood)
        innovations = best.innovations(fixed, felt, odd, points)
        worst = int(np.argmax(np.abs(innovations)))
        # Values in coarse steps leave most innovations near zero.
        spread = float(np.sqrt(np.mean(innovations**2)))
        usual = 1.4826 * float(np.median(np.abs(innovations)))
        scale = max(usual, _LEAST_SHARE * spread, _STEP_SHARE * resolution)
        if abs(innovations[worst]) <= _FAR * scale:
            break
        if odd.shape[1] == _MOST_ODD:
            return None
        odd = np.column_stack([odd, _odd(best, worst, len(hours), points, fixed, felt, odd)])
    every = [fit for some in fits for fit in some]
    weights = np.exp(np.array([fit.likelihood for fit in every]) - best.likelihood)
    weights /= weights.sum()
    means, variances = (np.array(column) for column in zip(*((f.answer, f.variance) for f in every), strict=True))
    mean = float(weights @ means)
    variance = float(weights @ (variances + (means - mean) ** 2))
    falls = -float(weights @ np.array([fit.slope for fit in every]))
    return PieceAnswer(mean, math.sqrt(variance), falls)


class _Fit(NamedTuple):
    """One model, one lag: the answer with its variance, the slope of all else, and how well they explain the values."""

    answer: float
    variance: float
    slope: float
    likelihood: float
    model: _Model
    lag: int
    coefficients: FloatArray

    @classmethod
    def of(cls, model: _Model, fixed: FloatArray, felt: FloatArray, odd: FloatArray, points: FloatArray) -> list[_Fit]:
        """One for each lag."""
        columns = model.whitener @ np.column_stack([fixed, odd, felt, points])
        scale = np.maximum(np.sqrt((columns**2).sum(axis=0)), _NEARLY_NONE)
        gram = (columns.T @ columns) / np.outer(scale, scale)
        common, degrees = fixed.shape[1] + odd.shape[1], max(1, len(points) - fixed.shape[1] - odd.shape[1] - 1)
        return [
            cls._solved(model, gram, scale, [*range(common), common + lag], lag, degrees)
            for lag in range(felt.shape[1])
        ]

    @classmethod
    def _solved(cls, model: _Model, gram: FloatArray, scale: FloatArray, of: list[int], lag: int, degrees: int) -> _Fit:
        # Columns may say the same; all are of length 1.
        normal = gram[np.ix_(of, of)] + _NEARLY_NONE * np.eye(len(of))
        told, own = gram[of, -1], scale[of]
        free = np.linalg.solve(normal, told)
        var = max(1.0 - float(told @ free), _NEARLY_NONE) * float(scale[-1]) ** 2 / degrees
        normal[_PACE, _PACE] += var / (_PACE_SD * own[_PACE]) ** 2
        inverse = np.linalg.inv(normal)
        solved = inverse @ told * scale[-1] / own
        return cls(
            float(solved[-1]), var * float(inverse[-1, -1]) / float(own[-1]) ** 2, float(solved[1]),
            -0.5 * degrees * math.log(var) - 0.5 * model.log_det, model, lag, free * scale[-1] / own,
        )  # fmt: skip

    def innovations(self, fixed: FloatArray, felt: FloatArray, odd: FloatArray, points: FloatArray) -> FloatArray:
        """[points] What each hour brought that those before it and the fit had not."""
        left = points - np.column_stack([fixed, odd, felt[:, self.lag]]) @ self.coefficients
        return np.asarray(self.model.whitener @ left, dtype=float)


def _odd(
    best: _Fit, worst: int, count: int, points: FloatArray, fixed: FloatArray, felt: FloatArray, odd: FloatArray
) -> FloatArray:
    """The column that explains the hour that fits worst: a step from there on, or itself alone."""
    columns = [np.where(np.arange(count) >= worst, 1.0, 0.0), np.where(np.arange(count) == worst, 1.0, 0.0)]
    tried = [
        _Fit.of(best.model, fixed, felt[:, [best.lag]], np.column_stack([odd, column]), points)[0] for column in columns
    ]
    return columns[0 if tried[0].likelihood > tried[1].likelihood else 1]


def _felt(course_c: FloatArray, lag_h: float) -> FloatArray:
    """[°C] As a sensor feels it that follows with this time constant; hourly."""
    if not lag_h:
        return course_c
    follow, felt = 1.0 - math.exp(-1.0 / lag_h), np.empty_like(course_c)
    last = float(course_c[0])
    for i, now in enumerate(course_c.tolist()):
        last += follow * (now - last)
        felt[i] = last
    return felt


def _model(hours: FloatArray, white: float, red_h: float, wander: float) -> _Model:
    apart = np.abs(hours[:, None] - hours[None, :])
    days = (hours - hours[0]) / 24.0
    early, late = np.minimum(days[:, None], days[None, :]), np.maximum(days[:, None], days[None, :])
    covariance = white * np.eye(len(hours)) + (1.0 - white) * np.exp(-apart / red_h)
    covariance += wander**2 * early**2 * (3.0 * late - early) / 6.0
    root = np.linalg.cholesky(covariance)
    return _Model(np.linalg.inv(root), 2.0 * float(np.log(np.diag(root)).sum()))
