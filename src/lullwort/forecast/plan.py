"""What of a forecast belongs into a calendar, in words that still hold when they are read some days later."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import PRESSED, Units
from lullwort.forecast.daynames import DayNames
from lullwort.forecast.shapes import Forecast
from lullwort.forecast.wording import drawn_on, end_range, moved_by, spanned, triggers

__all__ = ["Planned", "plan"]

_RATED = (
    "Only vessels that are rated for pressure, with a working relief valve, may be sealed; glass and plain buckets "
    "never. Each point (0.001 SG) left to fall makes about half a volume of carbon dioxide, and more may be left by "
    "then than is foreseen: before sealing, read what `lullwort verdict` says."
)
_NO_PROOF = (
    "This is no proof: package only once `lullwort verdict` says ready and a degassed hand reading confirms it. "
    "Bottles can burst."
)


class Planned(NamedTuple):
    """One thing to plan for.

    Attributes:
        key:     tells it from the others of its batch, and stays the same from one forecast to the next.
        at_us:   [µs] when it is likeliest, never before the forecast.
        all_day: whether only its day is meant.
        title:   a few words.
        says:    sentences, a line for each thing.
    """

    key: str
    at_us: int
    all_day: bool
    title: str
    says: str


def plan(batch: str, forecast: Forecast, units: Units, *, sealed: bool) -> tuple[Planned, ...]:
    """The likely day of `ready`, when 5, 3 and 2 points will be left, and the hand sample: of these what lies ahead.

    Args:    batch: its name.  sealed: whether its vessel is, so that a sample comes from under pressure.
    """
    names = DayNames(forecast.as_of_us, units.zone, "dated")
    foreseen = f"Foreseen {units.moment(forecast.as_of_us)}; a later export takes its place."
    planned = []

    def add(key: str, at_us: int, title: str, *lines: str, all_day: bool = False) -> None:
        says = "\n".join(line for line in (*lines, foreseen) if line)
        planned.append(Planned(key, max(at_us, forecast.as_of_us), all_day, f"{batch}: {title}", says))

    if (ready := forecast.ready) is not None:
        end = "" if forecast.end is None else f" At {end_range(forecast.end, units)}."
        likely = f"Likely ready {spanned(ready, names, sure=True)}.{end}"
        more = " ".join(line for line in (moved_by(forecast), drawn_on(forecast)) if line)
        add("ready", ready.about_us, "likely ready", likely, more, _NO_PROOF, all_day=True)
    for points, when in triggers(forecast):
        left = f"{units.difference(points)} left"
        said = f"About {left} {spanned(when, names, sure=True)}."
        purpose = "Dry hop, warm rest, or seal a rated vessel, if that is your plan."
        add(f"left {points:g}", when.about_us, f"about {left}", said, purpose, _RATED)
    if (sample := forecast.sample) is not None:
        told = f"A hand sample tells most about now: {sample.why}. Degas it, read it, and note it (`lullwort note`)."
        add("sample", sample.at_us, "hand sample", told, PRESSED if sealed else "")
    return tuple(planned)
