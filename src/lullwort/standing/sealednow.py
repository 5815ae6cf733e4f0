"""What a bottle sealed now would come to, in a sentence."""

from __future__ import annotations

from lullwort.detector import Judged, Units, left_to_fall
from lullwort.packaging_day import (
    COLDEST_C,
    FALLS,
    NOTHING_ADDED,
    ROOM_C,
    Held,
    Sealing,
    Today,
    Unsaid,
    limit_of,
    sealing_of,
    today_of,
)

__all__ = ["TOO_MUCH", "co2_about", "in_sealed_vessel", "sealed_now", "sealed_says", "unsaid"]

TOO_MUCH = "far more than any bottle holds."


def sealed_now(judged: Judged, units: Units) -> str:
    """Points, carbon dioxide and pressure of a bottle sealed now, with no sugar added, in the batch's own container.

    No numbers where far more is left than any bottle holds.
    """
    today, day = today_of(judged, assume_c=ROOM_C), judged.batch.packaging_day
    sealing = None
    if today.held is not None:
        limit = limit_of(day.container, day.limit_bar)
        sealing = sealing_of(today.held, today.left[:2], NOTHING_ADDED, limit)
    return sealed_says(judged, today, sealing, units)


def sealed_says(judged: Judged, today: Today, sealing: Sealing | None, units: Units) -> str:
    """The same of sums that were made already.

    Args:    sealing: None where none could be made of what `today` has, or where they lie beyond any bottle.
    """
    if today.held is None:
        return unsaid(today, units, "Sealed now")
    said = [in_sealed_vessel(judged, today, units), _bottle(judged, today, sealing, units)]
    return " ".join(each for each in said if each)


def unsaid(today: Today, units: Units, when: str) -> str:
    """Why there are no numbers; `when` begins the sentence."""
    why: dict[Unsaid, str] = {
        "lag": f"{when}, nearly all of it would still ferment, far beyond what a bottle holds.",
        "lost": f"{when}: nobody knows what would still ferment, for the sensor has not been heard.",
        "main fall": f"{when}: {TOO_MUCH}",
        "gauge": (
            "The vessel was sealed, and more may have fermented since than it holds: its gauge must tell what is in "
            f"it. Do not prime on top of that; at most {units.difference(today.left.at_most)} may still ferment."
        ),
        "temperature": f"{when}: at the temperature that the log gives nobody can tell what the beer holds.",
    }
    return why[today.unsaid] if today.unsaid else ""


def in_sealed_vessel(judged: Judged, today: Today, units: Units) -> str:
    """What the beer holds that came to rest in a sealed vessel; nothing of any other."""
    fallen = judged.now.fallen_sealed
    if fallen is None or today.held is None:
        return ""
    points = f"About {units.difference(fallen[0])}"
    if fallen[1] > fallen[0]:
        points += f", at most {units.difference(fallen[1])} since pressure lifts a reading,"
    return (
        f"{points} have fallen in the sealed vessel: it holds about {co2_about(today.held, units)} already, less what "
        "a valve let out. Do not prime on top of that."
    )


def co2_about(of: Held | Sealing, units: Units) -> str:
    """As '0.8 (at most 1.0) volumes of CO2', one figure where both are the same."""
    about_g_l, at_most_g_l = (of.about_g_l, of.at_most_g_l) if isinstance(of, Sealing) else (of.about, of.at_most)
    about, _, unit = units.co2(about_g_l).partition(" ")
    most = units.co2(at_most_g_l).partition(" ")[0]
    return f"{about}{'' if most == about else f' (at most {most})'} {unit} of CO2"


def _bottle(judged: Judged, today: Today, sealing: Sealing | None, units: Units) -> str:
    if sealing is None or sealing.beyond_all:
        return f"Sealed now: {TOO_MUCH}"
    left, at = today.left, sealing.at_room
    called = sealing.limit.container.called
    air = ", the air that is shut in counted" if sealing.limit.stated else ""
    pressure = f"{units.gauge(at.at_most_bar)} at {units.temp(at.temp_c)}{air}"
    if today.assumed_c is not None:
        pressure += (
            f" (about as of a beer at {units.temp(today.assumed_c, 0)}, at most at {units.temp(COLDEST_C, 0)}: nobody "
            "knows how warm it is)"
        )
    if left.may_wake:
        does = "would ferment on" if judged.verdict in FALLS else "may wake"
        return (
            f"Sealed now it {does} in the bottle: up to {units.difference(left.at_most)}, "
            f"{units.co2(sealing.at_most_g_l)} of CO2 and {pressure}; {called} {'would' if at.exceeds else 'may'} "
            "burst."
        )
    if not sealing.limit.bears:
        beyond = f"; nothing may ferment in {called}"
    else:
        beyond = f", more than {called} bear" if at.exceeds else ""
    return (
        f"Sealed now, {left_to_fall(left.about, units)} would still ferment, at most {units.difference(left.at_most)}: "
        f"with no sugar added, {co2_about(sealing, units)} and up to {pressure}{beyond}."
    )
