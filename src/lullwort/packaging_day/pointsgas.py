"""Carbon dioxide of points that fall: one way for what the beer holds, for priming and for closed bottles."""

from __future__ import annotations

from lullwort.science import co2_g_l_from_points

__all__ = ["points_g_l", "points_most_g_l"]

_MOST_POINTS = 100.0
# More than any wort falls.


def points_g_l(points: float) -> float:
    """[g CO2/L] That so many points make, about: half a volume each, a tenth kept by the yeast that grows on them.

    Of less than none nothing; of more than any wort has what the most would make.

    >>> round(points_g_l(1.0), 2), round(points_most_g_l(1.0), 2)
    (0.97, 1.08)
    """
    return float(co2_g_l_from_points(_possible(points)))


def points_most_g_l(points: float) -> float:
    """[g CO2/L] That so many points make at most: with no yeast grown, as in a bottle."""
    return float(co2_g_l_from_points(_possible(points), yeast_grows=False))


def _possible(points: float) -> float:
    return min(max(points, 0.0), _MOST_POINTS)
