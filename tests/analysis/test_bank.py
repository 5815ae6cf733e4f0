"""The bank against beers whose truth is known in closed form, and against a plain filter written with matrices."""

from __future__ import annotations

import math
from copy import deepcopy
from dataclasses import asdict

import numpy as np
import pytest

from lullwort.analysis import bank as bank_module
from lullwort.analysis.bank import RED_TAU_H, TAUS_H, TailBank, tau_prior

RED, WHITE = 0.2**2, 0.1**2


def run(levels: list[float | None], noise_rel: float = 0.05, floor: float = 0.0005, ageing: bool = False) -> TailBank:
    """`ageing`: belief follows the tail's age, as the trend lets it."""
    bank = TailBank()
    first = levels[0]
    assert first is not None
    bank.start(first, 1.0, 0.1, RED)
    for age_h, y in enumerate(levels[1:]):
        if ageing:
            bank.prior_tau_h = max(0.8 * age_h, 40.0)
        bank.predict(1.0, noise_rel, floor, RED)
        if y is not None:
            bank.correct(y, WHITE)
    return bank


def tail(hours: int, left: float, tau_h: float, end: float = 10.0) -> list[float | None]:
    return [end + left * math.exp(-h / tau_h) for h in range(hours)]


def test_prior_is_a_probability_and_favours_its_centre() -> None:
    prior = tau_prior(round(TAUS_H[4]))
    assert sum(prior) == pytest.approx(1.0)
    assert max(range(len(TAUS_H)), key=prior.__getitem__) == 4


@pytest.mark.parametrize("tau_h", [20.0, 50.0, 120.0])
def test_level_slope_and_points_left_of_a_pure_tail_are_found(tau_h: float) -> None:
    hours = round(2.5 * tau_h)
    bank = run(tail(hours, 12.0, tau_h))
    left = 12.0 * math.exp(-(hours - 1) / tau_h)
    assert bank.level == pytest.approx(10.0 + left, abs=0.15)
    assert bank.slope == pytest.approx(left / tau_h, abs=0.006)
    # A wide prior that nobody moves with the batch pulls what is left towards its own middle, 55 h.
    assert left / 2.5 < bank.left() < left * 2.5
    assert run(tail(hours, 12.0, tau_h), ageing=True).left_upper(0.10) > left


def test_a_flat_beer_has_little_left_and_the_bound_shrinks_with_time() -> None:
    uppers = [run([11.0] * hours).left_upper(0.10) for hours in (24, 48, 96)]
    assert uppers[0] > uppers[1] > uppers[2]
    assert uppers[2] < 1.0


def test_hours_without_a_value_make_it_less_sure() -> None:
    seen = run([11.0] * 60)
    unseen = run([11.0] * 30 + [None] * 30)
    assert unseen.level_var > seen.level_var
    assert unseen.slope_var > seen.slope_var


def test_cold_hours_neither_lower_the_level_nor_age_the_tail() -> None:
    bank = run(tail(60, 12.0, 40.0))
    level, left = bank.level, bank.left()
    for _ in range(100):
        bank.predict(0.0, 0.05, 0.0, RED)
    assert bank.level == pytest.approx(level, abs=1e-6)
    # Belief in other time constants still creeps in, which changes what is left a little.
    assert bank.left() == pytest.approx(left, rel=0.35)


def test_chance_and_upper_bound_agree() -> None:
    bank = run(tail(60, 12.0, 40.0))
    upper = bank.left_upper(0.10)
    assert bank.may_lose(upper, 0.095)
    assert not bank.may_lose(upper, 0.105)
    assert bank.may_lose(upper - 1.0, 0.10)
    assert not bank.may_lose(upper + 1.0, 0.10)


def test_a_shift_moves_the_level_and_keeps_the_slope() -> None:
    bank = run(tail(60, 12.0, 40.0))
    level, slope, var = bank.level, bank.slope, bank.level_var
    bank.shift(6.0, 0.25)
    assert bank.level == pytest.approx(level + 6.0)
    assert bank.slope == pytest.approx(slope)
    assert bank.level_var == pytest.approx(var + 0.25)


def test_state_survives_a_restart() -> None:
    levels = tail(60, 12.0, 40.0)
    whole, half = run(levels), run(levels[:30])
    revived = TailBank(**deepcopy(asdict(half)))
    revived.shift(0.0, 0.0)  # pools anew from the states
    for y in levels[30:]:
        revived.predict(1.0, 0.05, 0.0005, RED)
        assert y is not None
        revived.correct(y, WHITE)
    assert (revived.level, revived.slope, revived.left()) == (whole.level, whole.slope, whole.left())


def test_one_filter_of_the_bank_equals_a_kalman_filter_written_with_matrices(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # The textbook equations in numpy, for one time constant and no redrawing of belief.
    monkeypatch.setattr(bank_module, "_REDRAW", 0.0)
    tau, rho, f = TAUS_H[2], math.exp(-1.0 / RED_TAU_H), 0.7
    rng = np.random.default_rng(5)
    ys = [20.0 * math.exp(-h / 60.0) + 10.0 + rng.normal(0, 0.3) for h in range(80)]
    a = math.exp(-f / tau)
    transition = np.array([[1.0, -tau * (1.0 - a), 0.0], [0.0, a, 0.0], [0.0, 0.0, rho]])
    seen = np.array([1.0, 0.0, 1.0])
    x, p = np.array([ys[0], 0.0, 0.0]), np.diag([1.0, 0.01, RED])
    bank = TailBank()
    bank.start(ys[0], 1.0, 0.1, RED)
    for y in ys[1:]:
        process = np.diag([0.0, (0.05 * x[1] * f) ** 2 + 0.0005**2, RED * (1.0 - rho**2)])
        x, p = transition @ x, transition @ p @ transition.T + process
        bank.predict(f, 0.05, 0.0005, RED)
        gain = p @ seen / (seen @ p @ seen + WHITE)
        x, p = x + gain * (y - seen @ x), p - np.outer(gain, seen @ p)
        bank.correct(y, WHITE)
    upper = p[np.triu_indices(3)]
    assert bank.states[2] == pytest.approx([*x, *upper], rel=1e-6, abs=1e-9)
