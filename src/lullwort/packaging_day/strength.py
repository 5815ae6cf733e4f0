"""The strength of a batch with what its uncertainty amounts to."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.errors import OutOfRangeError
from lullwort.science import strength

__all__ = ["SPREAD", "Estimate", "alcohol_by_volume", "estimated"]

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


def alcohol_by_volume(original: float, final: float, original_sd: float, final_sd: float) -> Estimate | None:
    """Alcohol by volume [%] from original and present gravity, both in points with their standard deviations.

    Both errors are taken as independent: where the sensor's offset was found from the original gravity, they partly
    cancel, so the range errs on the wide side. None where the gravities lie outside what the formula covers.

    >>> [round(x, 1) for x in alcohol_by_volume(50.0, 12.0, 0.5, 0.5)]
    [5.0, 4.8, 5.1]
    """
    spread = SPREAD * float((original_sd**2 + final_sd**2) ** 0.5)
    try:
        value = _abv(original, final)
        low, high = _abv(original, min(final + spread, original)), _abv(original + spread, final)
    except OutOfRangeError:
        return None
    return Estimate(value, low, high)


def _abv(original: float, final: float) -> float:
    return strength(1.0 + original / 1000.0, 1.0 + final / 1000.0).abv_pct
