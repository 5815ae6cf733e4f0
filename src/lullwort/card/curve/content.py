"""What the card's picture of a batch shows within a span, in the brewer's units: more than the sheet's has."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from operator import is_
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis import WHY_PASSED_BY
from lullwort.card.curve.span import CurveSpan
from lullwort.card.known.curvebasis import CurveBasis, curve_basis
from lullwort.card.known.facts import BatchFacts
from lullwort.detector import Units, why_passed_over
from lullwort.exporting import BatchCurve, HeldStill, Tick, batch_curve, gravities_shown, held_shown, runs
from lullwort.packaging_day import SPREAD
from lullwort.records import HOUR_US, Event
from lullwort.units import FloatArray, from_celsius

__all__ = ["CurveContent", "Foreseen", "Hold", "curve_content", "reasons_of"]

_DAY_US = 24 * HOUR_US
_AHEAD_SHARE, _AHEAD_LEAST_D, _AFTER_END = 0.8, 0.5, 1.03
# What lies ahead takes up less than half of the picture, and what ends there does not touch its edge.


class Hold(NamedTuple):
    """The hold window.

    Attributes:
        held:  from when to when gravity was judged for standing still, and between which levels.
        until_day: [d since pitch] to when it must go on; where it is proved the end of `held`.
        proof: whether that is the proof of a `ready`.
        counted_h, needed_h: hours of proof so far, and in all.
        still: whether gravity stands still enough in it; where it does not, `fell` [points] is by what it fell, and
            `too_far` whether that alone is more than the tolerance allows.
    """

    held: HeldStill
    until_day: float
    proof: bool
    counted_h: int
    needed_h: int
    still: bool = True
    fell: float = 0.0
    too_far: bool = False

    def within(self, from_day: float, to_day: float) -> bool:
        """Whether any of it lies between two days [d since pitch]."""
        return self.held.from_day < to_day and self.until_day > from_day


class Foreseen(NamedTuple):
    """When [d since pitch] it is likely to be ready: an 80 % range, and the likeliest."""

    low_day: float
    about_day: float
    high_day: float


@dataclass(frozen=True, eq=False)
class CurveContent:
    """A picture's content; all but `whole` and the counts of rows set aside lies within the span.

    Attributes:
        curve:    hours, samples and events; from_day and to_day are the span's ends.
        low, high: of each smoothed hour, the range that holds it in 9 of 10 cases; NaN for what is not believed.
        now_us, now_day: as of when it is judged, [µs] and [d since pitch].
        ends_us, whole: [µs] of the span, and of all there is.
        raw_us, raw, raw_temps: every reading that was used, its gravity mended as the hours are.
        passed_us, passed: those that were passed over; NaN for a gravity that cannot be told.
        passed_why: of each its place in WHY_PASSED_BY.
        passed_over: reasons, each with how many, the commonest first.
        aside_us: [µs] of rows set aside that tell it.
        stood:    verdict at the span's beginning; empty before there is one.
        changes:  of the verdict.
        yeast:    [the brewer's degrees] least and most that its yeast works at; None where that was not entered.
    """

    curve: BatchCurve
    low: FloatArray
    high: FloatArray
    now_us: int
    now_day: float
    ends_us: tuple[int, int]
    whole: tuple[int, int]
    raw_us: NDArray[np.int64]
    raw: FloatArray
    raw_temps: FloatArray
    passed_us: NDArray[np.int64]
    passed: FloatArray
    passed_why: NDArray[np.int8]
    passed_over: tuple[tuple[str, int], ...]
    aside_us: tuple[int, ...]
    hold: Hold | None
    foreseen: Foreseen | None
    stood: str
    changes: tuple[Tick, ...]
    yeast: tuple[float | None, float | None]

    def days(self, at_us: NDArray[np.int64]) -> FloatArray:
        """[d since pitch] Of moments."""
        return (at_us - self.curve.pitched_us) / _DAY_US


def curve_content(facts: BatchFacts, marks: Mapping[Event, str], units: Units, span: CurveSpan) -> CurveContent | None:
    """The content; None where neither sensor nor sample has given a gravity.

    Args:    marks: of the events that are ticked, see `batch_curve`.
    """
    basis = _basis_of(facts)
    curve = batch_curve(facts.sheet, marks, facts.course, units, basis.ground)
    if curve is None:
        return None
    now_us = facts.judged.as_of_us
    now_day = (now_us - curve.pitched_us) / _DAY_US
    hold, foreseen = _hold(facts, basis, curve, units, now_day), _foreseen(facts, curve.pitched_us)
    whole_us = (_us(curve, curve.from_day), _us(curve, _whole_to(curve, now_day, hold, foreseen)))
    ends_us = span.ends_us(whole_us, now_us)
    from_day, to_day = ((at_us - curve.pitched_us) / _DAY_US for at_us in ends_us)
    low, high = (gravities_shown(basis.ground.smooth + basis.sds * by, units) for by in (-SPREAD, SPREAD))
    inside = (facts.each.at_us >= ends_us[0]) & (facts.each.at_us <= ends_us[1])
    used, over = inside & (facts.each.why == 0), inside & (facts.each.why > 0)
    changes = _changes(facts, curve.pitched_us)
    mended = basis.mended
    cut = _Cut(curve.days, from_day, to_day)
    temps = _Cut(curve.temp_days, from_day, to_day)
    return CurveContent(
        curve=replace(
            curve,
            from_day=from_day,
            to_day=to_day,
            days=cut.days,
            hourly=cut.of(curve.hourly),
            smooth=cut.of(curve.smooth),
            believed=cut.of(curve.believed.astype(np.float64)) > 0.5,
            temp_days=temps.days,
            temps=temps.of(curve.temps),
            held=hold.held if hold is not None and hold.proof and hold.within(from_day, to_day) else None,
            samples=tuple(mark for mark in curve.samples if from_day <= mark.day <= to_day),
            ticks=tuple(tick for tick in curve.ticks if tick.mark and from_day <= tick.day <= to_day),
        ),
        low=cut.of(low),
        high=cut.of(high),
        now_us=now_us,
        now_day=now_day,
        ends_us=ends_us,
        whole=whole_us,
        raw_us=facts.each.at_us[used],
        raw=gravities_shown(mended[used], units),
        raw_temps=_degrees(facts.each.temperature_c[used], units),
        passed_us=facts.each.at_us[over],
        passed=gravities_shown(mended[over], units),
        passed_why=facts.each.why[over],
        passed_over=reasons_of(facts.each.why[over], units),
        aside_us=tuple(at_us for at_us in facts.aside.at_us if ends_us[0] <= at_us <= ends_us[1]),
        hold=hold if hold is not None and hold.within(from_day, to_day) else None,
        foreseen=foreseen,
        stood=next((tick.says for tick in reversed(changes) if tick.day < from_day), ""),
        changes=tuple(tick for tick in changes if from_day <= tick.day <= to_day),
        yeast=_yeast(facts, units),
    )


class _Cut:
    """Values of each hour within a span, with one more at each end of it where the line goes on beyond."""

    def __init__(self, days: FloatArray, from_day: float, to_day: float) -> None:
        self._all = days
        within = [days[(days >= from_day) & (days <= to_day)]]
        for run in runs(days):
            first, last = days[run][0], days[run][-1]
            within += [np.array([edge]) for edge in (from_day, to_day) if first < edge < last]
        self.days: FloatArray = np.unique(np.concatenate([*within, np.zeros(0)]))

    def of(self, values: FloatArray) -> FloatArray:
        """Of one quantity."""
        return np.interp(self.days, self._all, values) if len(self.days) else self.days


def _us(curve: BatchCurve, day: float) -> int:
    return curve.pitched_us + round(day * _DAY_US)


def _basis_of(facts: BatchFacts) -> CurveBasis:
    """The one that is kept, unless it is of other facts."""
    kept, own = facts.basis, (facts.sheet, facts.course, facts.each)
    if kept is not None and all(map(is_, kept.made_of, own)):
        return kept
    return curve_basis(facts.sheet, facts.judged, facts.course, facts.each)


def _degrees(temps_c: NDArray[np.float32], units: Units) -> FloatArray:
    return np.asarray(from_celsius(temps_c.astype(np.float64), units.temperature))


def reasons_of(why: NDArray[np.int8], units: Units) -> tuple[tuple[str, int], ...]:
    """Reasons in the brewer's units, by their places in WHY_PASSED_BY, each with how many, the commonest first."""
    counts = Counter(why.tolist())
    return tuple((why_passed_over(WHY_PASSED_BY[number], units), count) for number, count in counts.most_common())


def _yeast(facts: BatchFacts, units: Units) -> tuple[float | None, float | None]:
    least, most = (
        None if temp_c is None else float(from_celsius(temp_c, units.temperature))
        for temp_c in (facts.batch.yeast_min_c, facts.batch.yeast_max_c)
    )
    return least, most


def _changes(facts: BatchFacts, pitched_us: int) -> list[Tick]:
    told = ((facts.judged.told_as_of(change), change.verdict) for change in facts.judged.history)
    return [Tick((at_us - pitched_us) / _DAY_US, "", verdict) for at_us, verdict in told]


def _foreseen(facts: BatchFacts, pitched_us: int) -> Foreseen | None:
    if facts.forecast is None or facts.forecast.ready is None:
        return None
    return Foreseen(*((at_us - pitched_us) / _DAY_US for at_us in facts.forecast.ready))


def _whole_to(curve: BatchCurve, now_day: float, hold: Hold | None, foreseen: Foreseen | None) -> float:
    """[d since pitch] To where the whole picture goes: to the end of what is foreseen, where that is near enough."""
    ahead = [hold.until_day] if hold else []
    ahead += [foreseen.high_day] if foreseen else []
    seen = curve.to_day - curve.from_day
    most = max(_AHEAD_SHARE * seen, _AHEAD_LEAST_D)
    if foreseen is not None and foreseen.low_day > now_day + most:
        ahead.remove(foreseen.high_day)  # it would only be an arrow at the end of an empty field
    far = min(max([now_day, *ahead]) - now_day, most)
    return max(curve.to_day, now_day + _AFTER_END * far)


def _hold(facts: BatchFacts, basis: CurveBasis, curve: BatchCurve, units: Units, now_day: float) -> Hold | None:
    """The proof, or while it is holding what there is of it."""
    if curve.held is not None:
        return Hold(curve.held, curve.held.to_day, True, curve.held.hours, curve.held.hours)
    if basis.so_far is None:
        return None
    seen = facts.sheet.seen
    if seen.hand is None:
        counted_h, needed_h = max(seen.counted_h - 1, 0), seen.needed_h
    else:
        counted_h, needed_h = basis.so_far.hours, seen.hand.needed_h
    until_day = now_day + max(needed_h - counted_h, 0) / 24.0
    return Hold(
        held_shown(basis.so_far, units), until_day, False, min(counted_h, needed_h), needed_h,
        seen.passed["flat"], seen.fell, abs(seen.fell) > seen.tolerance,
    )  # fmt: skip
