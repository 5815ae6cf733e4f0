"""What a beer may have done between hand samples: many falls that beers take, weighed by how well they fit.

Two or three samples cannot fix a curve, so none is fitted. Some thousand falls are drawn once from what is known
before any sample (the wort, where it should end, how beers fall), always the same ones; each sample then says how well
each of them fits, and whatever is asked is asked of all of them with these weights. A sample may also be wrong
altogether: undegassed, misread, of another vessel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from statistics import NormalDist
from typing import NamedTuple

import numpy as np

from lullwort.detector.expected import ExpectedEnd
from lullwort.units import FloatArray

__all__ = ["FALLS", "Falls", "Taken", "WeighedFalls", "Woken", "drawn_falls", "weighed"]

FALLS = 8192
"""How many are drawn. With four samples that fit some hundred of them still count."""

_DIMENSIONS = 8
_FEWEST = 50.0
_WORT_SD = 1.0
# [points] By which a hand-read original gravity errs.
_END_SD, _FORCED_SD, _TENTH_SDS = 1.3, 0.8, 1.2816
# [points] By which a brewer's expectation and a forced ferment test miss the end, beside half the range.
_USUAL_FALL = 40.0
# [points] To which the next ones belong: a strong beer takes longer, and more of it is tail.
_MIDDLE_H, _LOG_MIDDLE_SD = 62.0, 0.45
_PACE_PER_H, _LOG_PACE_SD = 2.0 / 24.0, 0.4
_TAIL_POINTS, _LOG_TAIL_SD = 3.0, 0.8
_TAU_H, _LOG_TAU_SD = 50.0, 0.8
# What ordinary beers do: common practice, no source.
_LOG_SLOWER_PER_K = math.log(2.2) / 10.0
# A lager at 10 °C takes about twice as long as an ale at 20. Common practice, no source.
_STUCK, _STUCK_MOST = 0.12, 0.40
# Share of beers that stop early, and how much of the fall they may leave.
_SLOW, _SLOW_TAU_H, _SLOW_MOST = 0.12, (60.0, 300.0), 14.0
# Share of beers that creep on below where they should end (wild yeast, hops), how slowly [h], and by how much at most
# [points].
_WOKEN_POINTS, _LOG_WOKEN_SD = 2.0, 0.9
# What a dry hop, rousing or warming may set free.
_WRONG, _WRONG_SPREAD = 0.05, 30.0
# Of samples, and over how many points they then scatter. Common practice, no source.


class Taken(NamedTuple):
    """A hand sample as the falls see it: `age_h` [yeast hours], `points`, and the standard deviation of its reading."""

    age_h: float
    points: float
    read_sd: float


class Woken(NamedTuple):
    """Something was done that may set a beer off again: from which `gravity` [points] on, what was put in included;
    `put_in` tells whether that was sugar or fruit, all of which must go."""

    gravity: float
    put_in: bool


class Falls(NamedTuple):
    """Falls drawn from what is known before any sample; each of shape (FALLS,).

    Attributes:
        original, end: [points] of the wort, and where it ends.
        middle_h, pace: [yeast h] when half of the main fall is gone, and [1/h] how steep it is.
        tail, tau_h: [points] that go later, and [yeast h] how slowly.
        error_z: the instrument's own error, in its standard deviations.
    """

    original: FloatArray
    end: FloatArray
    middle_h: FloatArray
    pace: FloatArray
    tail: FloatArray
    tau_h: FloatArray
    error_z: FloatArray

    def gravity(self, age_h: float) -> FloatArray:
        """[points] of each at an age [yeast hours]."""
        since = age_h - self.middle_h
        main = self.original - self.end - self.tail
        gone = 1.0 / (1.0 + np.exp(np.minimum(self.pace * since, 700.0)))
        return np.asarray(self.end + main * gone + self.tail * np.exp(-np.maximum(since, 0.0) / self.tau_h))


class WeighedFalls(NamedTuple):
    """Falls with what the samples make of them.

    Attributes: weight: of each fall, 1 in all.  wrong: of each sample the chance that it is wrong altogether.
    """

    falls: Falls
    weight: FloatArray
    wrong: tuple[float, ...]

    def left(self, age_h: float) -> FloatArray:
        """[points] that each has still to fall at an age [yeast hours]."""
        return self.falls.gravity(age_h) - self.falls.end

    def chance(self, holds: FloatArray) -> float:
        """The chance of what holds for falls as far as `holds` says of each, 0 to 1."""
        return float(np.sum(self.weight * holds))

    def exceeded(self, values: FloatArray, chance: float) -> float:
        """What the values, one of each fall, exceed with that chance."""
        order = np.argsort(values)
        reached = np.cumsum(self.weight[order])
        return float(values[order][min(int(np.searchsorted(reached, 1.0 - chance)), len(values) - 1)])


def drawn_falls(
    original: float | None, expected: ExpectedEnd, usual_c: float = 20.0, woken: Woken | None = None
) -> Falls:
    """Falls that this beer may take before any sample is known.

    Args:
        original: [points] with additions; None where not measured.
        expected: where it should end.
        usual_c: [°C] at which this beer ferments: a cold one takes longer, whatever its yeast.
        woken: where something woke the yeast after its main fall; ages then count from there.
    """
    u, z = _places()
    middle = 0.5 * (expected.low + expected.high)
    least = _FORCED_SD if expected.source == "forced test" else _END_SD
    end_sd = max(least, 0.5 * (expected.high - expected.low) / _TENTH_SDS)
    end = middle + end_sd * z[0]
    top = 4.0 * max(middle, 8.0) if original is None else original
    wort = top + (10.0 if original is None else _WORT_SD) * z[1]
    stuck = np.arange(FALLS) % round(1.0 / _STUCK) == 0
    end = np.where(stuck, end + _STUCK_MOST * np.maximum(wort - end, 0.0) * u[6], end)
    slow = np.arange(FALLS) % round(1.0 / _SLOW) == 1
    creep = _SLOW_MOST * u[4]
    end = np.where(slow, end - creep, end)
    strong = np.clip((wort - end) / _USUAL_FALL, 0.5, 3.0)
    slower = math.exp(_LOG_SLOWER_PER_K * (20.0 - min(max(usual_c, 4.0), 30.0)))
    least_h, most_h = _SLOW_TAU_H
    tau = np.where(slow, least_h * (most_h / least_h) ** u[5], slower * _TAU_H * np.exp(_LOG_TAU_SD * z[5]))
    if woken is not None:
        free = np.where(slow, creep, np.exp(_LOG_WOKEN_SD * z[4]) * _WOKEN_POINTS)
        tail = np.maximum(woken.gravity - end, free) if woken.put_in else free
        return Falls(end + tail, end, np.zeros(FALLS), np.ones(FALLS), tail, tau, z[7])
    tail = np.where(slow, creep, strong * np.minimum(_TAIL_POINTS * np.exp(_LOG_TAIL_SD * z[4]), 15.0))
    middle_h = slower * np.sqrt(strong) * _MIDDLE_H * np.exp(_LOG_MIDDLE_SD * z[2])
    pace = _PACE_PER_H * np.exp(_LOG_PACE_SD * z[3]) / slower
    return Falls(wort, end, middle_h, pace, tail, tau, z[7])


def weighed(falls: Falls, samples: Sequence[Taken], error_sd: float) -> WeighedFalls:
    """The falls as the samples weigh them.

    Args: samples: in order of time, all read with instruments whose own error has the standard deviation `error_sd`
        [points], the same in all of them.
    """
    log_weight = np.zeros(FALLS)
    wrong_share = []
    for sample in samples:
        off = (sample.points - falls.gravity(sample.age_h) - error_sd * falls.error_z) / sample.read_sd
        right = (1.0 - _WRONG) * np.exp(-0.5 * off**2) / (sample.read_sd * math.sqrt(2.0 * math.pi))
        either = right + _WRONG / _WRONG_SPREAD
        log_weight += np.log(either)
        wrong_share.append(_WRONG / _WRONG_SPREAD / either)
    weight = _weights(log_weight)
    return WeighedFalls(falls, weight, tuple(float(np.sum(weight * share)) for share in wrong_share))


def _weights(log_weight: FloatArray) -> FloatArray:
    """Weights that add up to 1, evened out as far as needed for _FEWEST falls to count: where hardly any fits, none of
    them may be sure of itself."""
    for evened in (1.0, 0.7, 0.5, 0.35, 0.25, 0.15, 0.1):
        weight = np.exp(evened * (log_weight - log_weight.max()))
        weight /= weight.sum()
        if 1.0 / float(weight @ weight) >= _FEWEST:
            break
    return np.asarray(weight)


@lru_cache(maxsize=1)
def _places() -> tuple[FloatArray, FloatArray]:
    """Places in the unit cube, shape (_DIMENSIONS, FALLS), spread evenly and always the same; and as standard normals.

    The additive recurrence with the root of x^(d+1) = x + 1 fills a cube more evenly than chance does [Roberts2018].
    """
    root = 1.5
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (_DIMENSIONS + 1))
    steps = root ** -np.arange(1.0, _DIMENSIONS + 1.0)
    places = np.clip((0.5 + np.outer(steps, np.arange(1.0, FALLS + 1.0))) % 1.0, 1e-9, 1.0 - 1e-9)
    inverse = NormalDist().inv_cdf
    return places, np.array([[inverse(place) for place in row] for row in places.tolist()])
