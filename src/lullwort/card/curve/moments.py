"""What is known of each moment of the card's curve: what is read off it, and what its table sums up by days."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis import WHY_PASSED_BY, hour_end
from lullwort.card.curve.content import CurveContent
from lullwort.detector import Units, why_passed_over
from lullwort.exporting import runs
from lullwort.packaging_day import EventRow
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["Moments", "moments_of", "passed_says"]

_DAY_US = 24 * HOUR_US
_BY_READINGS_US = 30 * HOUR_US
"""[µs] So short a span is told reading by reading, a longer one hour by hour."""


class Moments(NamedTuple):
    """Moments in order of time, or the hours that end with them; values in the brewer's units, NaN where not known.

    Attributes:
        at_us:   [µs].
        gravity, low, high: smoothed, and the range that holds it in 9 of 10 cases, NaN for what is not believed.
        raw_low, raw_high: of the readings since the moment before.
        happened: by the place of a moment what was done or decided since the one before, in words.
        passed:  likewise of readings that were passed over, how many for which reason.
        aside:   likewise rows set aside.
    """

    at_us: NDArray[np.int64]
    gravity: FloatArray
    low: FloatArray
    high: FloatArray
    raw_low: FloatArray
    raw_high: FloatArray
    temp: FloatArray
    happened: dict[int, list[str]]
    passed: dict[int, Counter[str]]
    aside: Counter[int]


def moments_of(content: CurveContent, events: Sequence[EventRow], units: Units) -> Moments:
    """All moments within the span of which something is known.

    Args:    events: all that was done.
    """
    happened = list(_happened(content, events))
    by_readings = content.ends_us[1] - content.ends_us[0] <= _BY_READINGS_US and len(content.raw_us)
    slots = _slots(content, [at_us for at_us, _ in happened], bool(by_readings))
    done: dict[int, list[str]] = defaultdict(list)
    passed: dict[int, Counter[str]] = defaultdict(Counter)
    if not len(slots):
        none = np.zeros(0)
        return Moments(slots, none, none, none, none, none, none, done, passed, Counter())
    for at_us, words in happened:
        done[_slot(slots, at_us)].append(words)
    for at_us, why in zip(content.passed_us.tolist(), content.passed_why.tolist(), strict=True):
        passed[_slot(slots, at_us)][why_passed_over(WHY_PASSED_BY[why], units)] += 1
    aside = Counter(_slot(slots, at_us) for at_us in content.aside_us)
    days, curve = content.days(slots), content.curve
    gravity, low, high = (_between(days, curve.days, values) for values in (curve.smooth, content.low, content.high))
    raw_low, raw_high = _raw_ends(content, slots)
    temp = _between(days, curve.temp_days, curve.temps)
    return Moments(slots, gravity, low, high, raw_low, raw_high, temp, done, passed, aside)


def passed_says(passed: Counter[str]) -> str:
    """How many readings were passed over, and why; empty where none was."""
    return "passed over: " + ", ".join(f"{count} × {why}" for why, count in passed.most_common()) if passed else ""


def _happened(content: CurveContent, events: Sequence[EventRow]) -> Iterator[tuple[int, str]]:
    first, last = content.ends_us
    told = [(row.event.at_us, f"{row.mark} {row.what}") for row in events if first <= row.event.at_us <= last]
    pitched_us = content.curve.pitched_us
    told += [(pitched_us + round(tick.day * _DAY_US), f"verdict: {tick.says}") for tick in content.changes]
    hold = content.hold
    if hold is not None and hold.proof and content.curve.from_day <= hold.held.from_day:
        from_us = pitched_us + round(hold.held.from_day * _DAY_US)
        told.append((from_us, f"held still from here on, {hold.held.hours} h in all"))
    yield from sorted(told)


def _slots(content: CurveContent, happened: list[int], by_readings: bool) -> NDArray[np.int64]:
    if by_readings:
        parts = [content.raw_us, content.passed_us, np.array([*happened, *content.aside_us], dtype=np.int64)]
    else:
        hours = np.concatenate([content.curve.days, content.curve.temp_days]) * _DAY_US + content.curve.pitched_us
        whole = np.rint(hours / HOUR_US).astype(np.int64) * HOUR_US
        passed = (content.passed_us // HOUR_US + 1) * HOUR_US
        noted = np.array([hour_end(at_us - 1) for at_us in (*happened, *content.aside_us)], dtype=np.int64)
        parts = [whole, passed, noted]
    slots = np.unique(np.concatenate(parts))
    return slots[(slots >= content.ends_us[0]) & (slots <= content.ends_us[1])]


def _slot(slots: NDArray[np.int64], at_us: int) -> int:
    return min(int(np.searchsorted(slots, at_us)), len(slots) - 1)


def _between(days: FloatArray, known_days: FloatArray, values: FloatArray) -> FloatArray:
    """Values at `days`; NaN in and beyond silences."""
    found = np.full(len(days), np.nan)
    for run in runs(known_days):
        inside = (days >= known_days[run][0] - 1e-9) & (days <= known_days[run][-1] + 1e-9)
        found[inside] = np.interp(days[inside], known_days[run], values[run])
    return found


def _raw_ends(content: CurveContent, slots: NDArray[np.int64]) -> tuple[FloatArray, FloatArray]:
    """Smallest and largest reading up to each moment since the one before."""
    least, most = np.full(len(slots), np.nan), np.full(len(slots), np.nan)
    place = np.searchsorted(slots, content.raw_us)
    place = place[place < len(slots)]
    if len(place):
        first = np.flatnonzero(np.diff(place, prepend=-1))
        least[place[first]] = np.minimum.reduceat(content.raw[: len(place)], first)
        most[place[first]] = np.maximum.reduceat(content.raw[: len(place)], first)
    return least, most
