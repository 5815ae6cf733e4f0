"""What a bottle sealed now would come to, in a sentence."""

from __future__ import annotations

from lullwort.detector import Judged, Units, if_sealed
from lullwort.packaging_day import sealed_today

__all__ = ["sealed_now"]

_BURSTS_BAR = 3.0
# Above what ordinary beer bottles are safe at, warm. Common practice, no source.
_NO_BOTTLE_BAR = 15.0
# No beer bottle holds that, and the sums understate what is higher still. Common practice, no source.
_TOO_MUCH = "Sealed now: far more than any bottle holds."


def sealed_now(judged: Judged, units: Units) -> str:
    """Points, volumes of CO2 and pressure of a bottle sealed now; no numbers where far more is left than it holds."""
    now, left = judged.now, if_sealed(judged.now)
    if judged.verdict == "lag":
        return "Sealed now, nearly all of it would still ferment, far beyond what a bottle holds."
    if now.main_fall and judged.verdict in ("fermenting", "moving again"):
        return _TOO_MUCH
    today = sealed_today(left.about, left.at_most, 20.0 if now.temp_c is None else now.temp_c)
    if today is None or today.gauge_bar_upper > _NO_BOTTLE_BAR:
        return _TOO_MUCH
    if left.may_wake:
        bottles = "bottles would burst" if today.gauge_bar_upper > _BURSTS_BAR else "bottles may burst"
        return (
            f"Sealed now it may wake in the bottle: up to {units.difference(left.at_most)}, {today.volumes_upper:.1f} "
            f"volumes of CO2 and {today.gauge_bar_upper:.1f} bar at {units.temp(20.0)}; {bottles}."
        )
    return (
        f"Sealed now, {units.difference(left.about)} would still ferment, at most {units.difference(left.at_most)}: "
        f"with no sugar added, {today.volumes:.1f} (at most {today.volumes_upper:.1f}) volumes of CO2 and up to "
        f"{today.gauge_bar_upper:.1f} bar at {units.temp(20.0)}."
    )
