"""What a floating sensor makes of the beer: noise, faults, steps and silence between truth and reading.

The sensor reports uncorrected gravity: the density of the liquid at its temperature over that of water at
20 °C. Faults are added in gravity points. Everything is drawn from the generator that is passed in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from lullwort.rehearsal.tilt import Tilt, tilted_points
from lullwort.rehearsal.truth import Floats, Truth
from lullwort.science.beer import sensor_reading

__all__ = ["Bump", "Debris", "Deposit", "Hold", "Report", "Sensor", "red_noise", "report"]


@dataclass(frozen=True)
class Bump:
    """From `at_h` [h] on the sensor reads `points` more (less where negative), for good."""

    at_h: float
    points: float


@dataclass(frozen=True)
class Hold:
    """From `from_h` to `to_h` [h] the gravity repeats itself; a frozen sensor's temperature too."""

    from_h: float
    to_h: float
    frozen: bool


@dataclass(frozen=True)
class Debris:
    """From `at_h` [h] a raft of hops or fruit: reads `points` more, fading over `fade_h`, with more noise."""

    at_h: float
    points: float
    fade_h: float
    noise_points: float


@dataclass(frozen=True)
class Deposit:
    """Crud that grows from `from_h` by `points_per_day` and falls off in one step at `falls_at_h`."""

    from_h: float
    points_per_day: float
    falls_at_h: float


@dataclass(frozen=True, kw_only=True)
class Sensor:
    """One sensor and what goes wrong with it. All standard deviations in gravity points.

    Attributes:
        interval_min: [min] between readings.
        white_points, red_points, red_h: noise of each reading for itself, and noise correlated over `red_h`.
        slow_points, slow_h: a second, slower red noise; 0 for none.
        active_factor: how many times larger the noise is while gravity falls by 10 points a day or more.
        step_points, step_c: steps in which gravity and temperature are reported.
        offset_points, scale: reading = offset + scale x true points.
        drift_points_per_day: lasting upward (or, negative, downward) creep of the reading.
        points_per_c: error for each °C above 20 °C.
        start_points, start_rise_h, start_fade_h: reads high at the start: rises so far, then fades.
        outlier_share, outlier_points: share of lone wild readings and their size.
        spike_share: share of readings, each alone, that are SG 0 or 1.107.
        garbage_at_h: [h] when bursts of brown-out garbage begin.
        missing_share, gaps: share of readings lost singly, and (from, to) [h] of silences.
        sealed_h, sealed_points: reads this much high from the hour of sealing on.
        tilt: a float that tilts, with noise of another form; None where there is none.
    """

    interval_min: float = 15.0
    white_points: float = 0.0
    red_points: float = 0.0
    red_h: float = 4.0
    slow_points: float = 0.0
    slow_h: float = 24.0
    active_factor: float = 1.0
    step_points: float = 0.1
    step_c: float = 0.1
    offset_points: float = 0.0
    scale: float = 1.0
    drift_points_per_day: float = 0.0
    points_per_c: float = 0.0
    start_points: float = 0.0
    start_rise_h: float = 0.0
    start_fade_h: float = 6.0
    outlier_share: float = 0.0
    outlier_points: float = 30.0
    spike_share: float = 0.0
    garbage_at_h: tuple[float, ...] = ()
    missing_share: float = 0.0
    gaps: tuple[tuple[float, float], ...] = ()
    bumps: tuple[Bump, ...] = ()
    holds: tuple[Hold, ...] = ()
    debris: tuple[Debris, ...] = ()
    deposit: Deposit | None = None
    sealed_h: float = math.inf
    sealed_points: float = 0.0
    tilt: Tilt | None = None


@dataclass(frozen=True, eq=False)
class Report:
    """What the sensor sent: hours since pitch, gravity [SG, uncorrected], temperature [°C]; one length."""

    hours: Floats
    gravity: Floats
    temperature_c: Floats


def red_noise(size: int, step_h: float, sd: float, correlation_h: float, rng: np.random.Generator) -> Floats:
    """First-order autoregressive noise: standard deviation `sd`, correlation exp(-lag / correlation_h)."""
    keep = math.exp(-step_h / correlation_h)
    kicks = sd * math.sqrt(1.0 - keep * keep) * rng.standard_normal(size)
    if size:
        kicks[0] = sd * rng.standard_normal()
    return np.fromiter(accumulate(kicks.tolist(), lambda last, kick: keep * last + kick), float, size)


