"""What is taken for likely before this beer has shown it: by its entries, its sensor, and earlier batches."""

from __future__ import annotations

import math

import numpy as np

from lullwort.detector.offset import UNKNOWN_SD
from lullwort.detector.watch import VesselWatch
from lullwort.forecast.curve import CurvePrior
from lullwort.forecast.guess import TENTH_SDS, Guess, both
from lullwort.forecast.lessons import Lessons
from lullwort.units import FloatArray

__all__ = ["block_variances", "curve_prior", "end_expected", "sensor_sd"]

_FORCED_SD, _ENTRY_SD = 0.8, 1.3
# [points] By which a forced ferment test, and a brewer's expectation beside half its range, miss the end.
_SENSOR_SD, _SAMPLED_SD = 1.9, 1.0
# [points] By which a sensor whose offset is known from the start errs at the end, for its scale (2 to 5 % of the fall)
# and its drift; and at least, where it is known from a sample.
_STOOD_SD, _TOLD_SD = 0.7, 3.0
# [points] By which the level of the wort is known, where the sensor stood still in it, and by what was entered.

_LOG_TAIL = Guess(math.log(3.0), 0.8)
_LOG_STEEPNESS = Guess(math.log(2.0 / 24.0), 0.4)
_MIDDLE_H = Guess(65.0, 30.0)
_LOG_TAU = Guess(math.log(50.0), 0.8)
# What ordinary beers do: common practice, no source.
_MISFIT_POINTS, _MISFIT_H = 0.4, 2.0
# No beer falls by a formula: the curve lies off by as much, and runs ahead or behind by as much.
_RED_TWICE = 2.0
# The slow noise hangs together from one mean to the next.


def end_expected(watch: VesselWatch, learned: Lessons) -> Guess:
    """[points] Where the beer should end, by what was entered and by earlier batches."""
    expected = watch.expected
    if expected is None:
        raise ValueError("nothing is known of the end")
    least_sd = _FORCED_SD if expected.source == "forced test" else _ENTRY_SD
    half = 0.5 * (expected.high - expected.low)
    entered = Guess(expected.low + half, max(least_sd, half / TENTH_SDS))
    return entered if learned.end is None else both(entered, learned.end)


def sensor_sd(watch: VesselWatch) -> float:
    """[points] By which the sensor may err at the end of the fall, its offset and scale mended."""
    if watch.offset.samples and watch.offset.sd < UNKNOWN_SD:
        end = watch.gravity if watch.expected is None else watch.expected.high
        return max(_SAMPLED_SD, watch.offset.sd_at(end))
    return _SENSOR_SD if watch.offset.sd < UNKNOWN_SD else UNKNOWN_SD


def curve_prior(watch: VesselWatch, learned: Lessons) -> CurvePrior:
    """What the fall will be like, all as the sensor would read had it never been bumped.

    Args:    watch: where the beer should end must be known.
    """
    end, start, scale = end_expected(watch, learned), watch.offset.start_level, watch.offset.scale
    if start is not None:
        top = Guess(start + scale * watch.correction.added_points, _STOOD_SD)
    elif watch.original is not None:
        top = Guess(watch.steady_at(watch.original), _TOLD_SD)
    else:
        first = watch.fall.blocks[0].level if watch.fall.blocks else watch.steady_level
        top = Guess(first, _TOLD_SD)
    as_seen = Guess(watch.steady_at(end.mean), scale * math.hypot(end.sd, sensor_sd(watch)))
    middle = _MIDDLE_H if learned.middle is None else learned.middle
    return CurvePrior(
        top, as_seen, _LOG_TAIL, learned.log_steepness or _LOG_STEEPNESS, middle, learned.log_tau or _LOG_TAU
    )


def block_variances(watch: VesselWatch) -> FloatArray:
    """[points²] By which each mean may lie off the curve."""
    white, red = watch.trend.noise.variances()
    at_h, levels, hours = np.array(watch.fall.blocks, dtype=float).reshape(-1, 3).T
    pace = np.gradient(levels, at_h) if len(at_h) > 1 and np.all(np.diff(at_h) > 0.0) else np.zeros(len(at_h))
    return np.asarray(white / hours + _RED_TWICE * red + _MISFIT_POINTS**2 + (_MISFIT_H * pace) ** 2)
