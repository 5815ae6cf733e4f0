"""Something uncertain: a normal distribution, and how two that know of one thing are put together."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from lullwort.units import FloatArray

__all__ = ["TENTH_SDS", "Guess", "both", "both_or_either", "weighted_quantiles"]


TENTH_SDS = 1.2816
"""Standard deviations beyond which a tenth of a normal distribution lies."""


class Guess(NamedTuple):
    """A mean and its standard deviation, more than 0."""

    mean: float
    sd: float


def both(first: Guess, second: Guess) -> Guess:
    """What two independent guesses at the same thing say together.

    >>> both(Guess(10.0, 1.0), Guess(12.0, 1.0)).mean
    11.0
    """
    one, two = first.sd**-2.0, second.sd**-2.0
    return Guess((one * first.mean + two * second.mean) / (one + two), math.sqrt(1.0 / (one + two)))


def both_or_either(first: Guess, second: Guess) -> Guess:
    """As `both`, but as much wider as the two contradict each other, for then one of them is wrong [Birge1932].

    >>> round(both_or_either(Guess(10.0, 1.0), Guess(20.0, 1.0)).sd, 2)
    5.0
    """
    found = both(first, second)
    apart = abs(first.mean - second.mean) / math.hypot(first.sd, second.sd)
    return found._replace(sd=found.sd * max(1.0, apart))


def weighted_quantiles(values: FloatArray, weights: FloatArray, shares: tuple[float, ...]) -> list[float]:
    """Of `values` (n,), believed by `weights` (n,), those below which `shares` of the belief lie.

    >>> weighted_quantiles(np.array([3.0, 1.0, 2.0]), np.array([1.0, 1.0, 2.0]), (0.5,))
    [2.0]
    """
    order = np.argsort(values, kind="stable")
    belief = np.cumsum(weights[order])
    places = np.searchsorted(belief, np.array(shares) * belief[-1])
    return [float(x) for x in values[order][np.minimum(places, len(values) - 1)]]
