from __future__ import annotations

import math

import numpy as np
import pytest

from lullwort.rehearsal.truth import Truth, oracle_hour


def exponential_tail(amount: float, tau_h: float, length_h: int) -> Truth:
    hours = np.arange(float(length_h))
    left = amount * np.exp(-hours / tau_h)
    return Truth(hours, 1.010 + left / 1000.0, left, np.full(length_h, 20.0))


def test_oracle_hour_of_an_exponential_tail_is_where_algebra_puts_it() -> None:
    # 10 points with tau 24 h: the window's movement 10 (e^2 - 1) e^(-h/24) is 1 point at 24 ln(63.9) = 99.8 h,
    # later than the 55.3 h at which 1 point is left
    expected = math.ceil(24.0 * math.log(10.0 * (math.exp(2.0) - 1.0)))
    assert exponential_tail(10.0, 24.0, 200).oracle_hour() == expected == 100


def test_oracle_hour_waits_for_the_last_point_in_a_tail_too_slow_to_see_move() -> None:
    # tau 400 h: 5 points move by less than 1 in 48 h from the start, 1 point is left at 400 ln 5 = 643.8 h
    assert exponential_tail(5.0, 400.0, 1000).oracle_hour() == 644.0


def test_oracle_hour_allows_movement_of_exactly_the_tolerance() -> None:
    gravity = np.where(np.arange(60) < 10, 1.011, 1.010)
    assert oracle_hour(np.arange(60.0), gravity, np.zeros(60), 48, 0.001) == 48.0


def test_a_flat_beer_with_points_left_has_no_oracle_hour() -> None:
    hours = np.arange(300.0)
    assert oracle_hour(hours, np.full(300, 1.024), np.full(300, 11.0), 48, 0.001) is None


def test_a_log_no_longer_than_the_window_has_no_oracle_hour() -> None:
    assert oracle_hour(np.arange(48.0), np.full(48, 1.010), np.zeros(48), 48, 0.001) is None


def test_the_window_of_the_oracle_starts_after_the_last_action() -> None:
    hours = np.arange(300.0)
    truth = Truth(hours, np.full(300, 1.010), np.zeros(300), np.full(300, 20.0), (100.0, 150.0))
    assert truth.oracle_hour() == 198.0


def test_points_left_jump_at_the_whole_hour_and_are_not_drawn_in_between() -> None:
    truth = Truth(np.arange(4.0), np.full(4, 1.01), np.array([0.0, 0.0, 8.0, 8.0]), np.full(4, 20.0))
    assert [truth.points_left_at(h) for h in (-1.0, 1.9, 2.0, 99.0)] == [0.0, 0.0, 8.0, 8.0]


def test_gravity_is_drawn_between_whole_hours() -> None:
    truth = Truth(np.arange(2.0), np.array([1.020, 1.010]), np.zeros(2), np.full(2, 20.0))
    assert truth.gravity_at(0.25) == pytest.approx(1.0175)


def test_cutting_the_truth_off_drops_later_actions() -> None:
    hours = np.arange(100.0)
    truth = Truth(hours, np.full(100, 1.01), np.zeros(100), np.full(100, 20.0), (20.0, 80.0)).until(50.0)
    assert (len(truth.hours), truth.hours[-1], truth.action_hours) == (51, 50.0, (20.0,))


def test_a_beer_followed_by_another_leaves_the_vessel_empty_between_and_starts_anew() -> None:
    first = exponential_tail(10.0, 24.0, 101)  # hours 0 to 100
    both = first.followed_by(exponential_tail(40.0, 24.0, 301), 30)
    assert both.hours.tolist() == list(range(130 + 301))
    assert (both.gravity_at(100.0), both.gravity_at(129.0)) == (first.gravity[-1], first.gravity[-1])
    assert both.gravity_at(130.0) == pytest.approx(1.050)
    assert both.points_left_at(130.0) == 40.0
    assert both.action_hours == (130.0,)
    # As of the tail alone: 40 (e^2 - 1) e^(-h/24) is 1 point at 24 ln(255.6) = 133.05 h.
    assert both.oracle_hour() == 130.0 + 134.0
