"""Kinds of batch whose difficulty lies in the sensor: an ordinary ale, badly watched."""

from __future__ import annotations

import math
from dataclasses import replace

from lullwort.rehearsal.drawing import Rng, draw_ale, either_sign
from lullwort.rehearsal.plan import Done, Plan
from lullwort.rehearsal.sensor import Bump, Deposit, Hold, Sensor
from lullwort.rehearsal.tilt import Tilt

__all__ = [
    "bump",
    "coarse_steps",
    "day_and_night",
    "deposit_falling_off",
    "drifting_sensor",
    "gaps",
    "noisy_sensor",
    "offset_and_scale",
    "outliers_and_garbage",
    "pinned_or_frozen_sensor",
    "resting_late",
    "sealed_vessel",
    "spikes_and_zeros",
    "start_transient",
    "stranger_sensor",
    "tilting_sensor",
]


def noisy_sensor(rng: Rng) -> Plan:
    """Two to four times the usual noise."""
    plan = draw_ale(rng)
    sensor = replace(
        plan.sensor,
        white_points=rng.uniform(0.5, 1.2),
        red_points=rng.uniform(0.7, 1.3),
        active_factor=rng.uniform(2.0, 4.0),
    )
    return replace(plan, sensor=sensor)


def drifting_sensor(rng: Rng) -> Plan:
    """Creeps up or down by 0.05 to 0.25 points a day."""
    plan = draw_ale(rng)
    return replace(plan, sensor=replace(plan.sensor, drift_points_per_day=either_sign(rng, 0.05, 0.25)))


def outliers_and_garbage(rng: Rng) -> Plan:
    """One in twenty readings wild, and brown-outs of two hours."""
    plan = draw_ale(rng)
    bursts = tuple((24.0 * rng.uniform(1.0, 14.0, size=int(rng.integers(2, 5)))).tolist())
    sensor = replace(plan.sensor, outlier_share=rng.uniform(0.02, 0.06), garbage_at_h=bursts)
    return replace(plan, sensor=sensor)


def bump(rng: Rng) -> Plan:
    """One or two lasting steps of 2.5 to 8 points."""
    plan = draw_ale(rng)
    bumps = tuple(
        Bump(24.0 * rng.uniform(2.0, 11.0), either_sign(rng, 2.5, 8.0)) for _ in range(int(rng.integers(1, 3)))
    )
    return replace(plan, sensor=replace(plan.sensor, bumps=bumps))


def pinned_or_frozen_sensor(rng: Rng) -> Plan:
    """Once or twice the gravity, perhaps the temperature too, stands for one to three days."""
    plan = draw_ale(rng)
    begins_h = (24.0 * rng.uniform(1.5, 8.0, size=int(rng.integers(1, 3)))).tolist()
    holds = tuple(Hold(at_h, at_h + rng.uniform(18.0, 72.0), bool(rng.integers(2))) for at_h in begins_h)
    return replace(plan, sensor=replace(plan.sensor, holds=holds))


def gaps(rng: Rng) -> Plan:
    """Two to four silences of 8 to 60 hours, and single readings missing."""
    plan = draw_ale(rng)
    begins_h = (24.0 * rng.uniform(1.0, 13.0, size=int(rng.integers(2, 5)))).tolist()
    silences = tuple((at_h, at_h + rng.uniform(8.0, 60.0)) for at_h in begins_h)
    return replace(plan, sensor=replace(plan.sensor, gaps=silences, missing_share=rng.uniform(0.05, 0.3)))


def coarse_steps(rng: Rng) -> Plan:
    """Readings in whole points with little noise, while a tail runs."""
    plan = draw_ale(rng)
    beer = replace(plan.beer, tail_points=5.0, tail_tau_h=24.0 * rng.uniform(3.0, 4.5))
    sensor = replace(plan.sensor, step_points=1.0, white_points=0.15, red_points=0.15)
    return replace(plan, beer=beer, sensor=sensor)


def offset_and_scale(rng: Rng) -> Plan:
    """Reads 5 to 10 points off, with a scale error of up to 5 %."""
    plan = draw_ale(rng)
    sensor = replace(plan.sensor, offset_points=either_sign(rng, 5.0, 10.0), scale=rng.uniform(0.95, 1.05))
    return replace(plan, sensor=sensor)


def spikes_and_zeros(rng: Rng) -> Plan:
    """One reading in two hundred is 0 or 1.107, each alone."""
    plan = draw_ale(rng)
    return replace(plan, sensor=replace(plan.sensor, spike_share=0.005))


