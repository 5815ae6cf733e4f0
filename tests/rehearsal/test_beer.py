from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lullwort.rehearsal.beer import Beer, Pause, ferment, yeast_activity
from lullwort.rehearsal.family import FAMILIES, Family
from lullwort.rehearsal.later_fall import LaterFall
from lullwort.rehearsal.truth import Floats
from lullwort.rehearsal.vigour import Vigour

ALE = Beer(
    original_points=50.0,
    end_points=11.0,
    lag_h=12.0,
    middle_h=50.0,
    steepness_per_h=2.0 / 24.0,
    tail_points=3.0,
    tail_tau_h=40.0,
    usual_c=20.0,
    yeast_min_c=14.0,
)
DAYS = 30
WARM = np.full(24 * DAYS, 20.0)


def points_of(beer: Beer, temperature_c: Floats = WARM, family: Family = "tail") -> Floats:
    return np.asarray(1000.0 * (ferment(beer, temperature_c, family).gravity - 1.0), dtype=float)


@pytest.mark.parametrize("family", FAMILIES)
def test_an_ale_falls_from_its_original_gravity_to_its_end_and_never_rises(family: Family) -> None:
    points = points_of(ALE, family=family)
    assert points[0] == pytest.approx(50.0)
    assert points[-1] == pytest.approx(11.0, abs=0.05)
    assert np.diff(points).max() <= 1e-9


@pytest.mark.parametrize("family", FAMILIES)
def test_points_left_are_what_gravity_still_loses(family: Family) -> None:
    truth = ferment(ALE, WARM, family)
    still = 1000.0 * (truth.gravity - 1.0) - 11.0
    assert np.abs(truth.points_left - still).max() < 1e-9


def test_yeast_runs_2_7_times_faster_10_degrees_warmer() -> None:
    # trade articles give a factor of 2 in 10 °C, brewers' experience up to 3: common practice, no source
    warmer = yeast_activity(np.array([30.0]), 20.0, 14.0, 18.0)
    assert float(warmer[0]) == pytest.approx(2.7)


def test_chilled_yeast_stands_still_and_wakes_over_hours() -> None:
    temp_c = np.concatenate([np.full(10, 20.0), np.full(20, 13.9), np.full(60, 20.0)])
    activity = yeast_activity(temp_c, 20.0, 14.0, 18.0)
    assert activity[:10].tolist() == [1.0] * 10
    assert activity[10:30].max() == 0.0
    assert 0.0 < activity[30] < 0.1
    assert activity[30 + 18] == pytest.approx(1.0 - np.exp(-1.0), abs=0.03)


def test_a_cool_cellar_slows_the_third_family_by_its_own_law() -> None:
    # at 17 °C, of a yeast that is used to 20 °C and stands still at 14 °C, (15 / 18)^2 = 0.69 of the pace
    usual, cool = (ferment(ALE, np.full(24 * DAYS, temp_c), "vigour").points_left for temp_c in (20.0, 17.0))
    half_h = [float(np.argmax(left < 19.5)) for left in (usual, cool)]
    assert half_h[0] / half_h[1] == pytest.approx((15.0 / 18.0) ** 2, abs=0.02)


def test_the_third_family_ends_as_its_vigour_says() -> None:
    abrupt, long = (ferment(replace(ALE, vigour=Vigour(order, 6.0)), WARM, "vigour") for order in (0.5, 1.4))
    assert abrupt.points_left[24 * 10] == 0.0
    assert long.points_left[24 * 10] > 0.05


@pytest.mark.parametrize("family", FAMILIES)
def test_a_cold_spell_holds_the_beer_and_its_points_until_it_is_warmed(family: Family) -> None:
    temp_c = WARM.copy()
    temp_c[60:200] = 12.0
    truth = ferment(ALE, temp_c, family)
    assert np.ptp(truth.gravity[62:200]) == 0.0
    assert truth.points_left[150] > 10.0
    assert truth.points_left[-1] < 0.5


def test_a_stuck_beer_keeps_its_points_left_for_ever() -> None:
    truth = ferment(replace(ALE, stuck_points=9.0), WARM)
    assert 1000.0 * (truth.gravity[-1] - 1.0) == pytest.approx(20.0, abs=0.05)
    assert truth.points_left[-1] == pytest.approx(9.0, abs=0.05)
    assert truth.oracle_hour() is None


@pytest.mark.parametrize("family", FAMILIES)
def test_a_pause_stands_at_its_level_for_days_then_goes_on_to_the_end(family: Family) -> None:
    paused = replace(ALE, end_points=4.0, pause=Pause(level_points=30.0, rest_h=150.0, points_per_day=3.0))
    points = points_of(paused, np.full(24 * 50, 20.0), family)
    near_level = np.abs(points - 30.0) < 1.5
    assert near_level.sum() >= 72
    assert points[-1] == pytest.approx(4.0, abs=0.3)
    assert np.diff(points).max() <= 1e-9


@pytest.mark.parametrize("family", FAMILIES)
def test_hop_creep_counts_as_points_left_only_from_the_dry_hop_on(family: Family) -> None:
    creep = LaterFall(kind="hop creep", at_h=300.0, points=5.0, delay_h=24.0, tau_h=40.0)
    truth = ferment(replace(ALE, later=(creep,)), WARM, family)
    assert truth.points_left_at(299.0) < 0.5
    assert 5.0 <= truth.points_left_at(300.0) < 5.5
    assert 1000.0 * (truth.gravity[323] - truth.gravity[300]) == pytest.approx(0.0, abs=0.3)
    assert 1000.0 * (truth.gravity[-1] - 1.0) == pytest.approx(6.0, abs=0.3)
    assert truth.action_hours == (300.0,)


def test_added_sugar_lifts_gravity_at_once_and_leaves_what_does_not_ferment() -> None:
    sugar = LaterFall(kind="addition", at_h=300.0, points=7.0, delay_h=6.0, tau_h=20.0, unfermentable_points=1.0)
    truth = ferment(replace(ALE, later=(sugar,)), WARM)
    points = 1000.0 * (truth.gravity - 1.0)
    assert points[300] - points[299] == pytest.approx(8.0, abs=0.05)
    assert truth.points_left[300] - truth.points_left[299] == pytest.approx(7.0, abs=0.05)
    assert points[-1] == pytest.approx(12.0, abs=0.05)


def test_wild_yeast_from_the_start_always_counts_as_points_left_and_is_no_action_of_the_brewer() -> None:
    wild = LaterFall(kind="intruder", at_h=0.0, points=8.0, delay_h=200.0, tau_h=24.0 * 16)
    truth = ferment(replace(ALE, later=(wild,)), WARM)
    assert truth.points_left[0] == pytest.approx(39.0 + 8.0)
    assert truth.action_hours == ()
    a_day = 1000.0 * (truth.gravity[400] - truth.gravity[424])
    assert a_day == pytest.approx(8.0 / 16, abs=0.05)


def test_a_late_intruder_counts_only_from_when_it_comes_in() -> None:
    wild = LaterFall(kind="intruder", at_h=300.0, points=8.0, delay_h=12.0, tau_h=24.0 * 16)
    truth = ferment(replace(ALE, later=(wild,)), WARM)
    assert truth.points_left_at(299.0) < 0.5
    assert truth.points_left_at(300.0) > 7.9
    assert truth.oracle_hour() is not None
