"""What a bottle sealed today would come to, from the points left alone."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.errors import OutOfRangeError
from lullwort.science import co2_g_l_from_points, residual_volumes, sealed
from lullwort.units import co2_volumes_from_g_l

__all__ = ["SealedToday", "sealed_today"]

_ROOM_C = 20.0
_MOST_HELD = 5.0
# [volumes] No vessel for beer at home is made for more; its valve lets the rest go. Common practice, no source.


class SealedToday(NamedTuple):
    """Volumes of CO2 and gauge pressure at 20 °C, with no priming sugar: in the beer now, expected, at the bound."""

    holds: float
    holds_upper: float
    volumes: float
    volumes_upper: float
    gauge_bar_upper: float


def sealed_today(
    left: float, left_upper: float, beer_c: float, fallen_sealed: tuple[float, float] = (0.0, 0.0)
) -> SealedToday | None:
    """A bottle sealed with `left` points still to fall, `left_upper` at most, out of beer at `beer_c` [°C].

    What the beer holds is what it holds at rest at `beer_c`, and all that was made by the points of `fallen_sealed`,
    about and at most, which have fallen since its vessel was sealed. None outside the range of the formulas, and where
    that is more than a vessel holds.

    >>> today = sealed_today(0.2, 1.0, 20.0)
    >>> round(today.volumes_upper, 2), round(today.gauge_bar_upper, 1)
    (1.34, 0.5)
    """
    try:
        at_rest = residual_volumes(beer_c)
        holds, most = (at_rest + co2_volumes_from_g_l(co2_g_l_from_points(points)) for points in fallen_sealed)
        if holds > _MOST_HELD:
            return None
        expected, worst = sealed(left, _ROOM_C, holds), sealed(left_upper, _ROOM_C, most)
    except OutOfRangeError:
        return None
    return SealedToday(holds, most, expected.volumes, worst.volumes, max(0.0, worst.gauge_bar))
