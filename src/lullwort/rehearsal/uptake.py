"""The second kinetic family: yeast takes up the wort's sugars one after the other, grows, then settles.

Glucose is taken first and holds back maltose; maltose holds back maltotriose. Growth follows uptake; as
sugar runs out the yeast flocculates, so the last sugar is eaten by ever fewer cells and the tail is no
exponential. Uptake runs in yeast time, settling in clock time. The shapes are the usual Monod terms with
competitive hold-back; the constants are our own choice, so that the curves fill the same ranges as the
first family without having its form.
"""

from __future__ import annotations

import math

import numpy as np

from lullwort.rehearsal.main_fall import MainFall
from lullwort.rehearsal.truth import Floats

__all__ = ["uptake_progress"]

STEPS_PER_HOUR = 2
GLUCOSE_SHARE = 0.16
HALF_RATE_SHARE = 0.04  # of the fermentable sugar, where uptake runs at half its speed
HOLD_BACK_SHARE = 0.06  # of the fermentable sugar, which halves the uptake of the next sugar
TRIOSE_HALF_RATE_SHARE = 0.12  # the same for maltotriose, whose uptake is slow long before it runs out
SUSPENDED_FLOOR = 0.45  # of the yeast at its peak that never settles
TAIL_SPEED = 1.8  # uptake of maltotriose by all the yeast beside that of the first family's tail
SETTLE_H = 60.0
TRIOSE_PER_TAIL = 1.4  # maltotriose beside the tail of the first family: part of it goes in the main fall


def uptake_progress(fall: MainFall, yeast_h: Floats, activity: Floats) -> Floats:
    """Share of the fermentable sugar that is gone at each whole hour.

    Args:     yeast_h: [h of yeast time] at each clock hour; activity: [h of yeast time per clock hour].
    Returns:  array of the shape of `yeast_h`, from 0, never falling, at most 1.
    """
    triose = min(TRIOSE_PER_TAIL * fall.tail_share, 0.5)
    glucose = GLUCOSE_SHARE * (1.0 - triose)
    maltose = 1.0 - triose - glucose
    fastest = fall.steepness_per_h / 4.0 * 1.25
    triose_rate = TAIL_SPEED * TRIOSE_HALF_RATE_SHARE / fall.tail_tau_h
    yeast = math.exp(-0.8 * fall.steepness_per_h * fall.middle_h) + 0.01
    dt = 1.0 / STEPS_PER_HOUR
    gone = np.zeros(len(yeast_h))
    for i in range(1, len(yeast_h)):
        pace = float(activity[i - 1]) * dt if yeast_h[i] > fall.lag_h else 0.0
        for _ in range(STEPS_PER_HOUR):
            held = HOLD_BACK_SHARE / (HOLD_BACK_SHARE + glucose)
            held_more = held * HOLD_BACK_SHARE / (HOLD_BACK_SHARE + maltose)
            eat_glucose = min(glucose, pace * yeast * fastest * glucose / (HALF_RATE_SHARE + glucose))
            eat_maltose = min(maltose, pace * yeast * fastest * held * maltose / (HALF_RATE_SHARE + maltose))
            eat_triose = min(
                triose, pace * yeast * triose_rate * held_more * triose / (TRIOSE_HALF_RATE_SHARE + triose)
            )
            left = glucose + maltose + triose
            yeast += pace * yeast * fall.steepness_per_h * max(1.0 - yeast, 0.0) * left
            if left < 0.5:
                yeast -= dt / SETTLE_H * max(yeast - SUSPENDED_FLOOR, 0.0) * (1.0 - left / 0.5)
            glucose, maltose, triose = glucose - eat_glucose, maltose - eat_maltose, triose - eat_triose
        gone[i] = 1.0 - (glucose + maltose + triose)
    return gone
