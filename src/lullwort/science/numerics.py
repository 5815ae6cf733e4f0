"""What the formula files share: range checks, polynomials, the inverse of a rising function.

Everything works on one float or on an array alike, so that each formula is written once. Python floats stay
Python floats: a formula on two of them costs a tenth of what numpy would take.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lullwort.errors import OutOfRangeError
from lullwort.units import Quantity

__all__ = ["DoubleSeries", "choose", "exponential", "horner", "logarithm", "require_range", "solve_increasing"]


def require_range(name: str, value: Quantity, low: float, high: float, unit: str, *, source: str) -> None:
    """Nothing, if every `value` lies in [low, high] or is NaN.

    Raises: OutOfRangeError naming the first value outside and the source whose range it is.
    """
    if isinstance(value, np.ndarray):
        outside = (value < low) | (value > high)
        if not outside.any():
            return
        seen = float(value[outside].flat[0])
    elif value < low or value > high:
        seen = float(value)
    else:
        return
    raise OutOfRangeError(name, seen, f"{low:g} to {high:g} {unit}".rstrip(), source=source)


def horner(coefficients: Sequence[float], x: Quantity) -> Quantity:
    """The polynomial c0 + c1 x + c2 x² + ... at `x`.

    >>> horner((1.0, 2.0, 3.0), 2.0)
    17.0
    """
    total = coefficients[-1] + 0.0 * x
    for c in coefficients[-2::-1]:
        total = total * x + c
    return total


class DoubleSeries:
    """Sum over k from 1 of x to the power of k times the polynomial with coefficients `lines[k - 1]` at y.

    Where an equation is solved for x, y stays what it is; so what its polynomials come to is kept for the floats that
    were asked for last, and the result is the same to the bit.

    >>> DoubleSeries([(1.0, 2.0), (3.0,)])(10.0, 4.0)
    390.0
    """

    def __init__(self, lines: Sequence[Sequence[float]]) -> None:
        self._falling = tuple(reversed(lines))
        self._at = lru_cache(maxsize=256)(self._polynomials)

    def __call__(self, x: Quantity, y: Quantity | float) -> Quantity:
        """A float for `y` beside an array of `x` saves most of the work."""
        total = 0.0 * x
        at: Any = y
        for polynomial in self._polynomials(at) if isinstance(at, np.ndarray) else self._at(float(at)):
            total = (total + polynomial) * x
        return total

    def _polynomials(self, y: Any) -> tuple[Any, ...]:
        return tuple(horner(line, y) for line in self._falling)


def exponential(x: Quantity) -> Quantity:
    """e to the power of `x`."""
    if isinstance(x, np.ndarray):
        return np.exp(x)
    return math.exp(x)


def logarithm(x: Quantity) -> Quantity:
    """Natural logarithm of `x` > 0."""
    if isinstance(x, np.ndarray):
        return np.log(x)
    return math.log(x)


def choose(condition: bool | NDArray[np.bool_], if_true: Quantity, if_false: Quantity) -> Quantity:
    """`if_true` where the condition holds, else `if_false`, element by element for arrays."""
    if isinstance(if_true, np.ndarray):
        return np.where(condition, if_true, if_false)
    return if_true if condition else if_false


def solve_increasing(
    function: Callable[[Quantity], Quantity], low: Quantity, high: Quantity, *, tolerance: float
) -> Quantity:
    """The x in [low, high] at which a rising function is zero, to |function(x)| <= tolerance.

    Regula falsi with the Illinois step: no derivative, never outside the bracket, copes with kinks.
    The caller makes sure that function(low) <= 0 <= function(high). NaN where the function is NaN.

    Raises: ArithmeticError if 80 steps do not reach the tolerance.

    >>> round(solve_increasing(lambda x: x**3 - 2.0, 0.0, 2.0, tolerance=1e-12), 9)
    1.25992105
    """
    f_low, f_high = function(low), function(high)
    was_below = f_low > 0.0
    for _ in range(80):
        x = low - (high - low) * f_low / (f_high - f_low)
        f_x = function(x)
        off: Any = abs(f_x) > tolerance
        if not (off.any() if isinstance(off, np.ndarray) else off):  # of one float, numpy takes as long as a step does
            return x
        below = f_x <= 0.0
        # Illinois: an end that stays put twice running counts half, else it would never move again.
        weight = 1.0 - 0.5 * (below == was_below)
        f_low, f_high = choose(below, f_x, f_low * weight), choose(below, f_high * weight, f_x)
        low, high, was_below = choose(below, x, low), choose(below, high, x), below
    raise ArithmeticError(f"no zero found to within {tolerance:g} in 80 steps")
