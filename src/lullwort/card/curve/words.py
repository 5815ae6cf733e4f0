"""What the card's curve shows, in sentences, and what each of its shapes stands for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from lullwort.card.curve.content import CurveContent, Hold, reasons_of
from lullwort.card.curve.doubtwords import doubts_say
from lullwort.card.known.facts import BatchFacts
from lullwort.counting import counted
from lullwort.detector import Units, value_range
from lullwort.exporting import curve_says, moment_of
from lullwort.records import Batch

__all__ = ["KeyLine", "content_says", "key_lines", "nothing_says"]

_MOST_REASONS, _LONGEST = 6, 120


class KeyLine(NamedTuple):
    """One line of the legend: the classes and the path of a small picture of the shape, and what it stands for."""

    shape: str
    path: str
    words: str


_WAVE, _FLAT, _BOX, _CROSS = "M1 9c6 0 9-6 22-6", "M1 6h22", "M2 2h20v8h-20z", "M9 3l6 6m0-6l-6 6"
_DIAMOND, _SQUARE, _STROKES = "M12 1l5 5-5 5-5-5z", "M9 3h6v6h-6z", "M4 4v4m4-6v6m4-3v4m4-7v6m4-2v3"
_UPRIGHT, _LANE, _BAR, _ARROW = "M12 0v12", "M1 2h21v8h-21", "M2 6h20m-20-5v10m20-10v10", "M5 6h12m-5-4l5 4-5 4"


def content_says(content: CurveContent, facts: BatchFacts, units: Units) -> str:
    """What the picture shows, for who cannot see it."""
    curve = content.curve
    said = [curve_says(curve, units)]
    if content.ends_us != content.whole:
        since, until = map(units.day_and_time, content.ends_us)
        said.insert(0, f"From {since} to {until}.")
    believed = np.flatnonzero(curve.believed)
    if len(believed):
        low, high = (units.shown_level(float(each[believed[-1]])) for each in (content.low, content.high))
        after = slice(believed[-1] + 1, None)
        before = " before the cold" if len(believed) < len(curve.days) else ""
        if curve.repeated[after].any():
            before = " before the sensor stood still"
        elif curve.repeated.any() and not (~curve.believed & ~curve.repeated).any():
            before = ""
        said.append(f"The last gravity{before} lies within {value_range(low, high)} in 9 of 10 cases.")
    if content.hold is not None and not content.hold.proof:
        said.append(_held_so_far(content.hold, units))
    if content.foreseen is not None and facts.forecast is not None and facts.forecast.ready is not None:
        span = facts.forecast.ready
        said.append(f"Likely ready {_days(units, span.low_us, span.high_us)}.")
    if content.changes:
        moment = moment_of(curve, units)
        told = ", ".join(f"{tick.says} from {moment(tick.day)} on" for tick in content.changes)
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
        if curve.believed.any():
            yield KeyLine("band", _BOX, "where gravity lies, 9 in 10 sure")
        yield from (KeyLine("", "", words) for words in doubts_say(content, facts, units))
        if not (curve.believed | curve.repeated).all():
            yield KeyLine("smooth cold", _WAVE, "read in the cold, where the sensor's own error grows: not believed")
        if curve.repeated.any():
            words = (
                "the same number again and again: the sensor stood still, whatever the beer did, and is not believed"
            )
            yield KeyLine("smooth cold", _WAVE, words)
    if len(content.raw):
        yield KeyLine(
            "hourly", _STROKES, f"{counted(len(content.raw), 'reading')}, one by one, the sensor's error taken off"
        )
    yield from _left_out(content, facts)
    if curve.samples:
        dashed = "" if len(curve.days) else ", dashed between them"
        yield KeyLine("sample", _DIAMOND, f"hand sample with its range{dashed}")
    if curve.ticks:
        yield KeyLine("tick", _UPRIGHT, "what was done, numbered as in the list of what was done")
    if content.hold is not None:
        yield from _holding(content.hold, content.now_day)
    if curve.expected is not None:
        low, high = (units.shown_level(each, 3) for each in curve.expected)
        yield KeyLine("end", _FLAT, f"where it should end: {value_range(low, high)}")
    if len(curve.temps):
        yield KeyLine("temp", _WAVE, f"below: temperature{_yeast(facts.batch, units)}")
    if content.changes:
        yield KeyLine("change", _UPRIGHT, "on the axis: the verdict changed")
    if content.foreseen is not None and facts.forecast is not None and facts.forecast.ready is not None:
        span = facts.forecast.ready
        words = f"likely ready {_days(units, span.low_us, span.high_us)} (4 in 5)"
        if content.foreseen.low_day >= curve.to_day:
            yield KeyLine("later", _ARROW, f"{words}, beyond this edge")
        elif content.foreseen.high_day >= curve.from_day:
            yield KeyLine("foreseen", _BAR, words)


def _left_out(content: CurveContent, facts: BatchFacts) -> Iterator[KeyLine]:
    if content.passed_over:
        yield KeyLine(
            "passed", _CROSS, f"{_passed_says(content.passed_over)} (a cross at the very edge lies outside the picture)"
        )
    if facts.judged.conflicts:
        moments = counted(facts.judged.conflicts, "moment")
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
    says = f"{counted(total, 'row')} set aside as no readings ({', '.join(where)}): {'; '.join(reasons)}"
    yield KeyLine("aside", _SQUARE, says)


def _passed_says(passed_over: Sequence[tuple[str, int]]) -> str:
    if not passed_over:
        return ""
    why = "; ".join(f"{count} × {words}" for words, count in passed_over)
    return f"{counted(sum(count for _, count in passed_over), 'reading')} passed over: {why}"


def _holding(hold: Hold, now_day: float) -> Iterator[KeyLine]:
    if hold.proof:
        unseen = ", with nothing seen between" if len(hold.held.parts) > 1 else ""
        yield KeyLine("held", _BOX, f"held still for {hold.held.hours} h within the tolerance{unseen}: the proof")
        return
    yield KeyLine("held", _BOX, f"the tolerance about what was read in the last {hold.held.hours} h of proof")
    if hold.until_day > now_day:
        yield KeyLine("needed", _LANE, "within which it must stay until then")


def _held_so_far(hold: Hold, units: Units) -> str:
    moved = ""
    if hold.too_far:
        went = "fell" if hold.fell > 0.0 else "rose"
        moved = f"gravity {went} {units.difference(abs(hold.fell))} in its last {hold.held.hours} h, which is too much"
    if hold.counted_h >= hold.needed_h:
        if hold.still:
            return f"Hold window: long enough with its {hold.needed_h} h; what else is missing stands in the evidence."
        why = f": {moved}" if moved else ""
        return f"Hold window: long enough with its {hold.needed_h} h, but not still enough yet{why}."
    more = hold.needed_h - hold.counted_h
    why = f"; {moved}" if moved else ""
    return f"Hold window: {hold.counted_h} of {hold.needed_h} h so far, {more} h still needed{why}."


def _yeast(batch: Batch, units: Units) -> str:
    least, most = (None if temp_c is None else units.temp(temp_c) for temp_c in (batch.yeast_min_c, batch.yeast_max_c))
    if least and most:
        return f", and between which its yeast works: {value_range(least, most)}"
    if least or most:
        return f", and what its yeast needs: {'at least' if least else 'at most'} {least or most}"
    return ""


def _days(units: Units, low_us: int, high_us: int) -> str:
    low, high = units.day(low_us), units.day(high_us)
    return f"on {low}" if low == high else f"between {low} and {high}"


def _short(words: str) -> str:
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1]}…"
