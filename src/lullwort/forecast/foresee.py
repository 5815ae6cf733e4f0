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
from lullwort.detector.watch import HANDED_OVER_H, VesselWatch
from lullwort.forecast.ahead import hours_to_ready
from lullwort.forecast.curve import FittedCurve, fit_curve
from lullwort.forecast.guess import TENTH_SDS, Guess, both_or_either, weighted_quantiles
from lullwort.forecast.lessons import Lessons
from lullwort.forecast.moved import Standing, why_moved
from lullwort.forecast.sampling import best_sample
from lullwort.forecast.shapes import Forecast, LeftAt, Level, Span
from lullwort.forecast.tail import tail_outlook
from lullwort.forecast.usual import block_variances, curve_prior, end_expected, sensor_sd
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["POINTS_LEFT", "foresee"]

POINTS_LEFT = (5.0, 3.0, 2.0, 1.0)
"""[points] of which it is said when no more will be left."""

_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9
_SHARES = (_LOW, _MIDDLE, _HIGH)

# By how much the hours to `ready` differ from those for which the judge had to be shown what is foreseen, as
# log R = a + b·log(shown) for the lower end, the middle and the upper end of the range: counted on invented batches of
# the families tail and uptake, each batch once. In the middle the judge is right.
_TAIL_TO_READY = ((-1.10, 1.09), (0.0, 1.0), (1.45, 0.85))
_FALL_TO_READY = ((-0.53, 1.0), (0.0, 1.0), (0.85, 1.0))

_LEFT_SD, _LEFT_LEAST_SD = 0.5, 0.3
# Of what is left, as a share, and at least [points].
_SPREAD, _END_SHARE = 2.0, 0.65
# The values alone would make the curve too sure of itself: of its pace by as much, of its end by a share of that.

_ASLEEP = "The yeast sleeps; it depends on when the beer is warmed."
_FURTHEST_H = 60.0 * 24.0
_MINUTE_US = HOUR_US // 60
_LATEST_START_US = 96 * HOUR_US
# Even a cold lager has begun by then. Common practice, no source.
_NOT_BEGUN = "It has not begun to ferment, and nobody knows whether it will."
_WAKING_US = 24 * HOUR_US
_WAKING = "It has just been warmed: a day will show how fast its yeast works again."
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

    Of a beer that is ready or packaged nothing is left to foresee.

    Args:
        learned: from earlier batches of this recipe.
        before:  what this gave a day earlier; None where the batch is younger.
    """
    as_of_us = judge.closed_to_us
    verdict: Verdict = judge.history[-1].verdict if judge.history else "unclear"
    found, unsaid = _found(judge, verdict, learned)
    ready = None if found is None else _ready(judge, found)
    forecast = Forecast(
        as_of_us=as_of_us,
        ready=ready,
        end=None if found is None else found.end,
        left=() if found is None else _left(as_of_us, found),
        sample=best_sample(judge, verdict, ready),
        unsaid=unsaid,
        moved="",
        repeats=0 if found is None else learned.batches,
    )
    standing = Standing.of(judge, verdict, forecast)
    return forecast._replace(moved=why_moved(before, standing)), standing


def _found(judge: BatchJudge, verdict: Verdict, learned: Lessons) -> tuple[_Outlook | None, str]:
    """What is foreseen, and why no `ready` is; the second empty where there is one, or none to foresee."""
    if verdict in ("ready", "packaged"):
        return None, ""
    if unsaid := _unsaid(verdict, judge.watch, judge.closed_to_us):
        return None, unsaid
    found = _outlook(judge, learned)
    if found is None:
        return None, _NO_CURVE
    return found, _TOO_FAR if found.ready_h is None else ""


def _outlook(judge: BatchJudge, learned: Lessons) -> _Outlook | None:
    """By the fall's curve, by the tail, or where the one hands over to the other by both, so that nothing jumps."""
    share = min(1.0, judge.watch.tail_h / HANDED_OVER_H)
    fall = _while_it_falls(judge, learned) if share < 1.0 else None
    if share == 0.0:
        return fall
    tail = _in_its_tail(judge, learned)
    return tail if fall is None else _between(fall, tail, share)


def _between(first: _Outlook, second: _Outlook, share: float) -> _Outlook:
    """From the `first` a `share` of the way to the second."""

    def part(one: Quantiles, two: Quantiles) -> Quantiles:
        low, middle, high = (a + share * (b - a) for a, b in zip(one, two, strict=True))
        return low, middle, high

    ready_h = first.ready_h or second.ready_h
    if first.ready_h is not None and second.ready_h is not None:
        ready_h = part(first.ready_h, second.ready_h)
    left_h = tuple(part(one, two) for one, two in zip(first.left_h, second.left_h, strict=True))
    return _Outlook(Level(*part(first.end, second.end)), left_h, ready_h)


