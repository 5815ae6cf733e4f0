"""Figures with ranges, from values that are known only so well: one way for all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from lullwort.errors import OutOfRangeError

__all__ = ["SPREAD", "Error", "Estimate", "estimated", "ranges"]

SPREAD = 1.645
"""Standard deviations on either side that hold 90 % of a normal distribution."""


class Estimate(NamedTuple):
    """A value and the range that holds it in 9 of 10 cases."""

    value: float
    low: float
    high: float


def estimated(value: float, sd: float) -> Estimate:
    """A value with its range, from its standard deviation.

    >>> estimated(12.0, 2.0)
    Estimate(value=12.0, low=8.71, high=15.29)
    """
    return Estimate(value, value - SPREAD * sd, value + SPREAD * sd)


class Error(NamedTuple):
    """One thing that may be wrong, apart from all others.

    Attributes:
        sd: its standard deviation, in the unit of the values that it is in.
        on: which of the values it is in; what one instrument gets wrong is in all that were read with it.
    """

    sd: float
    on: tuple[int, ...]


def ranges(
    figures: Callable[[Sequence[float]], Mapping[str, float]], values: Sequence[float], errors: Sequence[Error]
) -> dict[str, Estimate]:
    """Each figure of `values` with the range that the `errors` make.

    Each error is taken to either end of its own 90 % by itself, and what that does to a figure adds up in squares,
    upwards and downwards apart, for figures bend. That is exact for a straight figure of normal errors; tests hold it
    against drawn errors. Where one end is beyond what a formula covers, the other one stands for both.

    Raises: OutOfRangeError where `values` themselves are beyond it, or both ends of an error.

    >>> ranges(lambda v: {"difference": v[0] - v[1]}, (50.0, 12.0), (Error(3.0, (0,)), Error(4.0, (1,))))
    {'difference': Estimate(value=38.0, low=29.775, high=46.225)}
    >>> ranges(lambda v: {"difference": v[0] - v[1]}, (50.0, 12.0), (Error(3.0, (0, 1)),))
    {'difference': Estimate(value=38.0, low=38.0, high=38.0)}
    """
    middle = figures(values)
    above, below = dict.fromkeys(middle, 0.0), dict.fromkeys(middle, 0.0)
    for error in errors:
        if error.sd <= 0.0:
            continue
        ends = _ends(figures, values, error)
        for name, value in middle.items():
            moved = [end[name] - value for end in ends]
            up, down = max(moved), -min(moved)
            if len(moved) == 1:
                up = down = max(up, down)
            above[name] += max(up, 0.0) ** 2
            below[name] += max(down, 0.0) ** 2
    return {
        name: Estimate(value, value - float(below[name] ** 0.5), value + float(above[name] ** 0.5))
        for name, value in middle.items()
    }


def _ends(
    figures: Callable[[Sequence[float]], Mapping[str, float]], values: Sequence[float], error: Error
) -> list[Mapping[str, float]]:
    """The figures with `error` at its upper and its lower end; one of them where the other is beyond a formula."""
    ends, beyond = [], None
    for by in (SPREAD * error.sd, -SPREAD * error.sd):
        try:
            ends.append(figures([value + by * (i in error.on) for i, value in enumerate(values)]))
        except OutOfRangeError as exc:
            beyond = exc
    if not ends:
        assert beyond is not None
        raise beyond
    return ends
