from __future__ import annotations

import math

import numpy as np
import pytest

from lullwort.analysis import Trend


def ale(hours: int) -> np.ndarray:
    """Logistic fall from 50 to 11 points with a tail of 3 points and 40 h; invented."""
    t = np.arange(hours, dtype=float)
    main = 36.0 / (1.0 + np.exp(0.08 * (t - 54.0)))
    return 11.0 + main + 3.0 * np.where(t < 54.0, 1.0, np.exp(-(t - 54.0) / 40.0))


def follow(levels: np.ndarray, noise_sd: float = 0.2, seed: int = 1) -> Trend:
    rng = np.random.default_rng(seed)
    trend = Trend()
    for y in levels:
        trend.hour(float(y + rng.normal(0.0, noise_sd)), 1.0, 0.0)
    return trend


def test_nothing_is_known_before_the_first_value() -> None:
    trend = Trend()
    trend.hour(None, 1.0, 0.0)
    assert not trend.started


def test_it_follows_a_whole_ale_within_its_own_uncertainty() -> None:
    levels = ale(220)
    trend = Trend()
    rng = np.random.default_rng(2)
    wrong = 0
    for level in levels:
        trend.hour(float(level + rng.normal(0.0, 0.2)), 1.0, 0.0)
        wrong += abs(trend.bank.level - level) > 3.0 * math.sqrt(trend.bank.level_var) + 0.3
    assert wrong <= 6
    assert trend.bank.level == pytest.approx(levels[-1], abs=0.3)
    assert not trend.in_main_fall


def test_a_lone_spike_moves_nothing() -> None:
    levels = ale(220)
    spiked = levels.copy()
    spiked[200] += 40.0
    plain, hit = follow(levels), follow(spiked)
    assert hit.bank.level == pytest.approx(plain.bank.level, abs=0.1)
    assert hit.bank.slope == pytest.approx(plain.bank.slope, abs=0.003)


def test_a_bump_moves_the_level_and_is_named_once() -> None:
    levels = ale(220)
    levels[190:] += 6.0
    trend, steps = Trend(), []
    rng = np.random.default_rng(3)
    for h, level in enumerate(levels):
        trend.hour(float(level + rng.normal(0.0, 0.2)), 1.0, 0.0)
        if trend.last_step is not None:
            steps.append((h, trend.last_step.kind, trend.last_step.points))
    assert [(h, kind) for h, kind, _ in steps] == [(192, "bump")]
    assert steps[0][2] == pytest.approx(6.0, abs=0.6)
    assert trend.bank.slope == pytest.approx(0.0, abs=0.02)


def test_values_a_day_apart_are_followed_through_the_main_fall() -> None:
    levels = ale(300)
    trend = Trend()
    for h, level in enumerate(levels):
        trend.hour(float(level) if h % 24 == 0 else None, 1.0, 0.0)
    assert trend.bank.level == pytest.approx(levels[-1], abs=0.5)
    assert trend.bank.left_upper(0.1) < 4.0


def test_a_moving_temperature_makes_a_value_less_telling() -> None:
    still, moving = follow(ale(150)), follow(ale(150))
    still.hour(12.0, 1.0, 0.0)
    moving.hour(12.0, 1.0, 4.0)
    assert moving.bank.level_var > still.bank.level_var
