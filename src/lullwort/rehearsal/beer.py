"""The noise-free beer: gravity over time as a sum of falls, each driven by yeast time.

A fall is an amount of gravity points and the share of it that is gone by each hour. What the beer would
still lose is then exact at every hour: the sum over the falls that have been set going. Three families make
them, so that what was tuned on one can be reported on another: `tail` (a logistic curve with an exponential
tail), `uptake` (sugar by sugar) and `vigour` (cells that differ, with a pace of their own).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from lullwort.rehearsal.family import Family
from lullwort.rehearsal.later_fall import LaterFall, later_progress
from lullwort.rehearsal.main_fall import MainFall, tail_progress
from lullwort.rehearsal.truth import Floats, Truth
from lullwort.rehearsal.uptake import uptake_progress
from lullwort.rehearsal.vigour import Vigour, vigour_progress
from lullwort.rehearsal.vigour_pace import vigour_activity

__all__ = ["Beer", "Pause", "ferment", "yeast_activity"]

RATE_PER_10_C = 2.7


@dataclass(frozen=True, kw_only=True)
class Pause:
    """A yeast that rests half-way: `level_points` above water for `rest_h`, then on at `points_per_day`."""

    level_points: float
    rest_h: float
    points_per_day: float


@dataclass(frozen=True, kw_only=True)
class Beer:
    """A wort and its yeast. Hours are yeast time: clock hours at `usual_c`.

    Attributes:
        original_points, end_points: [points above 1.000]; the end is what this yeast reaches unhindered.
        lag_h, middle_h, steepness_per_h: start, middle (after the lag) and steepness of the main fall.
        tail_points, tail_tau_h: size and time constant of the slow tail.
        usual_c, yeast_min_c: [°C] where yeast time runs as the clock, and below which it stands still.
        wake_h:       [h] time constant with which chilled yeast comes back.
        stuck_points: [points] that this yeast leaves although it could have eaten them.
        vigour:       how its cells differ; read by the family `vigour` only.
    """

    original_points: float
    end_points: float
    lag_h: float
    middle_h: float
    steepness_per_h: float
    tail_points: float
    tail_tau_h: float
    usual_c: float
    yeast_min_c: float
    wake_h: float = 18.0
    stuck_points: float = 0.0
    pause: Pause | None = None
    later: tuple[LaterFall, ...] = ()
    vigour: Vigour = field(default_factory=Vigour)


def yeast_activity(temperature_c: Floats, usual_c: float, yeast_min_c: float, wake_h: float) -> Floats:
    """Hours of yeast time in each clock hour: 2.7 to the power of (T - usual) / 10, and 0 when too cold.

    Yeast that was too cold comes back with time constant `wake_h` [h].
    Source: rates rise two- to threefold in 10 °C (trade articles give 2, brewers' experience up to 3).

    >>> yeast_activity(np.array([20.0, 30.0, 10.0]), 20.0, 15.0, 18.0).round(1).tolist()
    [1.0, 2.7, 0.0]
    """
    speed = RATE_PER_10_C ** ((temperature_c - usual_c) / 10.0)
    cold = temperature_c < yeast_min_c
    if not cold.any():
        return np.asarray(speed, dtype=float)
    waking = 1.0 - math.exp(-1.0 / wake_h)
    awake, share = 1.0, np.empty(len(speed))
    for i, too_cold in enumerate(cold.tolist()):
        awake = 0.0 if too_cold else awake + waking * (1.0 - awake)
        share[i] = awake
    return np.asarray(speed * share, dtype=float)


def ferment(beer: Beer, temperature_c: Floats, family: Family = "tail") -> Truth:
    """The beer's truth over hours 0, 1, 2 ... for which `temperature_c` [°C] is given."""
    hours = np.arange(len(temperature_c), dtype=float)
    pace = vigour_activity if family == "vigour" else yeast_activity
    activity = pace(temperature_c, beer.usual_c, beer.yeast_min_c, beer.wake_h)
    yeast_h = np.concatenate(([0.0], np.cumsum(activity[:-1])))

    left = np.full(len(hours), beer.stuck_points)
    for main in _main_falls(beer):
        left += main.points * (1.0 - _progress(main, beer.vigour, yeast_h, activity, family))
    points = beer.end_points + left
    for fall in beer.later:
        going = hours >= fall.at_h
        since = yeast_h - np.interp(fall.at_h, hours, yeast_h) - fall.delay_h
        fall_left = fall.points * (1.0 - later_progress(fall, since, family))
        left = left + going * fall_left
        if fall.kind == "addition":
            points = points + going * (fall_left + fall.unfermentable_points)
        else:
            points = points - (fall.points - fall_left)
    actions = tuple(sorted(fall.at_h for fall in beer.later if fall.at_h > 0 and fall.kind != "intruder"))
    return Truth(hours, 1.0 + points / 1000.0, np.maximum(left, 0.0), temperature_c, actions)


def _main_falls(beer: Beer) -> list[MainFall]:
    """What the pitched yeast eats: one fall, or with a pause two, one after the other."""
    eaten = beer.original_points - beer.end_points - beer.stuck_points
    first = MainFall(
        points=eaten,
        lag_h=beer.lag_h,
        middle_h=beer.middle_h,
        steepness_per_h=beer.steepness_per_h,
        tail_points=beer.tail_points,
        tail_tau_h=beer.tail_tau_h,
    )
    if beer.pause is None:
        return [first]
    later_points = beer.pause.level_points - beer.end_points - beer.stuck_points
    steepness_per_h = 4.0 * beer.pause.points_per_day / 24.0 / later_points
    second = replace(
        first,
        points=later_points,
        lag_h=beer.lag_h + 2.0 * beer.middle_h + beer.pause.rest_h,
        middle_h=2.5 / steepness_per_h,
        steepness_per_h=steepness_per_h,
    )
    return [replace(first, points=eaten - later_points), second]


def _progress(fall: MainFall, vigour: Vigour, yeast_h: Floats, activity: Floats, family: Family) -> Floats:
    if family == "tail":
        return tail_progress(fall, yeast_h)
    if family == "uptake":
        return uptake_progress(fall, yeast_h, activity)
    return vigour_progress(fall, vigour, yeast_h)
