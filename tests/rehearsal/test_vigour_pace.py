from __future__ import annotations

import numpy as np
import pytest

from lullwort.rehearsal.vigour_pace import vigour_activity


def test_the_root_of_the_pace_is_a_straight_line_in_temperature() -> None:
    # [Ratkowsky1982], equation 1, above the spread of the cells' own minima
    root = np.sqrt(vigour_activity(np.array([18.0, 20.0, 22.0, 24.0, 28.0]), 20.0, 14.0, 18.0))
    assert root[1] == pytest.approx(1.0)
    assert np.diff(root) == pytest.approx(np.array([1, 1, 1, 2]) * (root[2] - root[1]))


@pytest.mark.parametrize(("usual_c", "yeast_min_c"), [(20.0, 14.0), (10.0, 4.0)])
def test_10_degrees_make_it_two_to_threefold(usual_c: float, yeast_min_c: float) -> None:
    # trade articles give a factor of 2 in 10 °C, brewers' experience up to 3: common practice, no source
    warmer = vigour_activity(np.array([usual_c + 10.0]), usual_c, yeast_min_c, 18.0)
    assert 2.0 < float(warmer[0]) < 3.0


def test_the_pace_sinks_to_nothing_at_the_minimum_without_a_step() -> None:
    temp_c = np.arange(20.0, 13.9, -0.1)
    pace = vigour_activity(temp_c, 20.0, 14.0, 18.0)
    assert np.diff(pace).max() <= 0.0
    assert np.diff(pace).min() > -0.05
    assert pace[temp_c < 14.0].tolist() == [0.0]


def test_yeast_that_was_cold_for_days_wakes_late_and_then_quickly() -> None:
    temp_c = np.concatenate([np.full(10, 20.0), np.full(60, 12.0), np.full(80, 20.0)])
    pace = vigour_activity(temp_c, 20.0, 14.0, 18.0)
    assert pace[:10].tolist() == [1.0] * 10
    assert pace[10:70].max() == 0.0
    woken = pace[70:]
    # two steps, each with a time constant of half of wake_h: 1 - (1 + 2 t / w) exp(-2 t / w), no exponential
    assert woken[3] < 0.1
    assert woken[18] == pytest.approx(1.0 - 3.0 * np.exp(-2.0), abs=0.04)
    assert woken[-1] > 0.99


def test_a_dip_of_two_hours_puts_few_cells_to_sleep() -> None:
    temp_c = np.full(40, 20.0)
    temp_c[10:12] = 12.0
    pace = vigour_activity(temp_c, 20.0, 14.0, 18.0)
    assert pace[10:12].max() == 0.0
    assert pace[12] == pytest.approx(np.exp(-2.0 / 6.0), abs=0.01)