def start_transient(rng: Rng) -> Plan:
    """Rises by 8 to 15 points within the first hours after pitching, fading within half a day."""
    plan = draw_ale(rng)
    return replace(plan, sensor=resting_late(plan.sensor, rng))


def resting_late(sensor: Sensor, rng: Rng) -> Sensor:
    """The same sensor, reading 8 to 15 points high for most of its first day."""
    return replace(
        sensor,
        start_points=rng.uniform(8.0, 15.0),
        start_rise_h=rng.uniform(1.0, 4.0),
        start_fade_h=rng.uniform(3.0, 5.0),
    )


def deposit_falling_off(rng: Rng) -> Plan:
    """Crud lifts the reading by 0.3 to 0.5 points a day, then drops off in one step, with what was there before."""
    plan = draw_ale(rng)
    begin_h = 24.0 * rng.uniform(4.0, 6.0)
    deposit = Deposit(begin_h, rng.uniform(0.3, 0.5), begin_h + 24.0 * rng.uniform(5.0, 8.0))
    before = Bump(deposit.falls_at_h, -rng.uniform(0.0, 3.0))
    return replace(plan, sensor=replace(plan.sensor, deposit=deposit, bumps=(before,)))


def day_and_night(rng: Rng) -> Plan:
    """A swing of 2 °C either way with a sensor that takes temperature for gravity."""
    plan = draw_ale(rng)
    return replace(
        plan,
        cellar=replace(plan.cellar, swing_c=2.0),
        sensor=replace(plan.sensor, points_per_c=either_sign(rng, 0.4, 0.6)),
    )


def sealed_vessel(rng: Rng) -> Plan:
    """Sealed with some points left: pressure lifts the reading by 3 to 6 points."""
    plan = draw_ale(rng)
    sealed_h = plan.beer.lag_h + plan.beer.middle_h + rng.uniform(18.0, 48.0)
    sensor = replace(plan.sensor, sealed_h=sealed_h, sealed_points=rng.uniform(3.0, 6.0))
    return replace(plan, sensor=sensor, done=(Done(sealed_h, "seal"),))


def stranger_sensor(sensor: Sensor, rng: Rng) -> Sensor:
    """The same sensor with traits that the ordinary ones lack: the second family of sensors.

    Slow wander beside the usual noise, a start transient, more scale error, and now and then a minute's
    interval.
    """
    return replace(
        sensor,
        interval_min=1.0 if rng.random() < 0.05 else sensor.interval_min,
        slow_points=rng.uniform(0.0, 0.25),
        slow_h=rng.uniform(12.0, 36.0),
        start_points=sensor.start_points + rng.uniform(0.0, 5.0),
        scale=sensor.scale + rng.normal(0.0, 0.02),
    )


def tilting_sensor(sensor: Sensor, rng: Rng) -> Sensor:
    """The same sensor as a float that tilts, as quiet as before but in another way: the third family of sensors.

    Single nudges and bubbling spells in place of red and white noise, a dead band, steps that settle, temperature
    felt late, an interval that is not quite its own, more hourly reporters, milder wild readings, and now and
    then a brown-out.
    """
    tilt = Tilt(
        flicker_points=sensor.white_points,
        bubbling_factor=rng.uniform(2.0, 5.0),
        nudge_points=sensor.red_points,
        nudge_h=sensor.red_h,
        nudges_per_h=math.exp(rng.uniform(math.log(0.15), math.log(1.5))),
        active_factor=sensor.active_factor,
        shuffle_points=rng.uniform(0.0, 0.08),
        dead_points=rng.uniform(0.0, 0.3),
        settles_share=rng.uniform(-0.25, 0.35),
        settles_h=rng.uniform(4.0, 16.0),
        points_per_c=sensor.points_per_c,
        lag_h=rng.uniform(0.5, 4.0),
        interval_error=rng.normal(0.0, 0.002),
        late_min=rng.uniform(0.0, 0.7),
    )
    return replace(
        sensor,
        tilt=tilt,
        white_points=0.0,
        red_points=0.0,
        points_per_c=0.0,
        interval_min=60.0 if rng.random() < 0.2 else sensor.interval_min,
        start_points=sensor.start_points + rng.normal(0.0, 2.0),
        start_fade_h=rng.uniform(4.0, 12.0) if sensor.start_points == 0.0 else sensor.start_fade_h,
        outlier_share=max(sensor.outlier_share, rng.uniform(0.001, 0.005)),
        outlier_points=rng.uniform(6.0, 30.0),
        garbage_at_h=(*sensor.garbage_at_h, *(24.0 * rng.uniform(1.0, 14.0, size=int(rng.random() < 0.1))).tolist()),
    )
