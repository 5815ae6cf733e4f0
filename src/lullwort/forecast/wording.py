"""A forecast in sentences that a brewer would say, in local time and in the brewer's units."""

from __future__ import annotations

from lullwort.counting import counted
from lullwort.detector import PRESSED, Units, sureness, value_range
from lullwort.forecast.daynames import DayNames, by_day
from lullwort.forecast.shapes import Forecast, LeftAt, Level, SampleTime, Span

__all__ = ["drawn_on", "end_range", "moved_by", "outlook", "outlook_details", "spanned", "triggers"]

_OUTSIDE = 0.20
"""The chance that something lies outside its range; half of it lies beyond the upper end, which is the latest."""
_TRIGGERS = (5.0, 3.0, 2.0)
"""[points] left at which a warm rest, a dry hop or sealing is usual. Common practice, no source."""


def outlook(forecast: Forecast, units: Units) -> str:
    """When the beer will be ready, and at which gravity, or why that cannot be said; empty where nothing is foreseen.

    No instant before the forecast's own is named.

    >>> hours = [h * 3_600_000_000 for h in (20, 43, 60)]
    >>> forecast = Forecast(0, Span(*hours), None, (), None, "", "", 0)
    >>> outlook(forecast, Units())
    'Likely ready tomorrow (Fri) evening, at the latest Saturday noon (9 in 10 sure).'
    """
    end = None if forecast.end is None else end_range(forecast.end, units)
    if forecast.ready is None:
        said = [f"It cannot be said when it will be ready. {forecast.unsaid}"] if forecast.unsaid else []
        if end is not None:
            said.append(f"Final gravity likely {end} ({sureness(_OUTSIDE)} sure).")
        return " ".join(said)
    names, ready = DayNames(forecast.as_of_us, units.zone), forecast.ready
    day_only = by_day(ready.low_us, ready.high_us)
    about, latest = (names.of(at_us, day_only=day_only) for at_us in (ready.about_us, ready.high_us))
    at_the_latest = "" if latest == about else f", at the latest {latest}"
    at = "" if end is None else f"; final gravity {end} ({sureness(_OUTSIDE)})"
    return f"Likely ready {about}{at_the_latest} ({sureness(_OUTSIDE / 2.0)} sure){at}."


def outlook_details(forecast: Forecast, units: Units, *, sealed: bool) -> list[str]:
    """What else is foreseen, and why it is another than the day before: a line each, of what there is.

    Args:    sealed: whether the vessel is, so that a sample comes from under pressure.
    """
    details = []
    if ahead := triggers(forecast):
        names = DayNames(forecast.as_of_us, units.zone, "short")
        spans = []
        for nth, left in enumerate(ahead):
            # How sure it is differs where one is past its likeliest moment: each kind says it once.
            sure = not nth or _is_likely_past(ahead[nth - 1].when, names) != _is_likely_past(left.when, names)
            said = spanned(left.when, names, sure=sure)
            spans.append(f"{units.difference(left.points)} {'' if nth else 'left '}{said}")
        details.append(f"{'; '.join(spans)}.")
    if forecast.sample is not None:
        says = _sample(forecast.sample, forecast.as_of_us, units)
        details.append(f"{says} {PRESSED}" if sealed else says)
    return details + [line for line in (moved_by(forecast), drawn_on(forecast)) if line]


def triggers(forecast: Forecast) -> list[LeftAt]:
    """When 5, 3 and 2 points will be left, of these what lies ahead; from most to least."""
    ahead = [left for left in forecast.left if left.points in _TRIGGERS and left.when.high_us > forecast.as_of_us]
    return sorted(ahead, key=lambda left: -left.points)


def spanned(span: Span, names: DayNames, *, sure: bool) -> str:
    """A moment with its range, or that it has likely come; `sure` adds how sure that is."""
    day_only = by_day(span.low_us, span.high_us)
    low, about, high = (names.of(at_us, day_only=day_only) for at_us in span)
    if _is_likely_past(span, names):
        return f"likely by now (at the latest {high}{f', {sureness(_OUTSIDE / 2.0)} sure' if sure else ''})"
    within = [] if low == high == about else [f"{low} to {high}"]
    within += [f"{sureness(_OUTSIDE)} sure"] if sure else []
    return f"{about} ({', '.join(within)})" if within else about


def _is_likely_past(span: Span, names: DayNames) -> bool:
    """Whether the likeliest moment is no later than that of the forecast: it names no hour then."""
    return span.about_us <= names.as_of_us


def end_range(end: Level, units: Units) -> str:
    """The range of the final gravity, one value where its ends are the same."""
    return value_range(units.level(end.low, 3), units.level(end.high, 3))


def moved_by(forecast: Forecast) -> str:
    """Why it is another than the day before; empty where it is not."""
    return f"Moved since the day before: {forecast.moved}." if forecast.moved else ""


def drawn_on(forecast: Forecast) -> str:
    """How many earlier batches it draws on; empty where on none, or where nothing is foreseen."""
    if not forecast.repeats or not (forecast.ready or forecast.end or forecast.left):
        return ""
    return f"It draws on {counted(forecast.repeats, 'earlier batch', 'earlier batches')} of this recipe."


def _sample(sample: SampleTime, as_of_us: int, units: Units) -> str:
    when = "now" if sample.at_us <= as_of_us else DayNames(as_of_us, units.zone).of(sample.at_us)
    return f"Best time for a hand sample: {when}; {sample.why}."
