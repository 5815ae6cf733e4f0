"""A float whose reading is an angle: nudged by bubbles, holding on, settling after moves, minding temperature late.

The form of its noise is another than that of `Sensor`'s own: calm with bubbling spells in place of a steady
hiss, single nudges that die away in place of an even wander, and a dead band. All of it is common practice,
no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from lullwort.rehearsal.truth import Floats

__all__ = ["Tilt", "tilted_points"]

# how long a nudge is felt, beside the tilt's own time, and what each length gives to the variance
NUDGES = ((0.4, 0.3), (1.0, 0.5), (2.5, 0.2))
BUBBLING_SHARE = (0.03, 0.85)  # of the time, in quiet and in active beer
SPELL_H = 1.5
SHUFFLES_A_DAY = 1.0


@dataclass(frozen=True, kw_only=True)
class Tilt:
    """How one float tilts. Standard deviations are of single readings in quiet beer, in gravity points.

    Attributes:
        flicker_points: each reading for itself, Laplace, so that large ones are not rare.
        bubbling_factor: how many times larger flicker is in a bubbling spell.
        nudge_points:   nudges by bubbles and foam, each dying away.
        nudge_h:        [h] how long most of them are felt.
        nudges_per_h:   [1/h] of each length: the fewer, the larger.
        active_factor:  how many times larger a nudge is while gravity falls by 10 points a day or more.
        shuffle_points: lasting changes of the float's rest, about one a day.
        dead_points:    width of the band in which it holds on before it follows.
        settles_share, settles_h: share by which a step is first overdone (less than 0: underdone), [h] fading.
        points_per_c, lag_h: error for each °C above 20 °C, felt this late.
        interval_error: share by which its own clock is slow.
        late_min:       [min] at most by which a reading comes late.
    """

    flicker_points: float = 0.0
    bubbling_factor: float = 3.0
    nudge_points: float = 0.0
    nudge_h: float = 4.0
    nudges_per_h: float = 0.6
    active_factor: float = 1.0
    shuffle_points: float = 0.0
    dead_points: float = 0.0
    settles_share: float = 0.0
    settles_h: float = 12.0
    points_per_c: float = 0.0
    lag_h: float = 2.0
    interval_error: float = 0.0
    late_min: float = 0.0

    def hours(self, nominal_h: Floats, rng: np.random.Generator) -> Floats:
        """When readings [h] come that are due at `nominal_h` [h], at least `late_min` apart; in time order."""
        late_h = rng.uniform(0.0, self.late_min / 60.0, len(nominal_h))
        return np.asarray(nominal_h * (1.0 + self.interval_error) + late_h, dtype=float)


def tilted_points(
    tilt: Tilt,
    points: Floats,
    at_h: Floats,
    active: Floats,
    temp_c: Floats,
    steps: tuple[tuple[float, float], ...],
    rng: np.random.Generator,
) -> Floats:
    """What the float makes of `points` at `at_h` [h]; lasting steps themselves are not in it.

    Args:  points: as a perfect float would read; active: 0 (quiet) to 1 (falling by 10 points a day or more);
           temp_c: [°C] of the liquid; steps: (hour, points) that move it. Arrays have one length.
    """
    if not len(at_h):
        return points
    step_h = float(at_h[-1] - at_h[0]) / max(len(at_h) - 1, 1)
    moved = points + _nudges(tilt, step_h, active, rng)
    shuffled = rng.random(len(at_h)) < SHUFFLES_A_DAY * step_h / 24.0
    moved += np.cumsum(shuffled * rng.laplace(0.0, tilt.shuffle_points / math.sqrt(2.0), len(at_h)))
    held = _hold_on(moved, tilt.dead_points)
    for hour, size in steps:
        since_h = at_h - hour
        held += np.where(
            since_h >= 0.0, size * tilt.settles_share * np.exp(-np.maximum(since_h, 0.0) / tilt.settles_h), 0.0
        )
    late_c = _fading_sum((1.0 - math.exp(-step_h / tilt.lag_h)) * (temp_c - temp_c[0]), step_h, tilt.lag_h) + temp_c[0]
    held += tilt.points_per_c * (late_c - 20.0)
    return held + _flicker(tilt, step_h, active, rng)


def _nudges(tilt: Tilt, step_h: float, active: Floats, rng: np.random.Generator) -> Floats:
    """Rare pushes of Laplace size, each dying away, of several lengths; variance is that of shot noise."""
    size = len(active)
    wander = np.zeros(size)
    larger = 1.0 + (tilt.active_factor - 1.0) * active
    for longer, share in NUDGES:
        felt_h = longer * tilt.nudge_h
        pushes = rng.poisson(tilt.nudges_per_h * step_h, size)
        push_sd = tilt.nudge_points * math.sqrt(
            share * (1.0 - math.exp(-2.0 * step_h / felt_h)) / (tilt.nudges_per_h * step_h)
        )
        # pushes within one interval are drawn as one of their summed variance
        kicks = rng.laplace(0.0, push_sd / math.sqrt(2.0), size) * np.sqrt(pushes) * larger
        kicks[0] = tilt.nudge_points * math.sqrt(share) * rng.laplace(0.0, 1.0 / math.sqrt(2.0)) * larger[0]
        wander += _fading_sum(kicks, step_h, felt_h)
    return wander


def _flicker(tilt: Tilt, step_h: float, active: Floats, rng: np.random.Generator) -> Floats:
    """Laplace noise of each reading, larger in bubbling spells, which come oftener in active beer."""
    size = len(active)
    quiet, busy = BUBBLING_SHARE
    renewed = rng.random(size) < 1.0 - math.exp(-step_h / SPELL_H)
    renewed[0] = True
    begun: NDArray[np.int64] = np.maximum.accumulate(np.where(renewed, np.arange(size), 0))
    bubbling = (rng.random(size) < quiet + (busy - quiet) * active)[begun]
    calm_sd = tilt.flicker_points / math.sqrt(1.0 + quiet * (tilt.bubbling_factor**2 - 1.0))
    return rng.laplace(0.0, calm_sd / math.sqrt(2.0), size) * np.where(bubbling, tilt.bubbling_factor, 1.0)


def _fading_sum(kicks: Floats, step_h: float, felt_h: float) -> Floats:
    keep = math.exp(-step_h / felt_h)
    return np.fromiter(accumulate(kicks.tolist(), lambda last, kick: keep * last + kick), float, len(kicks))


def _hold_on(moved: Floats, dead_points: float) -> Floats:
    """Follow only as far as the band forces: the usual model of play between two parts."""
    half = dead_points / 2.0
    follow = accumulate(moved.tolist(), lambda held, to: min(max(held, to - half), to + half))
    return np.fromiter(follow, float, len(moved))
