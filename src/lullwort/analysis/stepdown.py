"""Steps down of a beer at rest, found in hindsight: nobody can tell whether the float was knocked, so that it reads too
little since, or came free, so that it had read too much."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.units import FloatArray

__all__ = ["StepDown", "steps_down"]

_SIDE = 4
# Values on either side of a step that tell its size.
_APART = 3 * _SIDE
# As many on either side tell whether it lasts: what wanders comes back.
_NEAR = 36
_LEAST_POINTS, _LEAST_SDS = 2.0, 4.0
_MOST_POINTS = 9.0
# What falls by more within an hour is no knock of the float: it was pinned or frozen, and the beer fell unseen.
_FLAT_POINTS, _FALLEN_SHARE = 0.5, 0.6
# In the main fall floats wander by as much and more; at rest is only what falls by less from one side to the other, and
# has fallen by most of what it has fallen by in all.
_LASTS_SHARE = 0.6
_MAD_TO_SD = 1.4826
# Of a normal distribution.


class StepDown(NamedTuple):
    """From `at_h` [h] on the sensor reads `points` less."""

    at_h: float
    points: float


def steps_down(hours: FloatArray, points: FloatArray) -> list[StepDown]:
    """In order of time.

    Args:    hours: [h] of values, in order of time; points: [points] of each.
    """
    if len(points) < 2 * _SIDE + 4:
        return []
    middle = _medians(points, _SIDE)
    falls = middle[:-_SIDE] - middle[_SIDE:]  # at each place the four values before it against the four from it on
    around = _around(falls, _NEAR)
    far = np.abs(np.arange(-_NEAR, _NEAR + 1))
    beside = np.median(around[:, (far > _SIDE) & (far <= _APART)], axis=1)
    stands_out = falls - beside
    sd = _MAD_TO_SD * np.median(np.abs(_around(stands_out, _NEAR)[:, far > 2 * _SIDE]), axis=1)
    lasting = _medians(np.pad(points, _APART - 1, mode="reflect"), _APART)
    before, after = (lasting[first : first + len(falls)] for first in (_SIDE - 1, _SIDE + _APART - 1))
    start = float(np.median(points[:_APART]))
    found = hours[2 * _SIDE - 1 :] - hours[: len(falls)] <= 2 * _SIDE + 1
    found &= (stands_out > np.maximum(_LEAST_POINTS, _LEAST_SDS * sd)) & (stands_out <= _MOST_POINTS)
    found &= (np.abs(beside) < _FLAT_POINTS) & (before - after - beside > _LASTS_SHARE * stands_out)
    found &= start - middle[: len(falls)] > _FALLEN_SHARE * (start - middle.min())
    places = _largest(stands_out, np.flatnonzero(found))
    return [StepDown(float(hours[place + _SIDE]), float(stands_out[place])) for place in places]


def _around(values: FloatArray, reach: int) -> FloatArray:
    """Each with as many on either side of it, mirrored at the ends."""
    return np.lib.stride_tricks.sliding_window_view(np.pad(values, reach, mode="reflect"), 2 * reach + 1)


def _medians(values: FloatArray, count: int) -> FloatArray:
    windows = np.sort(np.lib.stride_tricks.sliding_window_view(values, count), axis=1)
    return np.asarray(0.5 * (windows[:, count // 2 - 1] + windows[:, count // 2]))


def _largest(values: FloatArray, places: NDArray[np.int64]) -> list[int]:
    """Of places near one another the one with the largest value; in order."""
    kept: list[int] = []
    while len(places):
        best = places[np.argmax(values[places])]
        kept.append(int(best))
        places = places[np.abs(places - best) >= 2 * _SIDE]
    return sorted(kept)
