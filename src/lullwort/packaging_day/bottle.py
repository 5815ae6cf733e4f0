"""What a bottle sealed today would come to, from the points left alone."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.errors import OutOfRangeError
from lullwort.science import residual_volumes, sealed

__all__ = ["SealedToday", "sealed_today"]

_ROOM_C = 20.0


class SealedToday(NamedTuple):
    """Volumes of CO2 and gauge pressure at 20 °C, without any priming sugar: expected, and at the bound."""

    volumes: float
    volumes_upper: float
    gauge_bar_upper: float


def sealed_today(left: float, left_upper: float, beer_c: float) -> SealedToday | None:
    """A bottle sealed with `left` points still to fall, `left_upper` at most, out of beer at `beer_c` [°C].

    What the beer holds is what it holds at rest at `beer_c`. None outside the range of the formulas.

    >>> today = sealed_today(0.2, 1.0, 20.0)
    >>> round(today.volumes_upper, 2), round(today.gauge_bar_upper, 1)
    (1.34, 0.5)
    """
    try:
        holds = residual_volumes(beer_c)
        expected, worst = sealed(left, _ROOM_C, holds), sealed(left_upper, _ROOM_C, holds)
    except OutOfRangeError:
        return None
    return SealedToday(expected.volumes, worst.volumes, max(0.0, worst.gauge_bar))