def report(sensor: Sensor, truth: Truth, rng: np.random.Generator) -> Report:
    """Everything the sensor sends over the span of `truth`, in time order."""
    step_h = sensor.interval_min / 60.0
    at_h = np.arange(rng.uniform(0.0, step_h), float(truth.hours[-1]), step_h)
    if sensor.tilt is not None:
        at_h = sensor.tilt.hours(at_h, rng)
        at_h = at_h[at_h < truth.hours[-1]]
    temp_c = np.interp(at_h, truth.hours, truth.temperature_c)
    # an hour is short for the liquid: the physics runs once an hour, however often the sensor reports
    uncorrected = sensor_reading(float(truth.gravity[0]), truth.gravity, truth.temperature_c)
    points = 1000.0 * (np.interp(at_h, truth.hours, uncorrected) - 1.0)
    if sensor.tilt is not None:
        steps = tuple((bump.at_h, bump.points) for bump in sensor.bumps)
        points = tilted_points(sensor.tilt, points, at_h, _activity(truth, at_h), temp_c, steps, rng)
    points = sensor.offset_points + sensor.scale * points + _faults(sensor, at_h, temp_c)
    points += _noise(sensor, truth, at_h, step_h, rng)
    points = _round_to(points, sensor.step_points)
    temp_c = _round_to(temp_c + 0.05 * rng.standard_normal(len(at_h)), sensor.step_c)
    _hold(sensor, at_h, points, temp_c)
    _spoil(sensor, at_h, points, rng)
    kept = rng.random(len(at_h)) >= sensor.missing_share
    for begin_h, end_h in sensor.gaps:
        kept &= (at_h < begin_h) | (at_h >= end_h)
    return Report(at_h[kept], np.round(1.0 + points[kept] / 1000.0, 4), np.round(temp_c[kept], 2))


def _activity(truth: Truth, at_h: Floats) -> Floats:
    """From 0, quiet, to 1 where gravity falls by 10 points a day or more."""
    falling = -np.gradient(truth.gravity, truth.hours) * 24_000.0
    return np.interp(at_h, truth.hours, np.clip(falling / 10.0, 0.0, 1.0))


def _noise(sensor: Sensor, truth: Truth, at_h: Floats, step_h: float, rng: np.random.Generator) -> Floats:
    active = _activity(truth, at_h)
    size = len(at_h)
    quiet = sensor.white_points * rng.standard_normal(size)
    quiet += red_noise(size, step_h, sensor.red_points, sensor.red_h, rng)
    quiet *= 1.0 + (sensor.active_factor - 1.0) * active
    quiet += red_noise(size, step_h, sensor.slow_points, sensor.slow_h, rng)
    for raft in sensor.debris:
        faded = np.where(at_h >= raft.at_h, np.exp(-np.maximum(at_h - raft.at_h, 0.0) / raft.fade_h), 0.0)
        quiet += faded * (raft.points + red_noise(size, step_h, raft.noise_points, 3.0, rng))
    return quiet


def _faults(sensor: Sensor, at_h: Floats, temp_c: Floats) -> Floats:
    """Everything that shifts readings without chance [points]."""
    shift = sensor.drift_points_per_day * at_h / 24.0 + sensor.points_per_c * (temp_c - 20.0)
    shift += sensor.start_points * _start_share(sensor, at_h)
    for bump in sensor.bumps:
        shift += bump.points * (at_h >= bump.at_h)
    if sensor.deposit is not None:
        growing = (at_h >= sensor.deposit.from_h) & (at_h < sensor.deposit.falls_at_h)
        shift += growing * (at_h - sensor.deposit.from_h) / 24.0 * sensor.deposit.points_per_day
    return np.asarray(shift + sensor.sealed_points * (at_h >= sensor.sealed_h), dtype=float)


def _start_share(sensor: Sensor, at_h: Floats) -> Floats:
    """Of the start transient, what there is at each hour."""
    if not sensor.start_rise_h:
        return np.exp(-at_h / sensor.start_fade_h)
    risen = np.minimum(at_h / sensor.start_rise_h, 1.0)
    return np.asarray(risen * np.exp(-np.maximum(at_h - sensor.start_rise_h, 0.0) / sensor.start_fade_h), dtype=float)


def _hold(sensor: Sensor, at_h: Floats, points: Floats, temp_c: Floats) -> None:
    """Repeat the value at the beginning of each hold, in place."""
    for hold in sensor.holds:
        held = np.flatnonzero((at_h >= hold.from_h) & (at_h < hold.to_h))
        if len(held):
            points[held] = points[held[0]]
            if hold.frozen:
                temp_c[held] = temp_c[held[0]]


def _spoil(sensor: Sensor, at_h: Floats, points: Floats, rng: np.random.Generator) -> None:
    """Put wild readings and bursts of garbage in place of good ones, in place."""
    wild = rng.random(len(at_h)) < sensor.outlier_share
    points[wild] += sensor.outlier_points * rng.standard_t(2, len(at_h))[wild]
    if sensor.spike_share:
        spikes = np.flatnonzero(rng.random(len(at_h)) < sensor.spike_share)
        points[spikes] = rng.choice(np.array([-1000.0, 107.0]), len(spikes))
    for begin_h in sensor.garbage_at_h:
        burst = np.flatnonzero((at_h >= begin_h) & (at_h < begin_h + 2.0))
        points[burst] = rng.choice(np.array([-1000.0, -350.0, 107.0, 250.0, 8000.0]), len(burst))


def _round_to(values: Floats, step: float) -> NDArray[np.float64]:
    return np.asarray(np.round(values / step) * step, dtype=float)
