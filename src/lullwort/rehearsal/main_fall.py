"""The first kinetic family: the main fall as a logistic curve with an exponential tail from its middle on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lullwort.rehearsal.truth import Floats

__all__ = ["MainFall", "tail_progress"]

LARGEST_TAIL_SHARE = 0.5


@dataclass(frozen=True, kw_only=True)
class MainFall:
    """What the pitched yeast eats in one go. Hours are yeast time.

    Attributes:
        points: [points] eaten in all.
        lag_h, middle_h: [h] before it starts, and from there to its middle.
        steepness_per_h: [1/h] of the logistic curve; at its middle a quarter of this share goes in an hour.
        tail_points, tail_tau_h: size and time constant of the slow tail.
    """

    points: float
    lag_h: float
    middle_h: float
    steepness_per_h: float
    tail_points: float
    tail_tau_h: float

    @property
    def tail_share(self) -> float:
        """Share of the fall that goes in the tail."""
        return min(self.tail_points / self.points, LARGEST_TAIL_SHARE)


def tail_progress(fall: MainFall, yeast_h: Floats) -> Floats:
    """Share of the fall that is gone after `yeast_h` [h of yeast time]: from 0, never falling, at most 1.

    >>> ale = MainFall(
    ...     points=40.0, lag_h=12.0, middle_h=48.0, steepness_per_h=0.1, tail_points=4.0, tail_tau_h=30.0
    ... )
    >>> tail_progress(ale, np.array([0.0, 60.0, 600.0])).round(2).tolist()
    [0.0, 0.45, 1.0]
    """
    since_h = yeast_h - fall.lag_h
    start = 1.0 / (1.0 + math.exp(fall.steepness_per_h * fall.middle_h))
    beyond = np.clip(fall.steepness_per_h * (since_h - fall.middle_h), -60.0, 60.0)
    curve = 1.0 / (1.0 + np.exp(-beyond))
    fast = np.where(since_h > 0.0, (curve - start) / (1.0 - start), 0.0)
    slow = 1.0 - np.exp(-np.maximum(since_h - fall.middle_h, 0.0) / fall.tail_tau_h)
    return np.asarray((1.0 - fall.tail_share) * fast + fall.tail_share * slow, dtype=float)
