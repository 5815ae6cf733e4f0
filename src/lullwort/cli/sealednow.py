"""What a bottle sealed now would come to, in a sentence."""

from __future__ import annotations

from lullwort.detector import IfSealed, Judged, Units, if_sealed
from lullwort.packaging_day import SealedToday, sealed_today

__all__ = ["BURSTS_BAR", "NO_BOTTLE_BAR", "sealed_now"]

BURSTS_BAR = 3.0
# Above what ordinary beer bottles are safe at, warm. Common practice, no source.
NO_BOTTLE_BAR = 15.0
# No beer bottle holds that, and the sums understate what is higher still. Common practice, no source.
_TOO_MUCH = "Sealed now: far more than any bottle holds."


def sealed_now(judged: Judged, units: Units) -> str:
    """Points, volumes of CO2 and pressure of a bottle sealed now; no numbers where far more is left than it holds."""
    now, left = judged.now, if_sealed(judged.now)
    if judged.verdict == "lag":
        return "Sealed now, nearly all of it would still ferment, far beyond what a bottle holds."
    if now.lost:
        return "Sealed now: nobody knows what would still ferment, for the sensor has not been heard."
    falls = judged.verdict in ("fermenting", "moving again")
    if now.main_fall and falls:
        return _TOO_MUCH
    beer_c, fallen = 20.0 if now.temp_c is None else now.temp_c, now.fallen_sealed
    if fallen is None:
        return _bottle(left, sealed_today(left.about, left.at_most, beer_c), falls, units)
    held = sealed_today(0.0, 0.0, beer_c, fallen)
    if held is None:
        return (
            "The vessel was sealed, and more may have fermented since than it holds: its gauge must tell what is in "
            f"it. Do not prime on top of that; at most {units.difference(left.at_most)} may still ferment."
        )
    about, at_most = (units.difference(points) for points in fallen)
    points, volumes = f"About {about}", f"about {units.number(held.holds, 1)}"
    if fallen[1] > fallen[0]:
        points += f", at most {at_most} since pressure lifts a reading,"
        volumes += f", at most {units.number(held.holds_upper, 1)}"
    return (
        f"{points} have fallen in the sealed vessel: it holds {volumes} volumes of CO2 already, less what a valve let "
        f"out. Do not prime on top of that. {_bottle(left, sealed_today(*left[:2], beer_c, fallen), falls, units)}"
    )


def _bottle(left: IfSealed, today: SealedToday | None, falls: bool, units: Units) -> str:
    if today is None or today.gauge_bar_upper > NO_BOTTLE_BAR:
        return _TOO_MUCH
    volumes, most, bar = (units.number(x, 1) for x in (today.volumes, today.volumes_upper, today.gauge_bar_upper))
    if left.may_wake:
        bottles = "bottles would burst" if today.gauge_bar_upper > BURSTS_BAR else "bottles may burst"
        does = "would ferment on" if falls else "may wake"
        return (
            f"Sealed now it {does} in the bottle: up to {units.difference(left.at_most)}, {most} volumes of CO2 and "
            f"{bar} bar at {units.temp(20.0)}; {bottles}."
        )
    return (
        f"Sealed now, {units.difference(left.about)} would still ferment, at most {units.difference(left.at_most)}: "
        f"with no sugar added, {volumes} (at most {most}) volumes of CO2 and up to "
        f"{bar} bar at {units.temp(20.0)}."
    )
