from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lullwort.rehearsal.main_fall import MainFall, tail_progress
from lullwort.rehearsal.truth import Floats
from lullwort.rehearsal.uptake import uptake_progress
from lullwort.rehearsal.vigour import Vigour, draw_vigour, vigour_progress

ALE = MainFall(
    points=40.0,
    lag_h=12.0,
    middle_h=48.0,
    steepness_per_h=2.0 / 24.0,
    tail_points=4.0,
    tail_tau_h=36.0,
)
HOURS = np.arange(24.0 * 60)
SHAPES = [Vigour(0.5, 8.0), Vigour(1.0, 4.0), Vigour(1.4, 2.5)]


def hours_from_to(gone: Floats, more_left: float, less_left: float) -> float:
    left = 1.0 - gone
    return float(np.interp(-less_left, -left, HOURS) - np.interp(-more_left, -left, HOURS))


def log_slopes(gone: Floats, levels: Floats) -> Floats:
    """Share of what is left that goes in a day, as a logarithm, between these levels of what is left [share]."""
    hour = np.interp(-levels, gone - 1.0, HOURS)
    return np.asarray(-24.0 * np.diff(np.log(levels)) / np.diff(hour))


@pytest.mark.parametrize("vigour", SHAPES)
def test_progress_starts_after_the_lag_never_falls_and_ends_at_all_of_it(vigour: Vigour) -> None:
    gone = vigour_progress(ALE, vigour, HOURS)
    assert gone[:13].max() == 0.0
    assert np.diff(gone).min() >= 0.0
    assert 0.999 < gone[-1] <= 1.0


@pytest.mark.parametrize("vigour", SHAPES)
@pytest.mark.parametrize("fall", [ALE, replace(ALE, points=75.0, middle_h=90.0, steepness_per_h=0.05)])
def test_half_is_gone_at_the_plan_s_middle(fall: MainFall, vigour: Vigour) -> None:
    gone = vigour_progress(fall, vigour, HOURS)
    assert np.interp(0.5, gone, HOURS) == pytest.approx(fall.lag_h + fall.middle_h, abs=4.0)


def test_an_end_of_order_below_1_comes_at_a_certain_hour_and_one_above_1_as_a_power_of_time() -> None:
    # dL/dt = -a L^n: with n = 1/2 the root of L falls in a straight line to 0, with n = 1.4 the power
    # L^-0.4 rises in one. Where a hundredth is left and a tenth was the tail, all cells but the hardy rest.
    abrupt, long = (vigour_progress(ALE, Vigour(order, 8.0), HOURS) for order in (0.5, 1.4))
    assert np.flatnonzero(abrupt == 1.0)[0] < 24 * 9
    root = np.sqrt(1.0 - abrupt)[(abrupt > 0.98) & (abrupt < 0.9999)]
    assert np.ptp(np.diff(root)) < 0.03 * abs(np.diff(root).mean())
    power = (1.0 - long[(long > 0.98) & (long < 0.9999)]) ** -0.4
    assert np.ptp(np.diff(power)) < 0.03 * np.diff(power).mean()


@pytest.mark.parametrize("order", [0.5, 1.0, 1.4])
def test_three_quarters_of_the_tail_take_as_long_whatever_its_order(order: float) -> None:
    # a quarter of the tail of a tenth is left at 0.025; from there up the others still help a little
    took_h = hours_from_to(vigour_progress(ALE, Vigour(order, 8.0), HOURS), 0.1, 0.025)
    assert 0.5 * np.log(4.0) * 36.0 < took_h < np.log(4.0) * 36.0


def test_cells_that_give_up_one_after_the_other_bend_the_fall_more_gently() -> None:
    def slowing(knee: float) -> float:
        gone = vigour_progress(ALE, Vigour(1.2, knee), HOURS)
        return hours_from_to(gone, 0.12, 0.09) / hours_from_to(gone, 0.21, 0.18)

    # around 0.14, where half of them have given up
    assert slowing(10.0) > 1.5 * slowing(2.5) > 1.5


def test_ethanol_flattens_the_fall_of_a_strong_wort_more() -> None:
    # [GhoseTyagi1979]: speed in proportion to 1 - P / 114 g/l. The crop has grown when 65 % are gone;
    # to 90 % gone, 75 points (77 g/l) slow down from 0.56 to 0.39 of full speed, 20 points from 0.88 to 0.84.
    def slowing(points: float) -> float:
        rate = np.diff(vigour_progress(replace(ALE, points=points, tail_points=0.02 * points), Vigour(), HOURS))
        gone = np.cumsum(rate)
        return float(np.interp(0.9, gone, rate) / np.interp(0.65, gone, rate))

    assert slowing(75.0) < slowing(20.0) - 0.1
    assert slowing(75.0) == pytest.approx(0.39 / 0.56, abs=0.04)


def test_the_three_families_fill_the_same_range_without_having_one_form() -> None:
    all_gone = [
        tail_progress(ALE, HOURS),
        uptake_progress(ALE, HOURS, np.ones(len(HOURS))),
        vigour_progress(ALE, Vigour(), HOURS),
    ]
    half_h = [float(np.interp(0.5, gone, HOURS)) for gone in all_gone]
    most_h = [hours_from_to(gone, 0.9, 0.1) for gone in all_gone]
    assert np.ptp(half_h) < 24.0
    assert max(most_h) < 1.5 * min(most_h)
    for i in range(3):
        assert np.abs(all_gone[i] - all_gone[i - 1]).max() > 0.03


def test_what_is_left_shrinks_by_one_factor_a_day_in_the_first_family_only() -> None:
    levels = np.geomspace(0.005, 0.0005, 6)
    slopes = {
        "tail": log_slopes(tail_progress(ALE, HOURS), levels),
        "uptake": log_slopes(uptake_progress(ALE, HOURS, np.ones(len(HOURS))), levels),
        "abrupt": log_slopes(vigour_progress(ALE, Vigour(0.6), HOURS), levels),
        "long": log_slopes(vigour_progress(ALE, Vigour(1.4), HOURS), levels),
    }
    changed = {name: float(slope[-1] / slope[0]) for name, slope in slopes.items()}
    assert changed["tail"] == pytest.approx(1.0, abs=0.03)
    assert changed["uptake"] < 0.95
    # between the first and the last of five steps of a decade's fifth the factor changes by 10^(0.8 (n - 1))
    assert changed["abrupt"] == pytest.approx(10 ** (0.8 * 0.4), rel=0.1)
    assert changed["long"] == pytest.approx(10 ** (-0.8 * 0.4), rel=0.1)


def test_batches_differ_from_abrupt_to_long() -> None:
    drawn = [draw_vigour(np.random.default_rng(seed)) for seed in range(200)]
    orders, knees = [v.tail_order for v in drawn], [v.knee for v in drawn]
    assert min(orders) < 0.6 < 1.3 < max(orders)
    assert min(knees) < 3.0 < 7.0 < max(knees)
