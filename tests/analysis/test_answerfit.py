"""The answer to temperature is told from everything else that may move a resting sensor's reading."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.analysis.answerfit import fit_answer
from lullwort.rehearsal.sensor import red_noise
from lullwort.units import FloatArray

Series = tuple[FloatArray, FloatArray, FloatArray]


def crash(seed: int, per_k: float = 0.0, *, noise: float = 0.3, count: int = 120) -> Series:
    """Hours, points and temperature of a finished beer that is chilled from 20 to 3 °C within a day."""
    rng, hours = np.random.default_rng(seed), np.arange(float(count))
    temp_c = np.interp(hours, [40.0, 64.0], [20.0, 3.0]) + 0.05 * rng.standard_normal(count)
    wander = red_noise(count, 1.0, noise, 4.0, rng)
    return hours, 12.0 + wander + 0.1 * rng.standard_normal(count) + per_k * (temp_c - 20.0), temp_c


def swing(seed: int, per_k: float) -> Series:
    """The same of a cellar that is 2 °C warmer by day than by night."""
    hours, points, _ = crash(seed, count=200)
    temp_c = 20.0 + np.cos(2.0 * np.pi * hours / 24.0)
    return hours, points + per_k * (temp_c - 20.0), temp_c


@pytest.mark.parametrize("per_k", [-0.6, -0.2, 0.0, 0.4])
@pytest.mark.parametrize("course", [crash, swing])
def test_the_answer_is_found_within_its_uncertainty(course: object, per_k: float) -> None:
    assert callable(course)
    found = fit_answer(*course(5, per_k))
    assert found is not None
    assert abs(found.points_per_k - per_k) < 3.0 * found.sd
    assert found.sd < 0.15
    assert abs(found.falls_per_day) < 0.25


@pytest.mark.no_cover
def test_two_standard_deviations_hold_as_often_as_they_should() -> None:
    z = []
    for seed in range(40):
        found = fit_answer(*crash(seed, 0.3))
        assert found is not None
        z.append((found.points_per_k - 0.3) / found.sd)
    assert np.mean(np.abs(z) < 2.0) >= 0.85
    assert float(np.sqrt(np.mean(np.square(z)))) > 0.4  # and it is no wider than need be


@settings(max_examples=15, deadline=None)
@given(st.floats(-60.0, 60.0), st.floats(-2.0, 2.0), st.floats(-1.0, 1.0))
def test_a_level_and_a_steady_fall_change_nothing_and_the_answer_adds(level: float, a_day: float, more: float) -> None:
    hours, points, temp_c = crash(7, 0.2)
    found, moved = (
        fit_answer(hours, points + of, temp_c) for of in (0.0, level + a_day * hours / 24.0 + more * (temp_c - 20.0))
    )
    assert found is not None
    assert moved is not None
    # The sensor may feel it late, and what is added here is felt at once: so only nearly.
    assert moved.points_per_k == pytest.approx(found.points_per_k + more, abs=max(1e-5, 0.05 * abs(more)))
    if not more:
        assert moved.sd == pytest.approx(found.sd, rel=1e-3)
        assert moved.falls_per_day == pytest.approx(found.falls_per_day - a_day, abs=1e-3)


def test_upside_down_the_answer_has_the_other_sign() -> None:
    hours, points, temp_c = crash(3, 0.35)
    found, turned = fit_answer(hours, points, temp_c), fit_answer(hours, -points, temp_c)
    assert found is not None
    assert turned is not None
    assert turned.points_per_k == pytest.approx(-found.points_per_k)
    assert turned.sd == pytest.approx(found.sd)


@pytest.mark.parametrize("at", [20, 52, 90])
@pytest.mark.parametrize("points", [-6.0, 4.0])
def test_a_bump_is_no_answer(at: int, points: float) -> None:
    hours, level, temp_c = crash(11, 0.3)
    found = fit_answer(hours, level + points * (hours >= at), temp_c)
    assert found is not None
    assert abs(found.points_per_k - 0.3) < 3.0 * found.sd


def test_wild_hours_are_none_and_too_many_of_them_leave_nothing_to_believe() -> None:
    hours, points, temp_c = crash(13, 0.3)
    wild = points.copy()
    wild[[5, 50, 77]] += [20.0, -15.0, 9.0]
    found = fit_answer(hours, wild, temp_c)
    assert found is not None
    assert abs(found.points_per_k - 0.3) < 3.0 * found.sd
    wild[4::9] += 25.0
    assert fit_answer(hours, wild, temp_c) is None


def test_a_sensor_that_feels_the_temperature_late_answers_as_much() -> None:
    hours, points, temp_c = crash(17)
    late = np.interp(hours - 3.0, hours, temp_c)
    found = fit_answer(hours, points + 0.4 * (late - 20.0), temp_c)
    assert found is not None
    assert abs(found.points_per_k - 0.4) < 3.0 * found.sd


def test_hours_without_a_value_are_no_trouble() -> None:
    hours, points, temp_c = (column[np.r_[0:50, 58:120]] for column in crash(19, -0.3))
    found = fit_answer(hours, points, temp_c)
    assert found is not None
    assert abs(found.points_per_k + 0.3) < 3.0 * found.sd


def test_yeast_that_sleeps_in_the_cold_is_no_answer() -> None:
    hours, points, temp_c = crash(23, 0.0)
    fell = np.cumsum(np.where(temp_c > 12.0, 0.2, 0.0)) / 24.0
    found = fit_answer(hours, points - fell, temp_c)
    assert found is not None
    assert abs(found.points_per_k) < 3.0 * found.sd


def test_coarse_steps_are_no_certainty() -> None:
    hours, points, temp_c = crash(29, 0.3, noise=0.1)
    found = fit_answer(hours, np.round(points), temp_c, 1.0)
    assert found is not None
    assert abs(found.points_per_k - 0.3) < 3.0 * found.sd
