"""How one batch has fermented, in the few numbers by which repeats of a recipe are compared."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from lullwort.analysis import CourseHour
from lullwort.detector import Judged
from lullwort.forecast.fallcurve import FallCurve
from lullwort.records import HOUR_US

__all__ = ["Known", "Traits", "traits"]

_GONE_SHARE = 0.75
_NEAR_END_POINTS = 1.0
# What matters in a bottle, half a volume of CO2. The hour of 2 points is found more exactly, but differs as much less
# from batch to batch.
_DAY_H, _EVENED_H = 24, 9
_SILENT_H = 12.0
# A silence as long may hide the steepest fall.
_AROUND_H, _PACE_H, _LEAST_PACE = 12.0, 6.0, 0.01
_AFTER_READY_H = 48.0
_AT_REST = ("ready", "holding", "stalled", "too cold")

# Standard deviations, such that on invented batches of three families nine of ten lie within about 2 of them.
_START_SD, _GUESSED_START_SD, _REST_SD, _SCALE_SD = 0.5, 1.5, 0.3, 0.7
_EXPECTED_SD = 2.0
# The brewer's own guess of the end, beside half the width of the range that was entered.
_LEVEL_SD, _STEEPEST_SD, _NOISES = 1.0, 1.3, 1.5
# A float's slow wandering is not seen in how its values lie about the curve.
_READY_SD_H = 20.0


class Known(NamedTuple):
    """A trait, and the standard deviation by which the sensor leaves it unknown; both in the trait's unit."""

    value: float
    sd: float


class Traits(NamedTuple):
    """What is known of one batch; None where it cannot be known yet, or the log does not show it.

    Attributes:
        lag_h: [h] from the pitch until the detector's `begun_fall` is gone: less may be the float's own wandering.
        steepest: [points/day] the most that fell within 24 hours.
        steepest_at_h: [h since pitch] the middle of those.
        gone_h: [h] from the pitch until three quarters of the fall were gone; while it runs, of the fall to the middle
            of the expected end.
        tail_h: [h] from there until no more than 1 point above the end.
        end: [points] gravity at which it came to rest, the sensor's offset taken off; of one that is ready, or was
            packaged at rest.
        ready_h: [h] from the pitch to the `ready` that stands, or stood when it was packaged.
        temperature_c: [°C] median until three quarters were gone, or so far.
        no_lag_end_h, not_gone_h, not_ready_h: [h since pitch] up to when that had certainly not come; None where it has
            come, where that cannot be told, and once the batch is over.
    """

    lag_h: Known | None = None
    steepest: Known | None = None
    steepest_at_h: float | None = None
    gone_h: Known | None = None
    tail_h: Known | None = None
    end: Known | None = None
    ready_h: Known | None = None
    temperature_c: float | None = None
    no_lag_end_h: float | None = None
    not_gone_h: float | None = None
    not_ready_h: float | None = None


def traits(judged: Judged, course: Sequence[CourseHour]) -> Traits:
    """The traits of a batch as judged up to an instant.

    Sugar or fruit counts as if it had been in the wort: its points are part of the fall, so that a batch that was fed
    late reaches three quarters late.

    Args:    course: its hours up to the same instant, see `hourly_course`.
    """
    batch = judged.batch
    ready_h = _ready_h(judged)
    running = judged.verdict not in ("ready", "packaged")
    not_ready_h = (judged.as_of_us - batch.pitched_us) / HOUR_US if running else None
    curve = FallCurve.of(course, batch.events, batch.pitched_us)
    if curve is None:
        return Traits(ready_h=ready_h, not_ready_h=not_ready_h)
    start = _start(curve, judged)
    rest = _rest(curve, judged, ready_h) if _came_to_rest(judged) else None
    lag_h = None if start is None else _fallen_to(curve, start.value - judged.now.begun_fall, start.sd)
    gone_at = None if start is None else _gone_at(start, rest, judged)
    gone_h = None if gone_at is None else _fallen_to(curve, gone_at.value, gone_at.sd)
    steepest = None if lag_h is None else _steepest(curve, over=gone_h is not None)
    last_h = float(curve.hours[-1])
    awaited = running and gone_h is None and gone_at is not None and curve.points[-1] > gone_at.value + gone_at.sd
    return Traits(
        lag_h=lag_h,
        steepest=None if steepest is None else steepest[0],
        steepest_at_h=None if steepest is None else steepest[1],
        gone_h=gone_h,
        tail_h=None if gone_h is None or rest is None else _tail_h(curve, gone_h, rest),
        end=None if rest is None else _end(judged, start, rest),
        ready_h=ready_h,
        temperature_c=_temperature(course, batch.pitched_us, last_h if gone_h is None else gone_h.value),
        no_lag_end_h=last_h if running and lag_h is None and start is not None else None,
        not_gone_h=last_h if awaited else None,
        not_ready_h=not_ready_h,
    )


def _ready_h(judged: Judged) -> Known | None:
    if judged.verdict not in ("ready", "packaged"):
        return None
    at_us = [change.at_us for change in judged.history[-2:] if change.verdict == "ready"]
    return Known((at_us[-1] - judged.batch.pitched_us) / HOUR_US, _READY_SD_H) if at_us else None


