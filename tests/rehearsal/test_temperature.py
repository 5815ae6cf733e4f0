from __future__ import annotations

import numpy as np
import pytest

from lullwort.rehearsal.temperature import COLDEST_C, Cellar

HOURS = np.arange(24.0 * 40)


def test_the_vessel_follows_a_cold_failure_slowly_and_arrives() -> None:
    cellar = Cellar(knots=((0.0, 20.0), (48.0, 20.0), (49.0, 12.0)), vessel_h=5.0)
    temp_c = cellar.temperature_c(HOURS, np.random.default_rng(1))
    assert temp_c[48] == 20.0
    # first-order lag: one time constant after the step about a third of it is still to go
    assert temp_c[54] == pytest.approx(12.0 + 8.0 * np.exp(-1.0), abs=0.7)
    assert temp_c[120] == pytest.approx(12.0, abs=0.01)


def test_day_and_night_repeat_every_24_h_and_are_smaller_in_the_liquid() -> None:
    cellar = Cellar(knots=((0.0, 20.0),), swing_c=2.0, vessel_h=5.0)
    temp_c = cellar.temperature_c(HOURS, np.random.default_rng(1))[240:]
    assert np.abs(temp_c[24:] - temp_c[:-24]).max() < 1e-6
    # a first-order lag of 5 h passes 1 / sqrt(1 + (2 pi 5 / 24)^2) = 0.61 of a daily swing
    assert np.ptp(temp_c) / 2.0 == pytest.approx(2.0 * 0.61, rel=0.05)


def test_weather_wanders_by_its_standard_deviation() -> None:
    cellar = Cellar(knots=((0.0, 15.0),), wander_c=0.5, vessel_h=0.01)
    temp_c = cellar.temperature_c(np.arange(20_000.0), np.random.default_rng(1))
    assert temp_c.std() == pytest.approx(0.5, rel=0.1)


def test_no_cellar_freezes_its_beer() -> None:
    cellar = Cellar(knots=((0.0, -5.0),))
    assert cellar.temperature_c(HOURS, np.random.default_rng(1)).min() == COLDEST_C
