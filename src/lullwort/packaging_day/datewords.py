"""The days of packaging in sentences, and what of them belongs into a calendar."""

from __future__ import annotations

from datetime import date
from typing import Literal

from lullwort.counting import counted
from lullwort.detector import Judged, Units, value_range
from lullwort.forecast import Planned
from lullwort.packaging_day.dates import REST_DAYS, REST_POINTS, Dates, DaySpan, Wish, noon_us

__all__ = ["calendar_days", "cold_range", "crash_says", "day_says", "packaging_says", "rest_says", "wish_says"]

_COLD_C = (1.0, 4.0)
# Common practice, no source.
_SURE = "4 in 5 sure"
_NOT_ON_THIS = "Do not chill or package on what stood here before: ask `lullwort verdict`. Bottles can burst."


def day_says(day: date, as_of: date) -> str:
    """A day as it is said on `as_of`, its year where that is another.

    >>> day_says(date(2026, 8, 9), date(2026, 8, 6)), day_says(date(2027, 1, 2), date(2026, 12, 30))
    ('Sun 9 Aug', 'Sat 2 Jan 2027')
    """
    return f"{day:%a} {day.day} {day:%b}" + (f" {day.year}" if day.year != as_of.year else "")


def cold_range(units: Units) -> str:
    """How cold a beer is kept that is chilled: as '1 to 4 °C'."""
    return value_range(*(units.temp(temp_c, 0) for temp_c in _COLD_C))


def rest_says(dates: Dates, units: Units, *, sealed: bool) -> str:
    """When a warm rest begins and how; empty where it is too late for one."""
    if dates.rest is None:
        return ""
    pressure = " In the sealed vessel that raises the pressure: its relief valve must work." if sealed else ""
    return (
        f"{_spanned(dates.rest, dates)}, when about {units.difference(REST_POINTS)} are left. If it wants one, raise "
        f"it by {units.temp_differences(2.0, 4.0)} for {REST_DAYS} days (1 to 7 is usual); later, warming begins the "
        f"proof anew.{pressure}"
    )


def crash_says(dates: Dates, units: Units) -> str:
    """When it may be chilled, and on which condition; empty where no day can be told."""
    if dates.cold_since_us is not None:
        return f"It has been cold since {units.moment(dates.cold_since_us)}."
    if dates.packaging is None:
        return ""
    if dates.crash is None:
        return "None: it is packaged warm."
    cold = f"{counted(dates.crash_days, 'day')} at {cold_range(units)}"
    if dates.proved:
        return f"{_spanned(dates.crash, dates)}, for {cold}."
    span = _spanned(dates.crash, dates)
    return f"{span}, for {cold}. Not before the verdict is ready: cold hides what is left to ferment."


def packaging_says(dates: Dates) -> str:
    """When it may be packaged, or why that cannot be told."""
    if dates.packaging is None:
        return f"No day can be told. {dates.unsaid}"
    if dates.proved:
        return f"{_spanned(dates.packaging, dates)}. Ask the verdict again that day; it may still turn."
    return f"{_spanned(dates.packaging, dates)}, if the verdict is ready by then. This is no proof: ask it that day."


def wish_says(dates: Dates) -> str:
    """What is to be said of the day that was wished for; empty where none was."""
    wish = dates.wish
    if wish is None:
        return ""
    on, crash_on = (day_says(day, dates.as_of) for day in (wish.on, wish.crash_on))
    must = f"it must be chilled on {crash_on}" if dates.crash_days else "it must be ready that day"
    refused = f"{on} is refused as packaging day"
    match wish.stands:
        case "safe":
            return f"{on} can be planned for: {_by_then(dates)}."
        case "likely":
            return (
                f"{on} can be planned for, but keep another day free: {must}, and the proof is likelier than not there "
                "by then, not surely."
            )
        case "too soon":
            return f"{refused}: {must}, and the proof is hardly there by then.{_from_then(dates)}"
        case "cold too short":
            return f"{refused}: {_too_short(dates, wish)}"
        case "not foreseen":
            return f"{refused}: it cannot be told when it will be ready. {dates.unsaid}"
        case "too far":
            return f"{refused}: it is more than a year ahead, as of {_dated(dates.as_of)}: is its year right?"
        case "past":
            return f"{refused}: it is past, as of {_dated(dates.as_of)}."


def calendar_days(judged: Judged, dates: Dates, units: Units) -> tuple[Planned, ...]:
    """Crash start and packaging day as things to plan for; what is not planned any more is taken out.

    A crash that has begun is left as it was last told. Nothing of a batch that is over.
    """
    if judged.verdict == "packaged":
        return ()
    if dates.packaging is None:
        says = f"No day can be told. {dates.unsaid}\n{_NOT_ON_THIS}"
        return (
            _planned(judged, units, "crash", dates.as_of, "no crash start planned", says, "cancelled"),
            _planned(judged, units, "packaging", dates.as_of, "no packaging day planned", says, "cancelled"),
        )
    days = []
    if dates.crash is not None:
        says = (
            f"{crash_says(dates, units)}\nAsk `lullwort verdict` first, and chill only if it says ready. What is left "
            "ferments on in a warm bottle. Air must not be sucked in while it cools."
        )
        title = "ask the verdict first (crash start)"
        days.append(_planned(judged, units, "crash", dates.crash.about, title, says))
    elif dates.cold_since_us is None:
        says = "It is packaged without a cold crash."
        days.append(_planned(judged, units, "crash", dates.as_of, "no crash start planned", says, "cancelled"))
    says = (
        f"{packaging_says(dates)}\nAsk `lullwort verdict` first: package only if it says ready and a degassed hand "
        "reading confirms it. Bottles can burst. `lullwort plan` tells volumes, bottles and the check-list."
    )
    title = "ask the verdict first (packaging day)"
    return (*days, _planned(judged, units, "packaging", dates.packaging.about, title, says))


def _planned(
    judged: Judged, units: Units, key: str, day: date, title: str, says: str,
    status: Literal["tentative", "cancelled"] = "tentative",
) -> Planned:  # fmt: skip
    as_of = f"As of {units.moment(judged.as_of_us)}; a later export takes its place."
    return Planned(key, noon_us(day, units.zone), f"{judged.batch.name}: {title}", f"{says}\n{as_of}", status)


def _spanned(span: DaySpan, dates: Dates) -> str:
    low, about, high = (day_says(day, dates.as_of) for day in span)
    return about if low == high else f"{about} ({low} to {high}, {_SURE})"


def _by_then(dates: Dates) -> str:
    if dates.proved:
        return "the verdict is ready"
    start = "the crash start" if dates.crash_days else "it"
    return f"the proof is there before {start} in 9 of 10 cases"


def _dated(day: date) -> str:
    return f"{day_says(day, day)} {day.year}"


def _from_then(dates: Dates) -> str:
    if dates.packaging is None:
        return ""
    return f" Likely from {day_says(dates.packaging.about, dates.as_of)} on."


def _too_short(dates: Dates, wish: Wish) -> str:
    assert dates.packaging is not None
    from_on = day_says(dates.packaging.about, dates.as_of)
    cold = counted(dates.crash_days, "day")
    began = dates.as_of if dates.cold_since_us is None else None
    possible = None if began is None else (wish.on - began).days
    shorter = "" if possible is None else f"; that day goes with --crash-days {possible}"
    return f"{cold} in the cold end on {from_on}{shorter}."
