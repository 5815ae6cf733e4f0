"""Least squares against numpy's own, leaving a point out against leaving it out, and where a curve turns."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.analysis.polyfit import fit_polynomial, polynomial, prediction_sd, turning_places

X = np.array([-1.0, -0.7, -0.2, 0.1, 0.5, 0.8, 1.0])
Y = np.array([1.0, 2.2, 4.1, 4.9, 7.3, 8.8, 10.1])
SD = np.array([0.1, 0.2, 0.1, 0.4, 0.1, 0.2, 0.3])


@pytest.mark.parametrize("order", [1, 2, 3, 4])
@pytest.mark.parametrize("sd", [None, SD])
def test_the_fit_is_that_of_another_least_squares(order: int, sd: np.ndarray | None) -> None:
    # numpy.polyfit, another implementation: highest power first, weights 1 / sd.
    weights = None if sd is None else 1.0 / sd
    ours = fit_polynomial(X, Y, order, sd)
    theirs, covariance = np.polyfit(X, Y, order, w=weights, cov="unscaled")
    assert ours.coefficients == pytest.approx(theirs[::-1], abs=1e-9)
    scatter = np.sum((ours.residuals * (1.0 if weights is None else weights)) ** 2) / (len(X) - order - 1)
    scale = scatter if sd is None else max(scatter, 1.0)
    assert ours.covariance == pytest.approx(scale * covariance[::-1, ::-1], abs=1e-9)


@pytest.mark.parametrize("sd", [None, SD])
def test_what_a_point_lies_from_the_others_is_what_leaving_it_out_gives(sd: np.ndarray | None) -> None:
    fit = fit_polynomial(X, Y, 2, sd)
    for i in range(len(X)):
        others = np.arange(len(X)) != i
        without = fit_polynomial(X[others], Y[others], 2, None if sd is None else sd[others])
        assert fit.left_out[i] == pytest.approx(Y[i] - polynomial(without.coefficients, X[i : i + 1])[0], abs=1e-9)


def test_the_curves_own_uncertainty_is_the_scatter_of_fits_to_noise() -> None:
    rng = np.random.default_rng(5)
    values = [fit_polynomial(X, Y + rng.normal(0.0, 0.3, len(X)), 2).coefficients for _ in range(4000)]
    seen = np.std([polynomial(c, np.array([-1.0, 0.0, 1.0])) for c in values], axis=0)
    unscaled = fit_polynomial(X, Y, 2)
    powers = unscaled.covariance / unscaled.sd**2 * 0.09
    assert prediction_sd(powers, np.array([-1.0, 0.0, 1.0])) == pytest.approx(seen, rel=0.05)


@pytest.mark.parametrize(
    ("coefficients", "turns"),
    [
        ((5.0, 1.0), []),
        ((0.0, 1.0, 0.4), []),
        ((0.0, 1.0, 1.0), [-0.5]),
        ((0.0, -1.0, 0.0, 4.0 / 3.0), [-0.5, 0.5]),
        ((0.0, 0.0, 0.0, 1.0), []),  # rests in the middle and goes on
        ((0.0, 1.0, 0.5), []),  # turns at the very end
        ((0.0, 0.0, -0.5, 0.0, 0.25), [0.0]),  # at the ends, too, which are not within
        ((1.0, 0.0), []),
    ],
)
def test_where_a_curve_turns_is_found_exactly(coefficients: tuple[float, ...], turns: list[float]) -> None:
    assert turning_places(np.array(coefficients)) == pytest.approx(turns, abs=1e-6)


@given(st.lists(st.floats(-5.0, 5.0), min_size=2, max_size=5))
def test_a_curve_that_turns_nowhere_only_rises_or_only_falls(coefficients: list[float]) -> None:
    curve = np.array(coefficients)
    steps = np.diff(polynomial(curve, np.linspace(-1.0, 1.0, 2001)))
    if not turning_places(curve):
        scale = 1e-6 * max(1.0, float(np.abs(curve).max()))
        assert np.all(steps > -scale) or np.all(steps < scale)
