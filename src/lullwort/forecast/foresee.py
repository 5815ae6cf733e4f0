"""What is foreseen of a batch: when it will be ready, at which gravity, and when how much will be left.

While the main fall runs, a curve fitted to it tells (`curve`); afterwards the filter bank, whose tail knows nothing of
the main fall, but much of what is left (`tail`). What the judge makes of that is asked of the judge (`ahead`). How far
its answer may be off was counted on invented batches.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from lullwort.detector import BatchJudge, Verdict
from lullwort.detector.offset import UNKNOWN_SD
from lullwort.detector.watch import VesselWatch
from lullwort.forecast.ahead import hours_to_ready
from lullwort.forecast.curve import CurvePrior, FittedCurve, fit_curve
from lullwort.forecast.guess import Guess, both, weighted_quantiles
from lullwort.forecast.lessons import Lessons
from lullwort.forecast.moved import Standing, why_moved
from lullwort.forecast.sampling import best_sample
from lullwort.forecast.shapes import Forecast, LeftAt, Level, Span
from lullwort.forecast.tail import tail_outlook
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["POINTS_LEFT", "foresee"]

POINTS_LEFT = (5.0, 3.0, 2.0, 1.0)
"""[points] of which it is said when no more will be left."""

_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9
_SHARES = (_LOW, _MIDDLE, _HIGH)
_BEYOND = 1.2816
"""Standard deviations beyond which a tenth of a normal distribution lies."""

# Hours to `ready` against those for which the judge had to be shown the course foreseen, log R = a + b·log(shown): for
# the lower end, the middle and the upper end of the range, each batch counted once (see DEVELOPERS.md).
_TAIL_TO_READY = ((-0.080, 0.817), (0.368, 0.882), (1.996, 0.718))
_FALL_TO_READY = ((-0.382, 1.0), (0.036, 1.0), (0.912, 1.0))

_FORCED_SD, _ENTRY_SD = 0.9, 1.45
# [points] By which a forced ferment test, and a brewer's expectation beside half its range, miss the end.
_SENSOR_SD, _SAMPLED_SD = 2.1, 1.1
# [points] By which a sensor whose offset is known from the start, or from a sample, errs at the end: its scale (2 to
# 5 % of the fall) and its drift.
_STOOD_SD, _TOLD_SD = 0.7, 3.0
# [points] By which the level of the wort is known, where the sensor stood still in it, and by what was entered.
_LEFT_SD, _LEFT_LEAST_SD = 0.5, 0.3
# Of what is left, as a share, and at least [points].

_LOG_TAIL = Guess(math.log(3.0), 0.8)
_LOG_STEEPNESS = Guess(math.log(2.0 / 24.0), 0.4)
_MIDDLE_H = Guess(65.0, 30.0)
_LOG_TAU = Guess(math.log(50.0), 0.8)
# What ordinary beers do: common practice, no source.
_MISFIT_POINTS, _MISFIT_H = 0.4, 2.0
# No beer falls by a formula: the curve lies off by as much, and runs ahead or behind by as much.
_SPREAD = 1.7
_RED_TWICE = 2.0
# The slow noise hangs together from one mean to the next.

_ASLEEP = "The yeast sleeps; it depends on when the beer is warmed."
_FURTHEST_H = 60.0 * 24.0
_UNSAID: dict[Verdict, str] = {
    "unclear": "It cannot be told how the beer stands.",
    "stalled": "It stands still where it should not, and may stay there.",
    "too cold": _ASLEEP,
}
_NO_CURVE = "No curve fits what was seen so far."
_NO_END = "Neither its original gravity nor its end is known."
_NOT_SEEN = "The sensor has not been heard yet."
_TOO_FAR = "It is too far off to tell."


Quantiles = tuple[float, float, float]
"""Lower end, middle and upper end of an 80 % range."""


class _Outlook(NamedTuple):
    """What one of the two ways foresees.

    Attributes:
        end: final gravity.
        left_h: [h] of POINTS_LEFT, from now until no more is left: ends and middle of the range; 0 for now.
        ready_h: [h] as those, until it will be `ready`; None where that is too far off, or it is.
    """

    end: Level
    left_h: tuple[Quantiles, ...]
    ready_h: Quantiles | None


def foresee(judge: BatchJudge, learned: Lessons, before: Standing | None) -> tuple[Forecast, Standing]:
    """The forecast at the end of the hour that `judge` closed last, and what that of a day later compares with.

    Args:
        learned: from earlier batches of this recipe.
        before:  what this gave a day earlier; None where the batch is younger.
    """
    as_of_us, watch = judge.closed_to_us, judge.watch
    verdict: Verdict = judge.history[-1].verdict if judge.history else "unclear"
    found, unsaid = None, "" if verdict == "packaged" else _unsaid(verdict, watch)
    if verdict != "packaged" and not unsaid:
        found = _while_it_falls(judge, learned) if watch.in_main_fall else _in_its_tail(judge, learned)
        unsaid = _NO_CURVE if found is None else _TOO_FAR if found.ready_h is None else ""
    ready = None if found is None or verdict == "ready" else _ready(judge, found)
    forecast = Forecast(
        as_of_us=as_of_us,
        ready=ready,
        end=None if found is None else found.end,
        left=() if found is None or verdict == "ready" else _left(as_of_us, found),
        sample=best_sample(judge, verdict, ready, None if found is None else found.end),
        unsaid="" if verdict == "ready" else unsaid,
        moved="",
        repeats=0 if found is None else learned.batches,
    )
    standing = Standing.of(judge, verdict, forecast)
    return forecast._replace(moved=why_moved(before, standing)), standing


def _unsaid(verdict: Verdict, watch: VesselWatch) -> str:
    """Why nothing can be foreseen; empty where something can."""
    if not watch.trend.started:
        return _NOT_SEEN
    if watch.expected is None:
        return _NO_END
    asleep = verdict != "ready" and watch.warmth.yeast_h <= 0.0
    return _ASLEEP if asleep else _UNSAID.get(verdict, "")


def _ready(judge: BatchJudge, found: _Outlook) -> Span | None:
    if found.ready_h is None:
        return None
    as_of_us, (low, about, high) = judge.closed_to_us, found.ready_h
    soonest = float(max(1, judge.soonest_ready_h))
    about = max(about, soonest)
    return Span(*(as_of_us + round(h * HOUR_US) for h in (max(low, soonest), about, max(high, about + 1.0))))


def _left(as_of_us: int, found: _Outlook) -> tuple[LeftAt, ...]:
    """Those that may lie ahead, as far as their ranges go; not what is so far off that it is a guess."""
    return tuple(
        LeftAt(points, Span(*(as_of_us + round(h * HOUR_US) for h in hours)))
        for points, hours in zip(POINTS_LEFT, found.left_h, strict=True)
        if hours[2] > 0.0 and hours[1] < _FURTHEST_H
    )


# -- while the main fall runs ---------------------------------------------------------------------------------------


def _while_it_falls(judge: BatchJudge, learned: Lessons) -> _Outlook | None:
    watch = judge.watch
    curve = _fitted(watch, learned)
    if curve is None:
        return None
    yeast_h, bumped = watch.warmth.yeast_h, watch.float.bumped
    low, about, high = np.quantile(curve.ends + watch.above_steady, _SHARES).tolist()
    left_h = tuple(
        _quantiles(curve.left_after(watch.yeast_age_h, points) / yeast_h, curve.weights) for points in POINTS_LEFT
    )
    ready_h = _to_ready(hours_to_ready(judge, lambda at_yeast_h: curve.level(at_yeast_h) + bumped), _FALL_TO_READY)
    return _Outlook(Level(low, about, high), left_h, ready_h)


def _fitted(watch: VesselWatch, learned: Lessons) -> FittedCurve | None:
    end = _end_expected(watch, learned)
    return fit_curve(watch.fall.blocks, _variances(watch), _prior(watch, end, learned), spread=_SPREAD)


def _prior(watch: VesselWatch, end: Guess, learned: Lessons) -> CurvePrior:
    """All as the sensor would read had it never been bumped."""
    above, start = watch.above_steady, watch.offset.start_level
    if start is not None:
        top = Guess(start + watch.correction.added_points, _STOOD_SD)
    elif watch.original is not None:
        top = Guess(watch.original - above, _TOLD_SD)
    else:
        top = Guess(watch.fall.blocks[0].level, _TOLD_SD)
    as_seen = Guess(end.mean - above, math.hypot(end.sd, _sensor_sd(watch)))
    middle = _MIDDLE_H if learned.middle is None else learned.middle
    return CurvePrior(
        top, as_seen, _LOG_TAIL, learned.log_steepness or _LOG_STEEPNESS, middle, learned.log_tau or _LOG_TAU
    )


def _variances(watch: VesselWatch) -> FloatArray:
    """[points²] By which each mean may lie off the curve."""
    white, red = watch.trend.noise.variances()
    at_h, levels, hours = np.array(watch.fall.blocks, dtype=float).T
    pace = np.gradient(levels, at_h) if len(at_h) > 1 and np.all(np.diff(at_h) > 0.0) else np.zeros(len(at_h))
    return np.asarray(white / hours + _RED_TWICE * red + _MISFIT_POINTS**2 + (_MISFIT_H * pace) ** 2)


# -- in the tail -------------------------------------------------------------------------------------------------------


def _in_its_tail(judge: BatchJudge, learned: Lessons) -> _Outlook:
    watch = judge.watch
    end, sensor_sd, yeast_h = _end_expected(watch, learned), _sensor_sd(watch), watch.warmth.yeast_h
    above_end = Guess(watch.gravity - end.mean, math.hypot(end.sd, sensor_sd))
    tail = tail_outlook(watch.trend.bank, above_end, learned.log_tau)
    left = float(np.average(tail.left, weights=tail.weights))
    falls_to = Guess(watch.gravity - left, math.hypot(sensor_sd, _LEFT_SD * left + _LEFT_LEAST_SD))
    ends = both(end, falls_to)
    level = Level(ends.mean - _BEYOND * ends.sd, ends.mean, ends.mean + _BEYOND * ends.sd)
    left_h = tuple(
        _quantiles(tail.left_after(points) / yeast_h if yeast_h > 0.0 else tail.taus_h, tail.weights)
        for points in POINTS_LEFT
    )
    return _Outlook(level, left_h, None if judge.is_ready else _to_ready(hours_to_ready(judge, None), _TAIL_TO_READY))


# -- both --------------------------------------------------------------------------------------------------------------


def _end_expected(watch: VesselWatch, learned: Lessons) -> Guess:
    """[points] Where the beer should end, by what was entered and by earlier batches."""
    expected = watch.expected
    if expected is None:
        raise ValueError("nothing is known of the end")
    least_sd = _FORCED_SD if expected.source == "forced test" else _ENTRY_SD
    entered = Guess(0.5 * (expected.low + expected.high), max(least_sd, 0.5 * (expected.high - expected.low) / _BEYOND))
    return entered if learned.end is None else both(entered, learned.end)


def _sensor_sd(watch: VesselWatch) -> float:
    """[points] By which the sensor may err at the end of the fall, its offset taken off."""
    if watch.offset.sampled_us is not None and watch.offset.sd < UNKNOWN_SD:
        return _SAMPLED_SD
    return _SENSOR_SD if watch.offset.sd < UNKNOWN_SD else UNKNOWN_SD


def _to_ready(shown_h: int | None, lines: tuple[tuple[float, float], ...]) -> Quantiles | None:
    if shown_h is None:
        return None
    low, middle, high = (math.exp(a) * shown_h**b for a, b in lines)
    return low, middle, high


def _quantiles(values: FloatArray, weights: FloatArray) -> Quantiles:
    low, middle, high = weighted_quantiles(values, weights, _SHARES)
    return low, middle, high
