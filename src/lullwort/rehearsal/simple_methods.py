"""What a brewer could do instead of asking Lullwort: four simple ways to call a beer finished.

They are what a detector must beat. Each gives the first moment at which it would say ready. A brewer starts
over after dry hops, sugar, rousing or warming, so each takes the moment from which on it may look.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import theilslopes

from lullwort.records import HOUR_US, Batch, Reading
from lullwort.rehearsal.invented import Invented
from lullwort.rehearsal.truth import Floats
from lullwort.science.beer import sg_at_reference

__all__ = [
    "RESTARTING_EVENTS",
    "Samples",
    "highest_end",
    "medians_apart",
    "restarts_us",
    "robust_slope",
    "rolling_medians",
    "same_hydrometer_reading",
    "spread_of_medians",
    "start_shift",
    "take_samples",
]

RESTARTING_EVENTS = frozenset({"dry hop", "addition", "rouse", "warm"})

FIRST_SAMPLE_H = 96.0
SAMPLES_APART_H = 48.0
HYDROMETER_NOISE_POINTS = 0.5
HYDROMETER_STEP_POINTS = 1.0

MEDIAN_H = 6
WINDOW_H = 48
LOWEST_GRAVITY, HIGHEST_GRAVITY = 0.980, 1.200
LARGEST_DISTANCE_TO_END_POINTS = 5.0
SMALLEST_FALL_SHARE = 0.25
SLOPE_CONFIDENCE = 0.90
LEAST_SHARE_SEEN = 0.75


@dataclass(frozen=True)
class Samples:
    """What came of opening the vessel: when it was called ready [µs since the epoch]; how many openings."""

    ready_us: int | None
    openings: int


def same_hydrometer_reading(first: float, second: float, tolerance: float = 0.001) -> bool:
    """Whether two gravities [SG] two days apart are said to mean that the beer has finished.

    >>> same_hydrometer_reading(1.012, 1.011), same_hydrometer_reading(1.028, 1.017)
    (True, False)
    """
    # a billionth of slack: 1.012 - 1.011 is a little more than 0.001 in binary
    return abs(second - first) <= tolerance + 1e-9


def take_samples(invented: Invented, after_us: int | None = None) -> Samples:
    """A degassed sample every 48 h from day 4 until two in a row, both after `after_us`, are the same.

    The hydrometer is read to 1 point, with an error of 0.5 points (standard deviation) that the same batch
    always meets again.
    """
    rng = np.random.default_rng([zlib.crc32(invented.kind.encode()), invented.seed, 1])
    after_h = 0.0 if after_us is None else invented.hour_of(after_us)
    last: float | None = None
    openings = 0
    for at_h in np.arange(FIRST_SAMPLE_H, float(invented.truth.hours[-1]), SAMPLES_APART_H).tolist():
        error_points = HYDROMETER_NOISE_POINTS * rng.standard_normal()
        if at_h < after_h:
            continue
        points = 1000.0 * (invented.truth.gravity_at(at_h) - 1.0) + error_points
        seen = 1.0 + round(points / HYDROMETER_STEP_POINTS) * HYDROMETER_STEP_POINTS / 1000.0
        openings += 1
        if last is not None and same_hydrometer_reading(last, seen, invented.batch.tolerance):
            return Samples(invented.batch.pitched_us + round(at_h) * HOUR_US, openings)
        last = seen
    return Samples(None, openings)


def spread_of_medians(readings: Sequence[Reading], batch: Batch, after_us: int | None = None) -> int | None:
    """First hour [µs since the epoch] at which the 6 h medians of 48 h lie within the tolerance."""

    def still(medians: Floats, hour: int) -> bool:
        seen = medians[hour - WINDOW_H + MEDIAN_H : hour + 1 : MEDIAN_H]
        return bool(np.ptp(seen) <= batch.tolerance)

    return _first_hour(rolling_medians(readings, batch, MEDIAN_H), batch, after_us, still)


def medians_apart(readings: Sequence[Reading], batch: Batch, after_us: int | None = None) -> int | None:
    """First hour [µs since the epoch] at which the 6 h median is within the tolerance of that 48 h before."""

    def same(medians: Floats, hour: int) -> bool:
        return bool(abs(medians[hour] - medians[hour - WINDOW_H]) <= batch.tolerance)

    return _first_hour(rolling_medians(readings, batch, MEDIAN_H), batch, after_us, same, WINDOW_H + MEDIAN_H)


def robust_slope(readings: Sequence[Reading], batch: Batch, after_us: int | None = None) -> int | None:
    """First hour [µs since the epoch] at which the Theil-Sen slope of 48 h proves stillness.

    Both ends of the slope's 90 % interval times 48 h must lie within the tolerance, a quarter of the original
    gravity's points must be gone, and the level, once shifted so that the first six hours read the original
    gravity, must not be more than 5 points above the expected end.
    """
    hourly = rolling_medians(readings, batch, 1)
    shift, highest = start_shift(hourly, batch), highest_end(batch)

    def proven(medians: Floats, hour: int) -> bool:
        window = medians[hour - WINDOW_H + 1 : hour + 1]
        seen = np.isfinite(window)
        if seen.mean() < LEAST_SHARE_SEEN:
            return False
        if float(np.median(window[seen][-MEDIAN_H:])) + shift > highest:
            return False
        fit = theilslopes(window[seen], np.flatnonzero(seen), SLOPE_CONFIDENCE)
        return bool(max(abs(fit.low_slope), abs(fit.high_slope)) * WINDOW_H <= batch.tolerance)

    return _first_hour(hourly, batch, after_us, proven)


def restarts_us(batch: Batch) -> list[int]:
    """The pitch and each event after which a brewer starts anew [µs since the epoch], in time order."""
    return [batch.pitched_us, *(e.at_us for e in batch.events if e.kind in RESTARTING_EVENTS)]


def rolling_medians(readings: Sequence[Reading], batch: Batch, width_h: int) -> Floats:
    """Median gravity [SG at reference] of the last `width_h` hours at each whole hour since pitch.

    NaN where fewer than half of these hours have a reading. Impossible values are left out first.
    """
    good = sorted(
        (r.at_us, r.gravity, r.temperature_c)
        for r in readings
        if r.gravity is not None and r.temperature_c is not None and LOWEST_GRAVITY <= r.gravity <= HIGHEST_GRAVITY
    )
    if not good:
        return np.empty(0)
    at_us, gravity, temp_c = np.array(good, dtype=float).T
    hour = (at_us - batch.pitched_us) / HOUR_US
    ends = np.arange(1.0, np.floor(hour[-1]) + 1.0)
    firsts, lasts = np.searchsorted(hour, ends - width_h), np.searchsorted(hour, ends)
    whole = np.floor(hour)
    medians, temps = np.full(len(ends), np.nan), np.full(len(ends), 20.0)
    for i, (first, last) in enumerate(zip(firsts.tolist(), lasts.tolist(), strict=True)):
        if 2 * len(np.unique(whole[first:last])) >= width_h:
            medians[i], temps[i] = np.median(gravity[first:last]), np.median(temp_c[first:last])
    return np.asarray(sg_at_reference(batch.original_gravity, medians, temps), dtype=float)


def _first_hour(
    medians: Floats,
    batch: Batch,
    after_us: int | None,
    holds: Callable[[Floats, int], bool],
    need_h: int = WINDOW_H,
) -> int | None:
    after_h = 0.0 if after_us is None else (after_us - batch.pitched_us) / HOUR_US
    for index in range(max(need_h - 1, int(np.ceil(after_h)) + need_h - 1), len(medians)):
        if holds(medians, index):
            return batch.pitched_us + (index + 1) * HOUR_US
    return None


def start_shift(hourly: Floats, batch: Batch) -> float:
    """[SG] by which the first six hours of `hourly` read less than the original gravity; 0 where that is not known."""
    if batch.original_gravity is None or not np.isfinite(hourly[:MEDIAN_H]).any():
        return 0.0
    return batch.original_gravity - float(np.nanmedian(hourly[:MEDIAN_H]))


def highest_end(batch: Batch) -> float:
    """Highest gravity [SG] at which the gates let a beer be finished."""
    highest = np.inf
    if batch.original_gravity is not None:
        highest = batch.original_gravity - SMALLEST_FALL_SHARE * (batch.original_gravity - 1.0)
    if batch.expected_final_gravity is not None:
        expected = sum(batch.expected_final_gravity) / 2.0
        highest = min(highest, expected + LARGEST_DISTANCE_TO_END_POINTS / 1000.0)
    return float(highest)
