"""Between what the smoothed gravity of each hour lies, 9 in 10 sure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.detector import PRESSURE_POINTS, UNKNOWN_SD, drift_sds
from lullwort.exporting import CurveGround
from lullwort.packaging_day import SPREAD, SheetFacts, may_rise_us, pressure_lift, rises
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["Band", "level_band"]

_DAY_US = 24 * HOUR_US
_SOON_D = 0.25 / 24.0
_WINDOW_H = 25
_MAD_TO_SD = 1.4826
# Of a normal distribution.
_LEFT_IN = 0.6
# Of the hours' scatter, after the median of 7 and the mean of 9 of them: between 0.4 for hours that scatter each by
# itself, and 1 for those that wander together.


class Band(NamedTuple):
    """[points] Of each smoothed hour. NaN for what is not believed: the sensor's own error there is not known.

    `risen` is by how much it lies above what was read before, for certain; 0 where it does not.
    """

    low: FloatArray
    high: FloatArray
    risen: FloatArray


def level_band(ground: CurveGround, facts: SheetFacts) -> Band:
    """The band: by the scatter about each hour, by what is not known of its sensor's offset and scale, by what it may
    have drifted until, or since, it was held against a gravity measured by hand, and by what the instrument of hand
    samples may be off. To one side it is open by what has shifted the reading and nobody knows how far, or which way.
    Towards the newest that is believed it becomes the range of the words.
    """
    compared, scatter = _compared(facts), _scatter(ground)
    drift = _drift(ground, facts, compared)
    sds = np.sqrt(scatter**2 + drift**2 + ground.mending.sds_at(_begun_us(ground, facts)) ** 2)
    less, more = _unexplained(ground, facts, compared)
    above, risen = _risen(ground, facts, compared, scatter)
    below, above = SPREAD * sds + less + risen, SPREAD * sds + more + above
    if ground.present is not None:
        below += ground.leads * (ground.present.points - ground.present.low - below)
        above += ground.leads * (ground.present.high - ground.present.points - above)
    low, high = (np.where(ground.believed, edge, np.nan) for edge in (ground.smooth - below, ground.smooth + above))
    return Band(low, high, risen)


def _begun_us(ground: CurveGround, facts: SheetFacts) -> NDArray[np.int64]:
    """[µs] Beginnings of its hours."""
    return np.rint(ground.days * _DAY_US).astype(np.int64) + (facts.batch.pitched_us - HOUR_US)


def _scatter(ground: CurveGround) -> FloatArray:
    apart, scatter = np.abs(ground.points - ground.smooth), np.zeros(len(ground.points))
    for part in ground.parts:
        padded = np.pad(apart[part], _WINDOW_H // 2, mode="edge")
        windows = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW_H)
        scatter[part] = _MAD_TO_SD * _LEFT_IN * np.partition(windows, _WINDOW_H // 2, axis=1)[:, _WINDOW_H // 2]
    return scatter


def _compared(facts: SheetFacts) -> FloatArray:
    """[d since pitch] When the sensor was held against a gravity measured by hand: samples that stand, or the original
    gravity."""
    seen, batch = facts.seen, facts.batch
    odd_us = None if seen.odd_sample is None else seen.odd_sample.at_us
    sampled = [
        event.at_us
        for event, said in facts.readings.items()
        if said is not None
        and not said.estimate
        and seen.sampled_us is not None
        and event.at_us <= seen.sampled_us
        and event.at_us != odd_us
    ]
    start = [batch.pitched_us] if seen.original_measured else []
    return (np.array([*start, *sampled], dtype=np.float64) - batch.pitched_us) / _DAY_US


def _drift(ground: CurveGround, facts: SheetFacts, compared: FloatArray) -> FloatArray:
    if facts.seen.still_sd >= UNKNOWN_SD or not len(compared):  # nothing tells how it reads: drift adds nothing
        return np.zeros(len(ground.days))
    apart = np.abs(ground.days[:, None] - compared).min(axis=1)
    return drift_sds(apart, by_sample=facts.seen.sampled_us is not None)


def _unexplained(ground: CurveGround, facts: SheetFacts, compared: FloatArray) -> tuple[FloatArray, FloatArray]:
    """[points] By how much more each may be too high, and too low. The sensor counts as right when it was last
    compared: what happened since, or had happened by then, hides how it read on the other side of it."""
    seen, doubts = facts.seen, facts.doubts
    steps = _days(facts, doubts.steps_us)
    stepped = np.concatenate([[0.0], np.cumsum(doubts.steps)])
    right_day = _right_day(facts, compared)
    begun = ground.days - 1.0 / 24.0
    apart = stepped[np.searchsorted(steps, begun + _SOON_D)] - stepped[doubts.settled]
    less, more = np.maximum(-apart, 0.0), np.maximum(apart, 0.0)
    seals = _days(facts, sorted(event.at_us for event in facts.batch.events if event.kind == "seal"))
    if seen.sealed is not None and len(seals):
        since = seals[seals >= right_day]
        if len(since):
            less += pressure_lift(seen) * seen.scale * (ground.days > since[0])
        if right_day > seals[0]:
            more += PRESSURE_POINTS * (ground.days <= seals[0])
    return less / seen.scale, more / seen.scale


def _right_day(facts: SheetFacts, compared: FloatArray) -> float:
    """[d since pitch] Of the last hand sample; 0 before the first."""
    return float(compared.max()) if len(compared) and facts.seen.sampled_us is not None else 0.0


def _risen(
    ground: CurveGround, facts: SheetFacts, compared: FloatArray, scatter: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """[points] By how much each may be too low, and too high, for the sensor rises and gravity does not."""
    points = np.where(ground.believed, ground.smooth, np.nan)
    parts = np.searchsorted(ground.days, _days(facts, may_rise_us(facts.batch))).tolist()
    right = int(np.searchsorted(ground.days, _right_day(facts, compared)))
    risen, below = rises(points, SPREAD * scatter, parts, right)
    return below, risen


def _days(facts: SheetFacts, at_us: Sequence[int]) -> FloatArray:
    """[d since pitch]"""
    return (np.array(at_us, dtype=np.float64) - facts.batch.pitched_us) / _DAY_US
