"""What carbon dioxide the beer holds before it is primed."""

from __future__ import annotations

import math
from typing import NamedTuple

from lullwort.detector import Snapshot
from lullwort.errors import OutOfRangeError
from lullwort.explained import OURS, Explained
from lullwort.science import co2_g_l_from_points, dissolved_g_l, residual_volumes
from lullwort.units import co2_g_l_from_volumes

__all__ = ["COLDEST_C", "HELD_EXPLAINED", "HELD_MOST_G_L", "Held", "held_at", "held_by", "held_by_gauge", "held_stated"]

HELD_MOST_G_L = 10.0
# [g/L] No vessel for beer at home is made for more; its valve lets the rest go. Common practice, no source.
_BY_HAND_POINTS = 1.0
# Which may have fallen since the warmest hour where hand samples alone tell: no reading of two proves less.
COLDEST_C = 0.0
"""[°C] At which beer holds most; it freezes below, and the formulas end there."""

HELD_EXPLAINED = {
    "at rest": Explained(
        "what the beer holds",
        "solubility at the warmest temperature since activity ended x (1 atm - vapour pressure of water) x 44.01 "
        "g/mol; at most that and what has fallen since can have made, up to what it takes up at its temperature now",
        "Weiss1974, in water; WagnerPruss1993 for the vapour; beer takes up up to 5 % less",
    ),
    "sealed": Explained(
        "what the beer holds in a sealed vessel",
        "what it held at its temperature when it was sealed, and all that has fallen since made",
        "Weiss1974; Balling1865",
    ),
    "gauge": Explained(
        "what the beer holds by the gauge",
        "solubility at its temperature x (gauge + 1 atm - vapour pressure of water) x fugacity at that pressure x "
        "44.01 g/mol, once gas and beer are at rest",
        "Weiss1974, in water; beer takes up up to 5 % less",
    ),
    "warmest": Explained(
        "warmest since activity ended",
        "the warmest hour since the verdict last left off telling of a fall; gas that has gone does not come back in "
        "the cold",
        OURS,
    ),
}
"""How each way of knowing it comes about."""


class Held(NamedTuple):
    """Carbon dioxide in the beer [g/L], about and at most.

    Attributes:
        warmest_c: [°C] the temperature that it is counted by; NaN where it was stated as such.
        warmest_us, since_us: [µs] when it was so warm, and since when the beer has been at rest; None where it falls
            still, or where `warmest_c` was not taken from the log.
        by_pressure: whether it is what was made in the sealed vessel, or told by its gauge.
    """

    about: float
    at_most: float
    warmest_c: float
    warmest_us: int | None
    since_us: int | None
    by_pressure: bool


def held_by(now: Snapshot, warmest_c: float | None = None) -> Held | None:
    """What the beer holds now, by the warmest since its activity ended; while it falls, by its temperature now.

    Gas that has gone does not come back when the beer is cooled. What has fallen since the warmest hour made some
    anew, at most as much as the beer takes up at its temperature now. Where the log does not tell of all its rest
    (`AtRest.from_fall`) it may have been warmer, and hold less than `about`: never more than `at_most`. In a sealed
    vessel nothing goes, however warm it grows: it holds what it did when it was sealed, and what all that has fallen
    since made, less what a valve let out.

    Args:    warmest_c: [°C] as the brewer tells it, instead of the log; 0 to 40.
    Returns: None where no temperature of the beer is known (how warm a sample was in its jar is none), or one beyond
             the formulas, or the sealed vessel's gauge must tell.
    """
    rest = now.at_rest
    temp_c, by_log = warmest_c, False
    if temp_c is None and rest is not None and rest.warmest_c is not None:
        temp_c, by_log = rest.warmest_c, True
    temp_c = now.beer_c if temp_c is None else temp_c
    if temp_c is None:
        return None
    if now.fallen_sealed is not None:
        return _held_sealed(now, temp_c, warmest_c, now.fallen_sealed)
    try:
        about = float(co2_g_l_from_volumes(residual_volumes(temp_c)))
        at_most = about + _made_since(now, about)
    except OutOfRangeError:
        return None
    if rest is None or not by_log:
        return Held(about, at_most, temp_c, None, None, False)
    return Held(about, at_most, temp_c, rest.warmest_us, rest.since_us, False)


def held_at(warmest_c: float) -> Held:
    """Under an airlock, by the warmest since activity ended as the brewer tells it.

    Raises: OutOfRangeError outside 0 to 40 °C.
    """
    about = float(co2_g_l_from_volumes(residual_volumes(warmest_c)))
    return Held(about, about, warmest_c, None, None, False)


def held_by_gauge(gauge_bar: float, temp_c: float) -> Held:
    """By the gauge of a sealed vessel in which gas and beer are at rest at `temp_c` [°C].

    Raises: OutOfRangeError as `dissolved_g_l`.

    >>> round(held_by_gauge(1.1, 12.0).about, 2)
    4.51
    """
    about = dissolved_g_l(gauge_bar, temp_c)
    return Held(about, about, temp_c, None, None, True)


def held_stated(g_l: float) -> Held:
    """As it was measured by other means, or is known from before."""
    return Held(g_l, g_l, math.nan, None, None, False)


def _held_sealed(now: Snapshot, temp_c: float, warmest_c: float | None, fallen: tuple[float, float]) -> Held | None:
    """In a vessel that was sealed: what it was warmed to since then took nothing away."""
    sealed, rest = now.sealed, now.at_rest
    if warmest_c is None and sealed is not None and sealed.temp_c is not None:
        before = rest is not None and rest.warmest_c is not None and rest.warmest_us <= sealed.at_us
        temp_c = max(sealed.temp_c, temp_c) if before else sealed.temp_c
    try:
        at_first = float(co2_g_l_from_volumes(residual_volumes(temp_c)))
        about, at_most = (at_first + _made(points) for points in fallen)
    except OutOfRangeError:
        return None
    return None if about > HELD_MOST_G_L else Held(about, at_most, temp_c, None, None, True)


def _made(points: float) -> float:
    return float(co2_g_l_from_points(points))


def _made_since(now: Snapshot, about: float) -> float:
    """[g/L] That may have been made and kept since the warmest hour."""
    rest = now.at_rest
    if rest is None:
        return 0.0
    fallen = math.inf
    if now.hand is not None:
        fallen = _BY_HAND_POINTS
    elif rest.gravity_then is not None and now.warm_gravity is not None:
        fallen = max(0.0, rest.gravity_then - now.warm_gravity)
    # A crash that was only noted makes it colder than the log or an entry has it.
    colder_c = COLDEST_C if now.beer_c is None or now.noted_cold else max(COLDEST_C, now.beer_c)
    taken_up = max(0.0, float(co2_g_l_from_volumes(residual_volumes(colder_c))) - about)
    return min(taken_up, _made(min(fallen, 100.0)))
