"""What the card's curve shows, in sentences, and what each of its shapes stands for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from lullwort.card.curvecontent import CurveContent, Hold, reasons_of
from lullwort.card.facts import BatchFacts
from lullwort.detector import Units, value_range
from lullwort.exporting import curve_says

__all__ = ["KeyLine", "content_says", "key_lines", "nothing_says"]

_MOST_REASONS, _LONGEST = 6, 120


class KeyLine(NamedTuple):
    """One line of the legend: the classes and the path of a small picture of the shape, and what it stands for."""

    shape: str
    path: str
    words: str


_WAVE, _FLAT, _BOX, _CROSS = "M1 9c6 0 9-6 22-6", "M1 6h22", "M2 2h20v8h-20z", "M9 3l6 6m0-6l-6 6"
_DIAMOND, _SQUARE, _STROKES = "M12 1l5 5-5 5-5-5z", "M9 3h6v6h-6z", "M4 4v4m4-6v6m4-3v4m4-7v6m4-2v3"
_UPRIGHT = "M12 0v12"


def content_says(content: CurveContent, facts: BatchFacts, units: Units) -> str:
    """What the picture shows, for who cannot see it."""
    curve = content.curve
    said = [curve_says(curve, units)]
    if content.ends_us != content.whole:
        since, until = map(units.day_and_time, content.ends_us)
        said.insert(0, f"From {since} to {until}.")
    if len(content.low):
        low, high = (units.shown_level(float(each[-1])) for each in (content.low, content.high))
        said.append(f"The last lies within {value_range(low, high)} in 9 of 10 cases.")
    if content.hold is not None and not content.hold.proof:
        said.append(_held_so_far(content.hold))
    if content.foreseen is not None and facts.forecast is not None and facts.forecast.ready is not None:
        span = facts.forecast.ready
        said.append(f"Likely ready {_days(units, span.low_us, span.high_us)}.")
    if content.changes:
        told = ", ".join(f"{tick.says} from {units.day(_at_us(content, tick.day))} on" for tick in content.changes)
        said.append(f"Verdicts: {told}.")
    return " ".join(filter(None, said))


def nothing_says(facts: BatchFacts, units: Units) -> str:
    """Why there is no curve."""
    why = _passed_says(reasons_of(facts.each.why[facts.each.why > 0], units))
    return f"No gravity has been read yet, by a sensor or by hand. {f'{why}.' if why else ''}".rstrip()


def key_lines(content: CurveContent, facts: BatchFacts, units: Units) -> Iterator[KeyLine]:
    """The legend; a line only for what is there."""
    curve = content.curve
    if len(curve.days):
        yield KeyLine("smooth", _WAVE, "gravity, smoothed")
        yield KeyLine("band", _BOX, "where gravity lies, 9 in 10 sure")
    if len(content.raw):
        yield KeyLine(
            "hourly", _STROKES, f"{_counted(len(content.raw), 'reading')}, one by one, the sensor's error taken off"
        )
    yield from _left_out(content, facts)
    if curve.samples:
        dashed = "" if len(curve.days) else ", dashed between them"
        yield KeyLine("sample", _DIAMOND, f"hand sample with its range{dashed}")
    if curve.ticks:
        yield KeyLine("tick", _UPRIGHT, "what was done, numbered as in the list of what was done")
    if content.hold is not None:
        proved = f"held still for {content.hold.needed_h} h within the tolerance: the proof"
        so_far = f"the tolerance about what was read in the {_held_so_far(content.hold)[0].lower()}"
        so_far += _held_so_far(content.hold)[1:].rstrip(".")
        yield KeyLine("held", _BOX, proved if content.hold.proof else so_far)
        if content.hold.until_day > content.hold.held.to_day:
            yield KeyLine("needed", _BOX, "within which it must stay until then")
    if curve.expected is not None:
        low, high = (units.shown_level(each, 3) for each in curve.expected)
        yield KeyLine("end", _FLAT, f"where it should end: {value_range(low, high)}")
    if len(curve.temps):
        yield KeyLine("temp", _WAVE, f"below: temperature{_yeast(content, units)}")
    if content.changes:
        yield KeyLine("change", _UPRIGHT, "on the axis: the verdict changed")
    if content.foreseen is not None and facts.forecast is not None and facts.forecast.ready is not None:
        span = facts.forecast.ready
        yield KeyLine("foreseen", _BOX, f"likely ready {_days(units, span.low_us, span.high_us)} (4 in 5)")


def _left_out(content: CurveContent, facts: BatchFacts) -> Iterator[KeyLine]:
    if content.passed_over:
        yield KeyLine(
            "passed", _CROSS, f"{_passed_says(content.passed_over)} (at the edge: it lies outside the picture)"
        )
    if facts.judged.conflicts:
        moments = _counted(facts.judged.conflicts, "moment")
        yield KeyLine("", "", f"{moments} in all left out, for reports of one sensor contradict each other")
    aside = facts.aside
    total = len(aside.at_us) + aside.elsewhen + aside.timeless + aside.unread
    if not total:
        return
    reasons = [f"{count} × {_short(words)}" for words, count in aside.reasons[:_MOST_REASONS]]
    more = sum(count for _, count in aside.reasons[_MOST_REASONS:]) + aside.unread
    reasons += [f"{more} for other reasons"] if more else []
    where = []
    if aside.at_us:
        shown = len(content.aside_us)
        there = "" if shown == len(aside.at_us) else f", {shown} of them here"
        where.append(f"{len(aside.at_us)} with its time on the axis{there}")
    if aside.timeless + aside.unread:
        where.append(f"{aside.timeless + aside.unread} whose time is not known")
    if aside.elsewhen:
        where.append(f"{aside.elsewhen} of another time")
    says = f"{_counted(total, 'row')} set aside as no readings ({', '.join(where)}): {'; '.join(reasons)}"
    yield KeyLine("aside", _SQUARE, says)


def _passed_says(passed_over: Sequence[tuple[str, int]]) -> str:
    if not passed_over:
        return ""
    why = "; ".join(f"{count} × {words}" for words, count in passed_over)
    return f"{_counted(sum(count for _, count in passed_over), 'reading')} passed over: {why}"


def _held_so_far(hold: Hold) -> str:
    moved = "" if hold.still else ", and gravity has moved more in it than the tolerance allows"
    if hold.counted_h >= hold.needed_h:
        missing = "" if moved else "; what else is missing stands in the evidence"
        return f"Hold window: all of its {hold.needed_h} h are there{moved}{missing}."
    more = hold.needed_h - hold.counted_h
    return f"Hold window: {hold.counted_h} of {hold.needed_h} h so far, {more} h still needed{moved}."


def _yeast(content: CurveContent, units: Units) -> str:
    least, most = (None if each is None else f"{units.number(each, 0)} °{units.temperature}" for each in content.yeast)
    if least and most:
        return f", and between which its yeast works: {value_range(least, most)}"
    if least or most:
        return f", and what its yeast needs: {'at least' if least else 'at most'} {least or most}"
    return ""


def _days(units: Units, low_us: int, high_us: int) -> str:
    low, high = units.day(low_us), units.day(high_us)
    return f"on {low}" if low == high else f"between {low} and {high}"


def _at_us(content: CurveContent, day: float) -> int:
    return content.curve.pitched_us + round(day * 86_400_000_000)


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _short(words: str) -> str:
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1]}…"
