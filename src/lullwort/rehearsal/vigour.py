"""The third kinetic family: cells that differ in vigour, in a crop that stops growing before the sugar ends.

The crop wakes cell by cell after the lag and grows until its sterol is shared out, so the middle of the fall
is a slope, not an S; ethanol flattens it as it goes ([GhoseTyagi1979]). As sugar runs short the less vigorous
give up, about the level of the plan's tail, all at once or one after the other. The hardy rest eats on in
proportion to a power of what is left, the tail's order: below 1 it ends at a certain hour, as where cells
work at full speed to the last; above 1 it slows down as a power of time, as a spread of rates does.

What published series of grape must, agave juice and hydrolysed plant fibre gave to it: a steady fall over
days; musts that went from a tenth of their sugar to nothing within a day or two; juice that bent sharply at a
twentieth and crept on for two days, ever more slowly; a last sugar that shrank by about one factor an hour;
and that batches made alike differ in all this. None of their numbers is used. The constants without a source
are our own choice, so that the curves fill the same ranges as the first family.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lullwort.rehearsal.main_fall import MainFall
from lullwort.rehearsal.truth import Floats

__all__ = ["Vigour", "draw_vigour", "vigour_progress"]

# [GhoseTyagi1979]: yeast ferments more slowly in proportion to ethanol, and not at all at 114 g/l.
ETHANOL_LIMIT_G_L = 114.0
ETHANOL_G_L_PER_POINT = 1.03  # 0.131 % by volume a point: common practice, no source
MOST_SLOWED = 0.75  # strains that are pitched into strong worts bear more ethanol than that one
GROWTH_PER_STEEPNESS = 1.5
WAKING_SHARE = 0.1  # of the lag, by which cells differ in theirs
EARLIEST_CROP_SHARE = 0.1  # of the time to the middle, when the crop is half grown at the earliest
GIVING_UP_SHARE = 1.4  # of the tail: what is left when half of the less vigorous have given up
LEVELS = np.geomspace(1.0, 1e-7, 1600)  # of what is left, at which its hour is worked out


@dataclass(frozen=True)
class Vigour:
    """How the cells of one batch differ.

    Attributes:
        tail_order: power of what is left with which the hardy cells eat the rest, 0.3 to 1.6.
        knee:       how alike the others are in giving up, 2 (one after the other) to 12 (all at once).
    """

    tail_order: float = 1.25
    knee: float = 5.0


def draw_vigour(rng: np.random.Generator) -> Vigour:
    """The vigour of a batch: from an abrupt end to a long, power-like one."""
    return Vigour(tail_order=rng.uniform(0.5, 1.4), knee=float(np.exp(rng.uniform(np.log(2.5), np.log(8.0)))))


def vigour_progress(fall: MainFall, vigour: Vigour, yeast_h: Floats) -> Floats:
    """Share of the fall that is gone after `yeast_h` [h of yeast time]: from 0, never falling, at most 1.

    Half is gone at the plan's middle. Three quarters of the tail take ln 4 of its time constants, whatever
    its order: so long does an exponential.

    >>> ale = MainFall(
    ...     points=40.0, lag_h=12.0, middle_h=48.0, steepness_per_h=0.1, tail_points=4.0, tail_tau_h=30.0
    ... )
    >>> vigour_progress(ale, Vigour(), np.arange(600.0))[[0, 60, 599]].round(2).tolist()
    [0.0, 0.5, 1.0]
    """
    crop_h = _crop_hours_at_levels(fall, vigour)
    half_gone_h = float(np.interp(0.5, 1.0 - LEVELS, crop_h))
    worked_h = _crop_hours(fall, yeast_h, half_gone_h)
    return np.asarray(1.0 - np.interp(worked_h, crop_h, LEVELS, right=0.0), dtype=float)


def _crop_hours_at_levels(fall: MainFall, vigour: Vigour) -> Floats:
    """Hours of work [h of yeast time] by the whole crop until this share, one of `LEVELS`, is left."""
    order, tail = vigour.tail_order, fall.tail_share
    slowed = min(ETHANOL_G_L_PER_POINT * fall.points / ETHANOL_LIMIT_G_L, MOST_SLOWED)
    # steepest about where a quarter is gone and the crop has grown
    fastest = fall.steepness_per_h / 4.0 / (1.0 - 0.25 * slowed)
    three_quarters = math.log(4.0) if order == 1.0 else (4.0 ** (order - 1.0) - 1.0) / (order - 1.0)
    hardy = tail / fall.tail_tau_h * three_quarters / math.log(4.0) * (LEVELS / tail) ** order
    working = 1.0 / (1.0 + (GIVING_UP_SHARE * tail / LEVELS) ** vigour.knee)
    speed = working * fastest * (1.0 - slowed * (1.0 - LEVELS)) + (1.0 - working) * np.minimum(hardy, fastest)
    steps = -np.diff(LEVELS) * 0.5 * (1.0 / speed[1:] + 1.0 / speed[:-1])
    return np.concatenate(([0.0], np.cumsum(steps)))


def _crop_hours(fall: MainFall, yeast_h: Floats, half_gone_h: float) -> Floats:
    """Hours of work [h of yeast time] by the whole crop, as far as it has woken and grown, up to each `yeast_h`."""
    waking_h = WAKING_SHARE * fall.lag_h + 1.0
    grown_h = max(fall.middle_h - half_gone_h, EARLIEST_CROP_SHARE * fall.middle_h)
    since_h = np.maximum(yeast_h - fall.lag_h, 0.0)
    awake = 1.0 - (1.0 + since_h / waking_h) * np.exp(-since_h / waking_h)
    growth = np.clip(GROWTH_PER_STEEPNESS * fall.steepness_per_h * (since_h - grown_h), -60.0, 60.0)
    crop = awake / (1.0 + np.exp(-growth))
    return np.concatenate(([0.0], np.cumsum(np.diff(since_h) * 0.5 * (crop[1:] + crop[:-1]))))
