from __future__ import annotations

import math

import numpy as np
import pytest

from lullwort.errors import OutOfRangeError
from lullwort.science.numerics import DoubleSeries, exponential, horner, logarithm, require_range, solve_increasing
from lullwort.units import Quantity


def _cubic(x: Quantity) -> Quantity:
    return x * x * x - 2.0


def test_range_check_names_the_first_value_outside_and_the_source() -> None:
    with pytest.raises(OutOfRangeError, match=r"temp_c is 41\.5, expected 0 to 40 °C \(Tanaka2001"):
        require_range("temp_c", np.array([3.0, np.nan, 41.5, 99.0]), 0.0, 40.0, "°C", source="Tanaka2001")


def test_range_check_lets_ends_and_nan_pass() -> None:
    require_range("x", np.array([0.0, 1.0, np.nan]), 0.0, 1.0, "", source="s")
    require_range("x", math.nan, 0.0, 1.0, "", source="s")


@pytest.mark.parametrize("value", [-1e-9, 1.0 + 1e-9])
def test_range_check_refuses_just_beyond(value: float) -> None:
    with pytest.raises(OutOfRangeError):
        require_range("x", value, 0.0, 1.0, "", source="s")


def test_polynomial_takes_its_coefficients_in_rising_order_with_their_signs() -> None:
    # By hand: 5 - 2x + 3x² - x³.
    assert horner((5.0, -2.0, 3.0, -1.0), 2.0) == 5.0
    assert horner((5.0, -2.0, 3.0, -1.0), -2.0) == 29.0
    assert horner((5.0, -2.0, 3.0, -1.0), 0.0) == 5.0
    assert horner((7.0,), 3.0) == 7.0
    np.testing.assert_array_equal(horner((5.0, -2.0, 3.0, -1.0), np.array([-1.0, 3.0])), [11.0, -1.0])


def test_polynomial_exp_and_log_are_alike_for_floats_and_arrays() -> None:
    x = np.array([0.5, 2.0])
    np.testing.assert_allclose(horner((1.0, -2.0, 3.0), x), [horner((1.0, -2.0, 3.0), v) for v in (0.5, 2.0)])
    np.testing.assert_allclose(exponential(logarithm(x)), x)
    assert exponential(logarithm(2.0)) == pytest.approx(2.0)


def test_zero_is_found_for_each_element_and_nan_stays() -> None:
    shift = np.array([-8.0, np.nan, 0.0])
    root = solve_increasing(lambda x: x * x * x + shift, np.full(3, -1.0), np.full(3, 3.0), tolerance=1e-12)
    np.testing.assert_allclose(root, [2.0, np.nan, 0.0], atol=1e-4)
    assert solve_increasing(_cubic, 0.0, 2.0, tolerance=1e-13) == pytest.approx(2.0 ** (1 / 3), abs=1e-12)


def test_zero_at_a_kink_is_found() -> None:
    assert solve_increasing(lambda x: min(5.0 * x, 0.1 * x), -1.0, 7.0, tolerance=1e-12) == pytest.approx(0.0, abs=1e-9)


def test_a_function_that_jumps_over_zero_is_told() -> None:
    with pytest.raises(ArithmeticError, match="80 steps"):
        solve_increasing(lambda x: 1.0 if x > 0.3 else -1.0, 0.0, 2.0, tolerance=1e-9)


def test_a_double_series_is_the_same_to_the_bit_for_floats_arrays_and_whatever_was_asked_before() -> None:
    lines = ((1.5, -0.25, 0.125), (-3.0, 0.7), (2.0,))
    x, y = np.array([0.3, -1.2, 0.0, np.nan]), np.array([7.0, -2.5, 0.1, 4.0])
    # Written out: k from 1, x to the power of k times the polynomial of y.
    by_hand = x * (1.5 - 0.25 * y + 0.125 * y**2) + x**2 * (-3.0 + 0.7 * y) + x**3 * 2.0
    series = DoubleSeries(lines)
    together = series(x, y)
    np.testing.assert_allclose(together, by_hand, rtol=1e-14)
    for _ in range(2):  # anew, and as it was kept
        np.testing.assert_array_equal([series(float(a), float(b)) for a, b in zip(x, y, strict=True)], together)
        np.testing.assert_array_equal(series(x, 7.0), series(x, np.full(4, 7.0)))
    assert type(series(0.3, np.float64(6.0))) is float  # so that none that is kept makes later ones slow
    assert np.isnan(series(0.3, math.nan))
