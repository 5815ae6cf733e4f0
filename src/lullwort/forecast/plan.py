"""What of a batch belongs into a calendar, in words that still hold when they are read some days later."""

from __future__ import annotations

from typing import Literal, NamedTuple

from lullwort.detector import PRESSED, Judged, Units, advice
from lullwort.forecast.daynames import DayNames
from lullwort.forecast.shapes import Forecast, Span
from lullwort.forecast.wording import drawn_on, end_range, moved_by, spanned, triggers
from lullwort.science import co2_g_l_from_points

__all__ = ["Planned", "plan"]

_Status = Literal["tentative", "confirmed", "cancelled"]

_RATED = (
    "Only vessels that are rated for pressure, with a working relief valve, may be sealed; glass and plain buckets "
    "never. {point} left to fall makes about {gas} of carbon dioxide, and more may be left by then than is "
    "foreseen: before sealing, read what `lullwort verdict` says."
)
_NO_PROOF = (
    "This is no proof: package only once `lullwort verdict` says ready and a degassed hand reading confirms it. "
    "Bottles can burst."
)
_NOT_ON_THIS = "Do not package on what stood here before: ask `lullwort verdict`. Bottles can burst."
_ASK_AGAIN = "The verdict may still turn: ask `lullwort verdict` again on the day you package."
_UNDER_PRESSURE = "The vessel is sealed: it ferments under pressure."
_WARMER = f"{_UNDER_PRESSURE} Warming it raises the pressure further: its relief valve must work."

_USUAL = {
    5.0: f"Usual then: sealing a rated vessel, or raising for a diacetyl rest. {_RATED}",
    3.0: (
        "Usual then: a diacetyl rest, raised by {warmer} for 2 days (1 to 7); warming it later begins the proof anew. "
        f"Or sealing a rated vessel. {_RATED}"
    ),
    2.0: "Usual then: a diacetyl rest, or a dry hop.",
}
"""By points left; `point` stands for one of them, `gas` for what it makes, `warmer` for by how much it is warmed.
Common practice, no source."""
_REST_POINTS = 3.0
_USUAL_SEALED = {
    5.0: _WARMER,
    3.0: _WARMER,
    2.0: f"{_UNDER_PRESSURE} A dry hop would open it; a sample need not. {PRESSED}",
}


class Planned(NamedTuple):
    """One thing to plan for, on the day that `at_us` is in.

    Attributes:
        key:    tells it from the others of its batch, and stays the same from one time to the next.
        at_us:  [µs] when it is likeliest, or since when it has been so.
        title:  a few words, which stand alone.
        says:   sentences, a line for each thing.
        status: how far it can be relied on; `cancelled` takes out what an earlier plan may have put there.
    """

    key: str
    at_us: int
    title: str
    says: str
    status: _Status


def plan(judged: Judged, forecast: Forecast | None, units: Units) -> tuple[Planned, ...]:
    """The day of `ready`, when 5, 3 and 2 points will be left of which that lies ahead, and the hand sample.

    Args:    forecast: of the same instant; None once it is ready or over, and of one that is over nothing is planned.
    """
    if judged.ready_us is not None:
        return _of_a_ready(judged, judged.ready_us, units)
    if forecast is None:
        return ()
    names = DayNames(forecast.as_of_us, units.zone, "dated")
    pressed = judged.now.sealed is not None
    planned = [_ready_day(judged, forecast, forecast.ready, names, units)]
    # One that has passed is not taken out: it stays in a calendar as it was last told there.
    for points, when in triggers(forecast):
        if when.about_us > forecast.as_of_us:
            left = f"{units.difference(points)} left"
            said = f"About {left} {spanned(when, names, sure=True)}."
            usual = (_USUAL_SEALED if pressed else _USUAL)[points].format(
                point=_each_point(units),
                gas=units.co2(co2_g_l_from_points(1.0)),
                warmer=units.temp_differences(2.0, 4.0),
            )
            title = f"about {left}{' (warm rest)' if points == _REST_POINTS and not pressed else ''}"
            planned.append(_planned(judged, units, f"left {points:g}", when.about_us, title, said, usual))
    if (sample := forecast.sample) is None:
        return (*planned, _no_sample(judged, units))
    at_us = max(sample.at_us, forecast.as_of_us)
    told = f"Best time for a hand sample: {names.of(at_us)}; {sample.why}."
    return (*planned, _sample(judged, units, at_us, told))


def _each_point(units: Units) -> str:
    if units.gravity == "plato":
        return f"Each {units.difference(1.0)}"
    return "Each point" + (f" ({units.number(0.001, 3)} SG)" if units.gravity == "sg" else "")


def _of_a_ready(judged: Judged, since_us: int, units: Units) -> tuple[Planned, ...]:
    says = (f"The verdict has been ready since {units.moment(since_us)}.", advice("ready", judged.now, units))
    ready = _planned(judged, units, "ready", since_us, "ready to package", *says, _ASK_AGAIN, status="confirmed")
    if judged.now.confirmed_us is not None:
        return ready, _no_sample(judged, units)
    told = "A hand sample confirms, before anything is sealed, what rests on the sensor alone."
    return ready, _sample(judged, units, judged.as_of_us, told)


def _ready_day(judged: Judged, forecast: Forecast, ready: Span | None, names: DayNames, units: Units) -> Planned:
    if ready is None:
        unsaid = f"It cannot be said when it will be ready. {forecast.unsaid}"
        says = (unsaid, _NOT_ON_THIS)
        return _planned(judged, units, "ready", forecast.as_of_us, "no day foreseen", *says, status="cancelled")
    end = "" if forecast.end is None else f" Final gravity {end_range(forecast.end, units)}."
    likely = f"Likely ready {spanned(ready, names, sure=True)}.{end}"
    more = " ".join(line for line in (moved_by(forecast), drawn_on(forecast)) if line)
    # What is to be done comes first: a phone may show no more of a title, and it must not pass for the verdict.
    title = "ask the verdict (likely ready)"
    return _planned(judged, units, "ready", max(ready.about_us, forecast.as_of_us), title, likely, more, _NO_PROOF)


def _sample(judged: Judged, units: Units, at_us: int, told: str) -> Planned:
    how = "Degas it, read it, and note it (`lullwort note`)."
    pressed = "" if judged.now.sealed is None else PRESSED
    return _planned(judged, units, "sample", at_us, "hand sample", f"{told} {how}", pressed)


def _no_sample(judged: Judged, units: Units) -> Planned:
    says = "No hand sample is asked for."
    return _planned(judged, units, "sample", judged.as_of_us, "no hand sample", says, status="cancelled")


def _planned(
    judged: Judged,
    units: Units,
    key: str,
    at_us: int,
    title: str,
    *lines: str,
    status: _Status = "tentative",
) -> Planned:
    as_of = f"As of {units.moment(judged.as_of_us)}; a later export takes its place."
    says = "\n".join(line for line in (*lines, as_of) if line)
    return Planned(key, at_us, f"{judged.batch.name}: {title}", says, status)
