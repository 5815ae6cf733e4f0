"""A polynomial through points with errors: least squares, what each point says of the others, and whether it only
rises or falls."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lullwort.units import FloatArray

__all__ = ["PolynomialFit", "fit_polynomial", "polynomial", "prediction_sd", "turning_places"]

_REAL, _PLACES = 1e-6, 6
# A double zero of the slope, at which a curve rests but does not turn, comes out as two that differ by rounding.
_LEAST_LEFT = 1e-9
# Of a point's weight that is not its own doing: less than that and the curve goes through it, wherever it lies.


class PolynomialFit(NamedTuple):
    """A polynomial in x, which runs from -1 to 1, through n points.

    Attributes:
        coefficients: that of the constant first, shape (order + 1,).
        covariance: of those, shape (order + 1, order + 1).
        residuals:  [as y] of each point, shape (n,).
        left_out:   [as y] of each point from the curve that the others alone would give, shape (n,).
        sd:      [as y] of a point of mean weight about the curve.
        freedom: degrees of freedom on which `sd` rests, at least 1.
    """

    coefficients: FloatArray
    covariance: FloatArray
    residuals: FloatArray
    left_out: FloatArray
    sd: float
    freedom: int

    @property
    def order(self) -> int:
        """Highest power."""
        return len(self.coefficients) - 1


def fit_polynomial(x: FloatArray, y: FloatArray, order: int, sd: FloatArray | None = None) -> PolynomialFit:
    """The polynomial of this order with the least squares, each weighed by the point's own uncertainty.

    Args:    x: -1 to 1, with at least order + 2 different values.  sd: [as y] of each point as stated, None: all alike.
             Where they scatter more than was stated, that is believed; where less, what was stated.

    >>> fit = fit_polynomial(np.array([-1.0, -0.5, 0.0, 1.0]), np.array([1.0, 1.5, 2.0, 3.0]), 1)
    >>> fit.coefficients.round(9).tolist(), fit.freedom
    ([2.0, 1.0], 2)
    """
    powers = _powers(x, order)
    weights = np.ones(len(x)) if sd is None else 1.0 / sd
    q, r = np.linalg.qr(powers * weights[:, None])
    coefficients = np.linalg.solve(r, q.T @ (y * weights))
    residuals = y - powers @ coefficients
    own = np.sum(q**2, axis=1)  # how far each point pulls the curve to itself
    freedom = len(x) - order - 1
    variance = float(np.sum((residuals * weights) ** 2)) / freedom
    if sd is not None:
        variance = max(variance, 1.0)
    inverse = np.linalg.inv(r)
    return PolynomialFit(
        coefficients,
        variance * (inverse @ inverse.T),
        residuals,
        residuals / np.maximum(1.0 - own, _LEAST_LEFT),
        float(np.sqrt(variance / np.mean(weights**2))),
        freedom,
    )


def polynomial(coefficients: FloatArray, x: FloatArray) -> FloatArray:
    """Its value at each `x`.

    >>> polynomial(np.array([1.0, 2.0, 3.0]), np.array([0.0, 2.0])).tolist()
    [1.0, 17.0]
    """
    total = np.full(len(x), coefficients[-1])
    for c in coefficients[-2::-1]:
        total = total * x + c
    return total


def prediction_sd(covariance: FloatArray, x: FloatArray) -> FloatArray:
    """[as y] Standard deviation of the curve itself at each `x`."""
    powers = _powers(x, len(covariance) - 1)
    variance: FloatArray = np.sum((powers @ covariance) * powers, axis=1)
    return np.sqrt(np.maximum(variance, 0.0))


def turning_places(coefficients: FloatArray) -> list[float]:
    """Where between -1 and 1 the curve turns from rising to falling or back: the zeros of its slope at which that
    changes sign, in order.

    >>> turning_places(np.array([0.0, 0.0, 1.0])), turning_places(np.array([0.0, 0.0, 0.0, 1.0]))
    ([0.0], [])
    """
    slope = coefficients[1:] * np.arange(1, len(coefficients))
    scale = np.max(np.abs(slope), initial=0.0)
    slope = np.trim_zeros(np.where(np.abs(slope) < 1e-12 * scale, 0.0, slope), "b")
    if len(slope) < 2:
        return []
    zeros = np.roots(slope[::-1])
    real = np.unique(np.round(zeros.real[np.abs(zeros.imag) < _REAL], _PLACES))
    inside = real[(real > -1.0) & (real < 1.0)]
    bounds = np.concatenate([[-1.0], inside, [1.0]])
    signs = np.sign(polynomial(slope, (bounds[1:] + bounds[:-1]) / 2.0))
    return [place for place, before, after in zip(inside.tolist(), signs, signs[1:], strict=False) if before != after]


def _powers(x: FloatArray, order: int) -> FloatArray:
    return np.vander(x, order + 1, increasing=True)
