from __future__ import annotations

import numpy as np
import pytest

from lullwort.rehearsal.sensor import Bump, Debris, Deposit, Hold, Report, Sensor, red_noise, report
from lullwort.rehearsal.truth import Floats, Truth

PERFECT = Sensor(step_points=0.1)


def flat(days: float = 20.0, points: float = 10.0, temp_c: float = 20.0) -> Truth:
    hours = np.arange(24.0 * days + 1)
    return Truth(hours, np.full(len(hours), 1.0 + points / 1000.0), np.zeros(len(hours)), np.full(len(hours), temp_c))


def sent(sensor: Sensor, truth: Truth | None = None, seed: int = 1) -> Report:
    return report(sensor, flat() if truth is None else truth, np.random.default_rng(seed))


def points(of: Report) -> Floats:
    return np.asarray(1000.0 * (of.gravity - 1.0), dtype=float)


def test_a_perfect_sensor_in_beer_at_20_c_reads_the_truth_in_its_steps() -> None:
    assert np.unique(points(sent(PERFECT)).round(6)).tolist() == [10.0]


@pytest.mark.parametrize(("temp_c", "shift"), [(10.0, 1.75), (15.0, 1.02), (25.0, -1.28), (4.0, 2.2)])
def test_cold_beer_reads_higher_and_warm_beer_lower_by_the_liquids_own_expansion(temp_c: float, shift: float) -> None:
    # beer of 4.0 % extract and 3.9 % alcohol computed from published sucrose and ethanol equations:
    # relative density change against 20 °C of 1.753, 1.018, -1.277 per thousand at 10, 15, 25 °C
    # and 2.25 to 2.18 between 0 and 5 °C; a beer from 48 to 10 points is close to that one
    hours = np.arange(200.0)
    falling = np.where(hours < 10, 1.048, 1.010)
    truth = Truth(hours, falling, np.zeros(200), np.full(200, temp_c))
    assert points(sent(PERFECT, truth))[-1] == pytest.approx(10.0 + shift, abs=0.15)


def test_white_noise_has_its_standard_deviation_and_no_correlation() -> None:
    noise = points(sent(Sensor(white_points=0.4, step_points=0.01), flat(60.0)))
    assert noise.std() == pytest.approx(0.4, rel=0.03)
    assert np.corrcoef(noise[1:], noise[:-1])[0, 1] == pytest.approx(0.0, abs=0.05)


@pytest.mark.no_cover
def test_red_noise_has_its_standard_deviation_and_correlation_time() -> None:
    noise = red_noise(400_000, 0.25, 0.5, 4.0, np.random.default_rng(1))
    assert noise.std() == pytest.approx(0.5, rel=0.03)
    lag_4_h = np.corrcoef(noise[16:], noise[:-16])[0, 1]
    assert lag_4_h == pytest.approx(np.exp(-1.0), abs=0.03)


def test_red_noise_of_nothing_is_nothing() -> None:
    assert len(red_noise(0, 0.25, 0.5, 4.0, np.random.default_rng(1))) == 0


def test_noise_grows_while_gravity_falls() -> None:
    hours = np.arange(24.0 * 40)
    gravity = 1.2 - np.minimum(hours, 480.0) * 0.0004  # 9.6 points a day for twenty days, then flat
    truth = Truth(hours, gravity, np.zeros(len(hours)), np.full(len(hours), 20.0))
    noise = points(sent(Sensor(white_points=0.3, active_factor=4.0, step_points=0.01), truth))
    detrended = np.diff(noise) / np.sqrt(2.0)
    falling_until = 480 * 4
    assert detrended[: falling_until - 20].std() == pytest.approx(0.3 * (1.0 + 3.0 * 0.96), rel=0.05)
    assert detrended[falling_until + 20 :].std() == pytest.approx(0.3, rel=0.05)


def test_slow_wander_comes_on_top() -> None:
    assert points(sent(Sensor(slow_points=0.5, slow_h=24.0), flat(70.0))).std() == pytest.approx(0.5, rel=0.4)


@pytest.mark.parametrize("step", [0.1, 1.0])
def test_readings_come_in_whole_steps(step: float) -> None:
    in_steps = points(sent(Sensor(white_points=0.8, step_points=step))) / step
    assert np.abs(in_steps - np.round(in_steps)).max() < 1e-6


def test_offset_and_scale_turn_50_and_11_points_into_56_and_18_and_a_half() -> None:
    sensor = Sensor(offset_points=8.0, scale=0.96, step_points=0.1)
    assert points(sent(sensor, flat(points=50.0)))[0] == pytest.approx(56.0)
    assert points(sent(sensor, flat(points=11.0)))[0] == pytest.approx(18.6, abs=0.051)


def test_drift_adds_up_by_the_day() -> None:
    drifted = points(sent(Sensor(drift_points_per_day=0.2)))
    assert drifted[-1] - drifted[0] == pytest.approx(0.2 * 20.0, abs=0.11)


