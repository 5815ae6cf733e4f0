"""What carbon dioxide the beer holds before it is primed."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import Snapshot
from lullwort.errors import OutOfRangeError
from lullwort.science import co2_g_l_from_points, residual_volumes
from lullwort.units import co2_g_l_from_volumes

__all__ = ["HELD_MOST_G_L", "Held", "held_at", "held_by"]

HELD_MOST_G_L = 10.0
# [g/L] No vessel for beer at home is made for more; its valve lets the rest go. Common practice, no source.


class Held(NamedTuple):
    """Carbon dioxide in the beer [g/L], about and at most.

    Attributes:
        warmest_c: [°C] the temperature that it is counted by.
        warmest_us, since_us: [µs] when it was so warm, and since when the beer has been at rest; None where it falls
            still, or where `warmest_c` was not taken from the log.
        by_pressure: whether most of it is what was made in the sealed vessel.
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
    anew, at most as much as the beer takes up at its temperature now. In a sealed vessel all that has fallen stays.

    Args:    warmest_c: [°C] as the brewer tells it, instead of the log.
    Returns: None where no temperature is known, or one beyond the formulas, or the sealed vessel's gauge must tell.
    """
    rest = now.at_rest
    temp_c = warmest_c
    if temp_c is None:
        temp_c = now.temp_c if rest is None or rest.warmest_c is None else rest.warmest_c
    if temp_c is None:
        return None
    by_log = warmest_c is None and rest is not None and rest.warmest_c is not None
    try:
        about = float(co2_g_l_from_volumes(residual_volumes(temp_c)))
        at_most = about + _made_since(now, about, by_log)
        if now.fallen_sealed is not None:
            about, at_most = (about + _made(points) for points in now.fallen_sealed)
            if about > HELD_MOST_G_L:
                return None
    except OutOfRangeError:
        return None
    return Held(
        about, at_most, temp_c,
        rest.warmest_us if by_log and rest is not None else None,
        rest.since_us if by_log and rest is not None else None,
        now.fallen_sealed is not None,
    )  # fmt: skip


def held_at(temp_c: float) -> Held:
    """What beer holds that has rested under an airlock at `temp_c` [°C], 0 to 40. Raises OutOfRangeError outside."""
    about = float(co2_g_l_from_volumes(residual_volumes(temp_c)))
    return Held(about, about, temp_c, None, None, False)


def _made(points: float) -> float:
    return float(co2_g_l_from_points(points))


def _made_since(now: Snapshot, about: float, by_log: bool) -> float:
    """[g/L] That may have been made and kept since the warmest hour."""
    rest = now.at_rest
    if not by_log or rest is None or rest.gravity_then is None or now.warm_gravity is None or now.temp_c is None:
        return 0.0
    made = _made(max(0.0, rest.gravity_then - now.warm_gravity))
    taken_up = float(co2_g_l_from_volumes(residual_volumes(max(0.0, now.temp_c)))) - about
    return max(0.0, min(made, taken_up))