def _came_to_rest(judged: Judged) -> bool:
    """Whether it is over: of a batch that was packaged while it fell, or unseen, nobody knows its end."""
    before = [change.verdict for change in judged.history[-2:-1]]
    return judged.verdict == "ready" or (judged.verdict == "packaged" and bool(before) and before[0] in _AT_REST)


def _start(curve: FallCurve, judged: Judged) -> Known | None:
    """[points] Level of the wort on the curve; by the original gravity where the log began too late to show it."""
    now = judged.now
    if curve.start is not None:
        return Known(curve.start, _START_SD if curve.start_steady else _GUESSED_START_SD)
    if now.original is None or not now.original_measured:
        return None
    return Known(now.original + now.level_above(now.original), now.offset_sd)


def _rest(curve: FallCurve, judged: Judged, ready_h: Known | None) -> Known | None:
    """[points] Level on the curve at which it came to rest: about `ready`, or before it was chilled or packaged."""
    window_h, chilled = float(judged.batch.hold_window_h), judged.now.chilled
    if ready_h is not None:
        from_h, to_h = ready_h.value - 0.5 * window_h, ready_h.value + _AFTER_READY_H
    else:
        to_h = float(curve.hours[-1])
        if chilled is not None:
            to_h = (chilled.at_us - judged.batch.pitched_us) / HOUR_US
        from_h = to_h - window_h
    within = (curve.hours > from_h) & (curve.hours <= to_h)
    return Known(float(np.median(curve.values[within])), _REST_SD) if within.any() else None


def _end(judged: Judged, start: Known | None, rest: Known) -> Known | None:
    """[points] Gravity at rest: below the measured original gravity by what the curve fell, without its steps.

    Where a hand sample tells the offset, or nothing does, it is what the detector says.
    """
    now = judged.now
    sd = math.hypot(now.gravity_sd, _SCALE_SD)
    sampled = now.offset_known_by == "the hand sample"
    if start is not None and now.original is not None and now.original_measured and not sampled:
        return Known(now.original - (start.value - rest.value), sd)
    return None if now.warm_gravity is None else Known(now.warm_gravity, sd)


def _gone_at(start: Known, rest: Known | None, judged: Judged) -> Known | None:
    """[points] Level on the curve at which three quarters are gone: of the fall, or of that to the expected end."""
    now = judged.now
    if rest is not None:
        sd = math.hypot((1.0 - _GONE_SHARE) * start.sd, _GONE_SHARE * rest.sd)
        return Known(start.value - _GONE_SHARE * (start.value - rest.value), sd)
    if now.expected is None or now.original is None:
        return None
    low, high = now.expected.low, now.expected.high
    fall, fall_sd = now.original - 0.5 * (low + high), math.hypot(0.3 * (high - low), _EXPECTED_SD)
    return Known(start.value - _GONE_SHARE * now.scale * fall, math.hypot(start.sd, _GONE_SHARE * fall_sd))


def _fallen_to(curve: FallCurve, level: float, level_sd: float) -> Known | None:
    """[h since pitch] When the curve came down to `level`, itself known within `level_sd` [points]."""
    at_h = curve.reaches(level)
    if at_h is None:
        return None
    noise = math.hypot(_LEVEL_SD, _NOISES * curve.noise(at_h - _AROUND_H, at_h + _AROUND_H))
    pace = (curve.at(at_h - _PACE_H) - curve.at(at_h + _PACE_H)) / (2.0 * _PACE_H)
    unseen_sd = curve.silent_h(at_h) / math.sqrt(12.0)
    return Known(at_h, math.hypot(math.hypot(noise, level_sd) / max(pace, _LEAST_PACE), unseen_sd))


def _steepest(curve: FallCurve, *, over: bool) -> tuple[Known, float] | None:
    """[points/day] The most that fell in a day, and the middle of that day [h since pitch]; None while it may come.

    Args:    over: whether the main fall is over, so that it cannot come any more.
    """
    at_h = np.arange(math.ceil(curve.hours[0]), curve.hours[-1])
    if len(at_h) <= _DAY_H + _EVENED_H:
        return None
    levels = np.interp(at_h, curve.hours, curve.points)
    evened = np.convolve(levels, np.full(_EVENED_H, 1.0 / _EVENED_H), "valid")
    fell = evened[:-_DAY_H] - evened[_DAY_H:]
    most = int(np.argmax(fell))
    from_h = float(at_h[most]) + 0.5 * (_EVENED_H - 1)
    to_h = from_h + _DAY_H
    if (not over and fell[-1] > 0.5 * fell[most]) or curve.silent_h(from_h, to_h) > _SILENT_H:
        return None
    sd = math.hypot(_STEEPEST_SD, _NOISES * curve.noise(from_h, to_h))
    return Known(float(fell[most]), sd), 0.5 * (from_h + to_h)


def _tail_h(curve: FallCurve, gone_h: Known, rest: Known) -> Known | None:
    near = _fallen_to(curve, rest.value + _NEAR_END_POINTS, rest.sd)
    return None if near is None else Known(near.value - gone_h.value, math.hypot(near.sd, gone_h.sd))


def _temperature(course: Sequence[CourseHour], pitched_us: int, to_h: float) -> float | None:
    temps = [
        hour.temperature_c
        for hour in course
        if hour.temperature_c is not None and (hour.end_us - pitched_us) / HOUR_US <= to_h + 0.5
    ]
    return float(np.median(temps)) if temps else None