def test_a_temperature_error_follows_the_temperature() -> None:
    cold = flat(temp_c=10.0)
    with_error, without = sent(Sensor(points_per_c=0.5), cold), sent(Sensor(), cold)
    assert np.median(points(with_error) - points(without)) == pytest.approx(-5.0, abs=0.06)


def test_the_start_transient_fades() -> None:
    read = points(sent(Sensor(interval_min=60.0, start_points=15.0, start_fade_h=4.0)))
    assert read[0] > 20.0
    assert read[24] == pytest.approx(10.0, abs=0.2)


def test_a_start_transient_may_rise_before_it_fades() -> None:
    read = points(sent(Sensor(interval_min=60.0, start_points=15.0, start_rise_h=4.0, start_fade_h=4.0)))
    assert 3 <= np.argmax(read) <= 4
    assert 21.0 < read.max() <= 25.0
    assert read[0] < 14.0
    assert read[28] == pytest.approx(10.0, abs=0.2)


def test_a_bump_lasts() -> None:
    of = sent(Sensor(bumps=(Bump(100.0, 6.0),)))
    assert np.unique(points(of)[of.hours < 100.0].round(3)).tolist() == [10.0]
    assert np.unique(points(of)[of.hours >= 100.0].round(3)).tolist() == [16.0]


@pytest.mark.parametrize("frozen", [False, True])
def test_a_held_sensor_repeats_its_gravity_and_a_frozen_one_its_temperature_too(frozen: bool) -> None:
    of = sent(Sensor(white_points=0.5, holds=(Hold(50.0, 90.0, frozen),)))
    held = (of.hours >= 50.0) & (of.hours < 90.0)
    assert len(np.unique(of.gravity[held])) == 1
    assert (len(np.unique(of.temperature_c[held])) == 1) is frozen
    assert len(np.unique(of.gravity[~held])) > 5


def test_a_hold_beyond_the_log_changes_nothing() -> None:
    assert np.array_equal(sent(Sensor(holds=(Hold(5000.0, 5010.0, True),))).gravity, sent(Sensor()).gravity)


def test_a_raft_lifts_readings_then_fades() -> None:
    of = sent(Sensor(debris=(Debris(100.0, 4.0, 20.0, 0.0),)))
    lifted = points(of) - 10.0
    assert lifted[of.hours < 100.0].max() == pytest.approx(0.0)
    assert lifted[np.argmax(of.hours >= 100.0)] == pytest.approx(4.0, abs=0.1)
    assert lifted[-1] == pytest.approx(0.0, abs=0.05)


def test_a_deposit_grows_and_falls_off_in_one_step() -> None:
    of = sent(Sensor(deposit=Deposit(100.0, 0.5, 340.0)))
    steps = np.diff(points(of))
    assert points(of).max() == pytest.approx(15.0, abs=0.1)
    assert steps.min() == pytest.approx(-5.0, abs=0.1)
    assert (steps < -0.2).sum() == 1


def test_sealing_lifts_readings_for_good() -> None:
    of = sent(Sensor(sealed_h=200.0, sealed_points=5.0))
    assert points(of)[of.hours < 200.0].max() == pytest.approx(10.0)
    assert points(of)[of.hours >= 200.0].min() == pytest.approx(15.0)


def test_wild_readings_come_in_their_share() -> None:
    of = points(sent(Sensor(outlier_share=0.05, outlier_points=30.0), flat(60.0)))
    assert np.mean(np.abs(of - 10.0) > 0.1) == pytest.approx(0.05, abs=0.01)


def test_spikes_are_zero_or_one_value_and_stand_alone() -> None:
    of = points(sent(Sensor(spike_share=0.005), flat(60.0))).round(3)
    wild = np.flatnonzero(of != 10.0)
    assert set(of[wild].tolist()) == {-1000.0, 107.0}
    assert len(wild) / len(of) == pytest.approx(0.005, abs=0.003)
    assert np.median(np.diff(wild)) > 50


def test_brown_out_garbage_is_impossible_gravity_for_two_hours() -> None:
    of = sent(Sensor(interval_min=5.0, garbage_at_h=(100.0,)))
    wrong = np.abs(points(of) - 10.0) > 0.1
    assert wrong.sum() == 24
    assert (of.hours[wrong].min(), of.hours[wrong].max()) == pytest.approx((100.0, 102.0), abs=0.1)
    assert ((of.gravity[wrong] < 0.98) | (of.gravity[wrong] > 1.1)).all()


def test_silences_and_lost_readings_are_not_there() -> None:
    of = sent(Sensor(missing_share=0.2, gaps=((100.0, 130.0),)))
    assert not ((of.hours >= 100.0) & (of.hours < 130.0)).any()
    assert len(of.hours) == pytest.approx((480.0 - 30.0) * 4 * 0.8, rel=0.03)


@pytest.mark.parametrize("interval_min", [1.0, 15.0, 60.0])
def test_readings_come_at_the_interval(interval_min: float) -> None:
    of = sent(Sensor(interval_min=interval_min))
    assert np.diff(of.hours) == pytest.approx(interval_min / 60.0)
    assert 0.0 <= of.hours[0] < interval_min / 60.0
