"""When the next hand sample is worth an opening, and where it should stand then."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from lullwort.analysis import GRAVITY_RANGE
from lullwort.detector.handfalls import WeighedFalls
from lullwort.detector.handline import Drawn
from lullwort.detector.handseen import NextSample
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["first_of_two", "that_proves"]

_STEP_H, _FURTHEST_H = 6, 480
_FIRST_WORTH, _PROOF_WORTH, _NEAR_BEST = 0.5, 0.7, 0.85
# Chance from which on a sample is worth an opening, the first of two and the one that proves; where it is never
# reached, how near to the best is near enough.
_ENDED_POINTS = 1.0
_LOW, _HIGH = 0.1, 0.9

AgeAt = Callable[[float], float]
"""Age of the beer [yeast h, as the falls count] so many hours from now."""


def first_of_two(
    falls: WeighedFalls, age_at: AgeAt, now_us: int, must_reach: float, *, not_before_us: int
) -> NextSample:
    """The next sample, where none yet stands at or below `must_reach` [points]: when the beer has probably ended."""

    def chance(ahead_h: float) -> float:
        age_h = age_at(ahead_h)
        ended = (falls.left(age_h) <= _ENDED_POINTS) & (falls.falls.gravity(age_h) <= must_reach)
        return falls.chance(ended.astype(float))

    return _earliest(falls, chance, age_at, now_us, not_before_us, proves=False)


def that_proves(
    falls: WeighedFalls,
    age_at: AgeAt,
    now_us: int,
    standing: Sequence[Drawn],
    *,
    read_sd: float,
    error_sd: float,
    window_h: float,
    tolerance: float,
    left_limit: float,
    not_before_us: int,
) -> NextSample:
    """The next sample, where some stand where the beer should be: when it will probably prove that it has ended.

    Args:
        standing: samples with which it may be compared.
        read_sd, error_sd: [points] of reading it, and of what all samples share.
        window_h, tolerance, left_limit: [h] [points] [points] of the proof.
        not_before_us: [µs] a watch after hops or another disturbance ends.
    """

    def chance(ahead_h: float) -> float:
        age_h = age_at(ahead_h)
        gravity, ended = falls.falls.gravity(age_h), falls.left(age_h) <= left_limit
        best = 0.0
        for drawn in standing:
            apart_h = (now_us - drawn.reading.at_us) / HOUR_US + ahead_h
            if apart_h < window_h:
                continue
            may_differ = tolerance * apart_h / window_h - math.hypot(read_sd, drawn.reading.read_sd)
            difference = drawn.reading.points - gravity - error_sd * falls.falls.error_z
            passes = _below((may_differ - difference) / read_sd) - _below((-may_differ - difference) / read_sd)
            best = max(best, falls.chance(np.where(ended, np.maximum(passes, 0.0), 0.0)))
        return best

    not_before_us = max(not_before_us, standing[0].reading.at_us + round(window_h * HOUR_US))
    return _earliest(falls, chance, age_at, now_us, not_before_us, proves=True)


def _earliest(
    falls: WeighedFalls,
    chance: Callable[[float], float],
    age_at: AgeAt,
    now_us: int,
    not_before_us: int,
    *,
    proves: bool,
) -> NextSample:
    soonest_h = max(0.0, (not_before_us - now_us) / HOUR_US)
    tried = [soonest_h + step for step in range(0, _FURTHEST_H, _STEP_H)]
    chances = [chance(ahead_h) for ahead_h in tried]
    enough = min(_PROOF_WORTH if proves else _FIRST_WORTH, _NEAR_BEST * max(chances))
    at = next(i for i, found in enumerate(chances) if found >= enough)
    stands = falls.falls.gravity(age_at(tried[at]))
    # Told for a whole hour, never a minute before a window has passed.
    from_us = -(-(now_us + round(tried[at] * HOUR_US)) // HOUR_US) * HOUR_US
    highest = 1000.0 * (GRAVITY_RANGE[1] - 1.0)  # what is read above it counts for nothing
    low, high = (min(falls.exceeded(stands, share), highest) for share in (_HIGH, _LOW))
    return NextSample(from_us, chances[at], proves, low, high)


def _below(z: FloatArray) -> FloatArray:
    """Normal distribution function, to 2e-3: enough for a chance that is said in tenths. [Page1977]"""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(z * (1.5976 + 0.070565 * z * z), -60.0, 60.0))))
