"""Between what the smoothed gravity of each hour lies, 9 in 10 sure."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lullwort.detector import PRESSURE_POINTS, UNKNOWN_SD, drift_sds
from lullwort.exporting import CurveGround
from lullwort.packaging_day import SPREAD, SheetFacts
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
    seen, compared, scatter = facts.seen, _compared(facts), _scatter(ground)
    drift, risen = _drift(ground, facts, compared), _risen(ground, facts, scatter)
    sds = np.sqrt(scatter**2 + drift**2 + seen.still_sd**2 + seen.hand_error_sd**2)
    less, more = _unexplained(ground, facts, compared)
    below, above = SPREAD * sds + less + risen, SPREAD * sds + more
    if ground.present is not None:
        below += ground.leads * (ground.present.points - ground.present.low - below)
        above += ground.leads * (ground.present.high - ground.present.points - above)
    low, high = (np.where(ground.believed, edge, np.nan) for edge in (ground.smooth - below, ground.smooth + above))
    return Band(low, high, risen)


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
        if said is not None and seen.sampled_us is not None and event.at_us <= seen.sampled_us and event.at_us != odd_us
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
    steps = (np.array(doubts.steps_us, dtype=np.float64) - facts.batch.pitched_us) / _DAY_US
    stepped = np.concatenate([[0.0], np.cumsum(doubts.steps)])
    right_day = compared.max() if len(compared) and seen.sampled_us is not None else 0.0
    begun = ground.days - 1.0 / 24.0
    apart = stepped[np.searchsorted(steps, begun + _SOON_D)] - stepped[np.searchsorted(steps, right_day)]
    less, more = np.maximum(-apart, 0.0), np.maximum(apart, 0.0)
    if seen.sealed is not None:
        sealed_day = (seen.sealed.at_us - facts.batch.pitched_us) / _DAY_US
        if seen.sealed.lift:
            less += seen.sealed.lift * (ground.days > sealed_day)
        elif right_day > sealed_day:
            more += PRESSURE_POINTS * (ground.days <= sealed_day)
    return less / seen.scale, more / seen.scale


def _risen(ground: CurveGround, facts: SheetFacts, scatter: FloatArray) -> FloatArray:
    """[points] By which each lies above what was read before, for certain: gravity does not rise while nothing is put
    in, so the sensor does, and may have been right before. After a sealing that is its pressure, which is counted."""
    rises = [event.at_us for event in facts.batch.events if event.points or event.kind == "seal"]
    put_in = (np.array(rises, dtype=np.float64) - facts.batch.pitched_us) / _DAY_US
    lowest = np.where(ground.believed, ground.smooth + SPREAD * scatter, np.inf)
    for part in np.split(np.arange(len(lowest)), np.searchsorted(ground.days, np.sort(put_in))):
        lowest[part] = np.minimum.accumulate(lowest[part])
    return np.maximum(ground.smooth - lowest, 0.0)