def _unsaid(verdict: Verdict, watch: VesselWatch, at_us: int) -> str:
    """Why nothing can be foreseen at `at_us` [µs]; empty where something can."""
    if not watch.trend.started:
        return _NOT_SEEN
    if watch.expected is None:
        return _NO_END
    if not watch.has_fallen and at_us - watch.batch.pitched_us > _LATEST_START_US:
        return _NOT_BEGUN
    if watch.slept_us is not None and at_us - watch.slept_us < _WAKING_US:
        return _ASLEEP if at_us == watch.slept_us else _WAKING
    return _UNSAID.get(verdict, "")


def _ready(judge: BatchJudge, found: _Outlook) -> Span | None:
    if found.ready_h is None:
        return None
    as_of_us, (low, about, high) = judge.closed_to_us, found.ready_h
    soonest = float(max(1, judge.soonest_ready_h))
    about = max(about, soonest)
    return _span(as_of_us, (max(low, soonest), about, max(high, about + 1.0)))


def _left(as_of_us: int, found: _Outlook) -> tuple[LeftAt, ...]:
    """Those that may lie ahead, as far as their ranges go; not what is so far off that it is a guess."""
    return tuple(
        LeftAt(points, _span(as_of_us, hours))
        for points, hours in zip(POINTS_LEFT, found.left_h, strict=True)
        if hours[2] > 0.0 and hours[1] < _FURTHEST_H
    )


def _span(as_of_us: int, hours: Quantiles) -> Span:
    """In whole minutes: nothing is known more exactly."""
    return Span(*(as_of_us + round(60.0 * h) * _MINUTE_US for h in hours))


# -- while the main fall runs ---------------------------------------------------------------------------------------


def _while_it_falls(judge: BatchJudge, learned: Lessons) -> _Outlook | None:
    watch = judge.watch
    curve = _fitted(watch, learned)
    if curve is None:
        return None
    yeast_h, bumped = watch.warmth.yeast_h, watch.float.bumped
    ends = float(curve.best[1]) + _END_SHARE * (curve.ends - float(curve.best[1]))
    low, about, high = np.quantile((ends + watch.above_steady) / watch.offset.scale, _SHARES).tolist()
    left_h = tuple(
        _quantiles(curve.left_after(watch.yeast_age_h, points) / yeast_h, curve.weights) for points in POINTS_LEFT
    )
    ready_h = _to_ready(hours_to_ready(judge, lambda at_yeast_h: curve.level(at_yeast_h) + bumped), _FALL_TO_READY)
    return _Outlook(Level(low, about, high), left_h, ready_h)


def _fitted(watch: VesselWatch, learned: Lessons) -> FittedCurve | None:
    return fit_curve(watch.fall.blocks, block_variances(watch), curve_prior(watch, learned), spread=_SPREAD)


# -- in the tail -------------------------------------------------------------------------------------------------------


def _in_its_tail(judge: BatchJudge, learned: Lessons) -> _Outlook:
    watch = judge.watch
    end, error_sd = end_expected(watch, learned), sensor_sd(watch)
    scale = watch.offset.scale
    above_end = Guess(scale * (watch.gravity - end.mean), scale * math.hypot(end.sd, error_sd))
    tail = tail_outlook(watch.trend.bank, above_end, learned.log_tau)
    # By its own tail alone: what was drawn towards the end would count the end twice.
    left = watch.trend.bank.left() / scale
    falls_to = Guess(watch.gravity - left, math.hypot(error_sd, _LEFT_SD * left + _LEFT_LEAST_SD))
    ends = both_or_either(end, falls_to)
    level = Level(ends.mean - TENTH_SDS * ends.sd, ends.mean, ends.mean + TENTH_SDS * ends.sd)
    left_h = tuple(_quantiles(tail.left_after(points) / watch.warmth.yeast_h, tail.weights) for points in POINTS_LEFT)
    age_h, stands = watch.yeast_age_h, watch.level
    shown_h = hours_to_ready(judge, lambda at_yeast_h: stands - tail.fallen_after(at_yeast_h - age_h))
    return _Outlook(level, left_h, _to_ready(shown_h, _TAIL_TO_READY))


# -- both --------------------------------------------------------------------------------------------------------------


def _to_ready(shown_h: int | None, lines: tuple[tuple[float, float], ...]) -> Quantiles | None:
    if shown_h is None:
        return None
    low, middle, high = (math.exp(a) * shown_h**b for a, b in lines)
    return low, middle, high


def _quantiles(values: FloatArray, weights: FloatArray) -> Quantiles:
    low, middle, high = weighted_quantiles(values, weights, _SHARES)
    return low, middle, high
