from __future__ import annotations

import numpy as np
import pytest

from lullwort.rehearsal.main_fall import MainFall, tail_progress
from lullwort.rehearsal.truth import Floats
from lullwort.rehearsal.uptake import uptake_progress

ALE = MainFall(
    points=40.0,
    lag_h=12.0,
    middle_h=48.0,
    steepness_per_h=2.0 / 24.0,
    tail_points=4.0,
    tail_tau_h=36.0,
)
HOURS = np.arange(24.0 * 30)
FULL_SPEED = np.ones(len(HOURS))


def test_the_tail_shrinks_by_its_time_constant() -> None:
    left = 1.0 - tail_progress(ALE, np.array([300.0, 336.0]))
    assert left[1] / left[0] == pytest.approx(np.exp(-1.0), rel=1e-3)


def test_the_middle_of_the_logistic_fall_is_its_steepest_hour() -> None:
    # k / 4 of the fast part goes an hour in the middle; the tail starts there too, hence just beyond it
    rate = np.diff(tail_progress(ALE, HOURS))
    steepest = ALE.steepness_per_h / 4.0 * 0.9 + 0.1 / ALE.tail_tau_h
    assert abs(int(np.argmax(rate)) - 60) <= 2
    assert rate.max() == pytest.approx(steepest, rel=0.05)


def test_a_tail_never_takes_more_than_half_of_the_fall() -> None:
    assert MainFall(
        points=10.0, lag_h=0.0, middle_h=10.0, steepness_per_h=0.1, tail_points=9.0, tail_tau_h=50.0
    ).tail_share == pytest.approx(0.5)


@pytest.mark.parametrize("family", ["tail", "uptake"])
def test_progress_starts_after_the_lag_never_falls_and_ends_at_all_of_it(family: str) -> None:
    gone = tail_progress(ALE, HOURS) if family == "tail" else uptake_progress(ALE, HOURS, FULL_SPEED)
    assert gone[:13].max() < 1e-12
    assert np.diff(gone).min() >= 0.0
    assert 0.99 < gone[-1] <= 1.0


def test_the_tail_of_settling_yeast_is_no_exponential() -> None:
    # for an exponential, left falls by one and the same factor a day; settling yeast slows down as days pass
    def daily(gone: Floats) -> Floats:
        left = 1.0 - gone
        return np.asarray(left[24:] / left[:-24])

    settling, exponential = daily(uptake_progress(ALE, HOURS, FULL_SPEED)), daily(tail_progress(ALE, HOURS))
    assert settling[24 * 15] > settling[24 * 7] + 0.03
    assert exponential[24 * 15] == pytest.approx(exponential[24 * 7], abs=0.01)


def test_sleeping_yeast_takes_up_nothing() -> None:
    activity = FULL_SPEED.copy()
    activity[60:160] = 0.0
    yeast_h = np.concatenate(([0.0], np.cumsum(activity[:-1])))
    gone = uptake_progress(ALE, yeast_h, activity)
    assert gone[160] == gone[60]
    assert gone[200] > gone[160]
