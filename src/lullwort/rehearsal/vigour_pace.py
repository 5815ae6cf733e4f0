"""How temperature sets the pace of the third kinetic family: a square-root law, and cells that sleep in the cold."""

from __future__ import annotations

import math

import numpy as np

from lullwort.rehearsal.truth import Floats

__all__ = ["vigour_activity"]

BELOW_MIN_C = 12.0  # how far below the yeast's minimum the root of the rate would reach 0: two- to threefold in 10 °C
SPREAD_C = 3.0  # by which the cells of a yeast differ in their minimum: common practice, no source
ASLEEP_H = 6.0


def vigour_activity(temperature_c: Floats, usual_c: float, yeast_min_c: float, wake_h: float) -> Floats:
    """Hours of yeast time in each clock hour: 1 at `usual_c` [°C], 0 below `yeast_min_c` [°C].

    The root of the rate grows in proportion to temperature ([Ratkowsky1982], equation 1), times the share of
    cells that are warm enough. In the cold they fall asleep over hours; warmed, they are roused and then wake,
    which takes `wake_h` [h] on average.

    >>> vigour_activity(np.array([20.0, 30.0, 10.0]), 20.0, 14.0, 18.0).round(1).tolist()
    [1.0, 2.4, 0.0]
    """
    speed = _rate(temperature_c, yeast_min_c) / _rate(np.array([usual_c]), yeast_min_c)
    cold = temperature_c < yeast_min_c
    if not cold.any():
        return np.asarray(speed, dtype=float)
    stays, moves = math.exp(-1.0 / ASLEEP_H), 1.0 - math.exp(-2.0 / wake_h)
    roused, awake, share = 0.0, 1.0, np.empty(len(speed))
    for i, too_cold in enumerate(cold.tolist()):
        if too_cold:
            roused, awake = stays * roused, stays * awake
        else:
            asleep, wakes = 1.0 - roused - awake, moves * roused
            roused, awake = roused - wakes + moves * asleep, awake + wakes
        share[i] = awake
    return np.asarray(speed * share, dtype=float)


def _rate(temperature_c: Floats, yeast_min_c: float) -> Floats:
    above_c = temperature_c - yeast_min_c
    warm = np.clip(above_c / SPREAD_C, 0.0, 1.0)
    return np.asarray(warm**2 * (3.0 - 2.0 * warm) * (above_c + BELOW_MIN_C) ** 2, dtype=float)
