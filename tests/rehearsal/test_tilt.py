from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lullwort.rehearsal.drawing import draw_sensor
from lullwort.rehearsal.sensor import Bump, Sensor, report
from lullwort.rehearsal.sensor_kinds import tilting_sensor
from lullwort.rehearsal.tilt import Tilt, tilted_points
from lullwort.rehearsal.truth import Floats, Truth

AT_H = np.arange(0.0, 24.0 * 400, 0.5)
QUIET, BUSY, WARM = np.zeros(len(AT_H)), np.ones(len(AT_H)), np.full(len(AT_H), 20.0)


def noise(
    tilt: Tilt, active: Floats = QUIET, temp_c: Floats = WARM, steps: tuple[tuple[float, float], ...] = ()
) -> Floats:
    return tilted_points(tilt, np.zeros(len(AT_H)), AT_H, active, temp_c, steps, np.random.default_rng(3))


def excess_kurtosis(values: Floats) -> float:
    centred = values - values.mean()
    return float(np.mean(centred**4) / np.mean(centred**2) ** 2 - 3.0)


def correlation(values: Floats, lag: int) -> float:
    return float(np.corrcoef(values[lag:], values[:-lag])[0, 1])


def test_a_float_without_faults_reads_what_is_there() -> None:
    points = np.linspace(50.0, 10.0, len(AT_H))
    read = tilted_points(Tilt(), points, AT_H, QUIET, WARM, (), np.random.default_rng(1))
    assert np.array_equal(read, points)
    assert len(tilted_points(Tilt(), points[:0], AT_H[:0], QUIET[:0], WARM[:0], (), np.random.default_rng(1))) == 0


@pytest.mark.no_cover
@pytest.mark.parametrize("a_step_h", [0.25, 1.0])
def test_nudges_have_their_deviation_last_for_hours_and_are_seldom_and_large(a_step_h: float) -> None:
    at_h = np.arange(0.0, 24.0 * 800, a_step_h)
    flat = np.zeros(len(at_h))
    tilt = Tilt(nudge_points=0.4, nudge_h=4.0, nudges_per_h=0.3)
    of = tilted_points(tilt, flat, at_h, flat, flat + 20.0, (), np.random.default_rng(3))
    assert of.std() == pytest.approx(0.4, rel=0.06)
    assert excess_kurtosis(of) > 1.0
    # three lengths of 1.6, 4 and 10 h, of which the middle one gives half
    lag_h = np.array([1.0, 4.0, 12.0])
    expected = sum(share * np.exp(-lag_h / felt) for felt, share in ((1.6, 0.3), (4.0, 0.5), (10.0, 0.2)))
    assert [correlation(of, round(lag / a_step_h)) for lag in lag_h] == pytest.approx(expected, abs=0.06)


def test_flicker_has_its_deviation_and_is_larger_in_spells_that_active_beer_has_more_of() -> None:
    tilt = Tilt(flicker_points=0.3, bubbling_factor=4.0)
    quiet, busy = noise(tilt), noise(tilt, BUSY)
    assert quiet.std() == pytest.approx(0.3, rel=0.06)
    assert busy.std() > 2.5 * quiet.std()
    assert abs(correlation(quiet, 1)) < 0.04
    # the size of one reading tells of the next one's: they lie in the same spell
    assert correlation(np.minimum(np.abs(quiet), 1.5), 1) > 0.1


def test_nudges_grow_while_gravity_falls() -> None:
    tilt = Tilt(nudge_points=0.3, active_factor=3.0)
    assert noise(tilt, BUSY).std() == pytest.approx(3.0 * noise(tilt).std(), rel=1e-9)


def test_a_float_holds_on_until_it_is_moved_by_more_than_half_of_its_band() -> None:
    points = 0.2 * np.sin(AT_H / 10.0)
    small, large = (
        tilted_points(Tilt(dead_points=0.5), scale * points, AT_H, QUIET, WARM, (), np.random.default_rng(1))
        for scale in (1.0, 5.0)
    )
    assert np.ptp(small) == 0.0
    assert large.max() == pytest.approx(1.0 - 0.25, abs=0.01)
    assert np.mean(np.diff(large) == 0.0) > 0.2


def test_shuffles_last_and_grow_as_the_root_of_time() -> None:
    walk = noise(Tilt(shuffle_points=0.1))
    assert 0.6 < np.mean(np.diff(walk) != 0.0) * 48.0 < 1.5
    a_day, nine_days = (float(np.std(walk[days * 48 :] - walk[: -days * 48])) for days in (1, 9))
    assert a_day == pytest.approx(0.1, rel=0.25)
    assert nine_days == pytest.approx(3.0 * a_day, rel=0.3)


def test_a_step_is_overdone_and_settles() -> None:
    of = noise(Tilt(settles_share=0.25, settles_h=10.0), steps=((100.0, 4.0),))
    assert of[AT_H < 100.0].max() == 0.0
    assert of[AT_H == 100.0].tolist() == [1.0]
    assert of[AT_H == 110.0].tolist() == pytest.approx([np.exp(-1.0)])
    both = report(
        Sensor(bumps=(Bump(100.0, 4.0),), tilt=Tilt(settles_share=0.25, settles_h=10.0)),
        flat(),
        np.random.default_rng(1),
    )
    points = 1000.0 * (both.gravity - 1.0)
    assert points[np.argmax(both.hours >= 100.0)] == pytest.approx(15.0, abs=0.11)
    assert points[-1] == pytest.approx(14.0, abs=0.01)


def test_temperature_is_felt_late() -> None:
    temp_c = np.where(AT_H < 50.0, 20.0, 10.0)
    of = noise(Tilt(points_per_c=0.5, lag_h=3.0), temp_c=temp_c)
    assert of[AT_H == 49.5].tolist() == [0.0]
    assert of[AT_H == 53.0].tolist() == pytest.approx([-5.0 * (1.0 - np.exp(-1.0))], abs=0.4)
    assert of[-1] == pytest.approx(-5.0)


def flat() -> Truth:
    hours = np.arange(24.0 * 30 + 1)
    return Truth(hours, np.full(len(hours), 1.010), np.zeros(len(hours)), np.full(len(hours), 20.0))


def test_readings_come_in_order_at_an_interval_of_the_float_s_own_and_a_little_late() -> None:
    of = report(
        Sensor(interval_min=15.0, tilt=Tilt(interval_error=0.01, late_min=0.6)), flat(), np.random.default_rng(1)
    )
    minutes = 60.0 * np.diff(of.hours)
    assert minutes.min() > 0.0
    assert minutes.mean() == pytest.approx(15.15, abs=0.01)
    assert 0.1 < np.ptp(minutes) < 1.3
    assert of.hours[-1] < 24.0 * 30


@pytest.mark.no_cover
def test_a_tilting_sensor_is_as_quiet_as_the_one_it_stands_for() -> None:
    ordinary: list[float] = []
    tilting: list[float] = []
    for seed in range(20):
        sensor = replace(draw_sensor(np.random.default_rng(seed)), step_points=0.1, outlier_share=0.0)
        other = replace(tilting_sensor(sensor, np.random.default_rng(seed)), outlier_share=0.0, garbage_at_h=())
        for of, kept in ((sensor, ordinary), (other, tilting)):
            read = report(replace(of, drift_points_per_day=0.0), flat(), np.random.default_rng(seed))
            kept.append(float(np.std(1000.0 * read.gravity[read.hours > 72.0])))
    assert all(0.15 < sd < 0.9 for sd in tilting)
    assert np.mean(tilting) == pytest.approx(np.mean(ordinary), rel=0.15)
