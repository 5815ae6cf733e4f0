"""The curve: a library's minimum of the same cost, what is usual where nothing was seen, and no nonsense."""

from __future__ import annotations

import math
from functools import partial
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import approx_fprime, minimize

from lullwort.analysis import FallBlock
from lullwort.forecast.curve import CurvePrior, FittedCurve, _curve, fit_curve
from lullwort.forecast.guess import Guess
from lullwort.units import FloatArray

USUAL = CurvePrior(
    top=Guess(52.0, 0.7), end=Guess(12.0, 2.0), log_tail=Guess(math.log(3.0), 0.8),
    log_steepness=Guess(math.log(0.085), 0.4), middle=Guess(65.0, 30.0), log_tau=Guess(math.log(50.0), 0.8),
)  # fmt: skip


def levels(parameters: tuple[float, ...], at_h: FloatArray) -> FloatArray:
    """The curve as the head of the module writes it, in other words than the code."""
    top, end, log_tail, log_steepness, middle, log_tau = parameters
    tail = np.exp(log_tail)
    logistic = (top - end - tail) / (1.0 + np.exp(np.exp(log_steepness) * (at_h - middle)))
    return np.asarray(end + logistic + tail * np.exp(-np.maximum(at_h - middle, 0.0) / np.exp(log_tau)))


def seen(parameters: tuple[float, ...], to_h: int, noise: float = 0.0, seed: int = 1) -> list[FallBlock]:
    at_h = np.arange(1.5, to_h, 3.0)
    values = levels(parameters, at_h) + np.random.default_rng(seed).normal(0.0, noise, len(at_h))
    return [FallBlock(float(t), float(v), 3) for t, v in zip(at_h, values, strict=True)]


def fitted(blocks: list[FallBlock], variance: float = 0.16, spread: float = 1.0) -> FittedCurve:
    curve = fit_curve(blocks, np.full(len(blocks), variance), USUAL, spread=spread)
    assert curve is not None
    return curve


TRUE = (51.6, 10.5, math.log(4.0), math.log(0.1), 58.0, math.log(40.0))


@pytest.mark.no_cover
@pytest.mark.parametrize("to_h", [30, 60, 90, 200])
@pytest.mark.parametrize("seed", [1, 2])
def test_it_is_the_minimum_that_scipy_finds(to_h: int, seed: int) -> None:
    # scipy.optimize.minimize (BFGS) of the cost written out anew, from the mean of the priors and from the answer.
    blocks = seen(TRUE, to_h, noise=0.5, seed=seed)
    at_h, values = np.array([b.at_yeast_h for b in blocks]), np.array([b.level for b in blocks])
    mean, sd = np.array([g.mean for g in USUAL]), np.array([g.sd for g in USUAL])

    def cost(x: FloatArray) -> float:
        squares = (values - levels(tuple(x), at_h)) ** 2 / 0.16
        return float(np.sum(5.0 * np.log1p(squares / 4.0)) + np.sum(((x - mean) / sd) ** 2))

    ours = cost(fitted(blocks).best)
    starts = [mean, fitted(blocks).best, *(mean + sd * off for off in (-0.5, 0.5))]
    theirs = min(float(minimize(cost, start, method="BFGS").fun) for start in starts)
    assert ours == pytest.approx(theirs, abs=0.02)


def test_its_slopes_are_those_of_the_curve() -> None:
    at_h = np.array([5.0, 40.0, 70.0, 150.0])
    _, slopes = _curve(np.array(TRUE), at_h)
    for i, t in enumerate(at_h.tolist()):
        by_differences = approx_fprime(np.array(TRUE), partial(level, t), 1e-6)
        assert slopes[i] == pytest.approx(by_differences, abs=1e-3)


def level(at_h: float, parameters: FloatArray) -> float:
    return float(levels(tuple(parameters), np.array([at_h]))[0])


def test_where_nothing_was_seen_it_says_what_is_usual() -> None:
    curve = fitted([])
    assert curve.best == pytest.approx([g.mean for g in USUAL], abs=1e-3)
    assert np.quantile(curve.ends, (0.1, 0.9)) == pytest.approx([12.0 - 1.28 * 2.0, 12.0 + 1.28 * 2.0], abs=0.5)


def test_a_fall_that_is_over_tells_its_own_end() -> None:
    curve = fitted(seen(TRUE, 400))
    assert curve.best[:3] == pytest.approx(TRUE[:3], abs=0.1)
    assert curve.level(58.0) == pytest.approx(float(levels(TRUE, np.array([58.0]))[0]), abs=0.1)
    low, high = np.quantile(curve.ends, (0.1, 0.9))
    assert low < 10.5 < high
    assert high - low < 1.0


def test_the_less_was_seen_the_wider_it_spreads() -> None:
    widths = []
    for to_h in (20, 60, 90, 160):
        late = np.quantile(fitted(seen(TRUE, to_h)).left_after(0.0, 5.0), (0.1, 0.9))
        widths.append(float(late[1] - late[0]))
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 3.0 * widths[-1]


def test_hours_until_little_is_left_are_those_of_the_curve() -> None:
    curve = fitted(seen(TRUE, 400))
    at_h = np.arange(0.0, 600.0, 0.1)
    left = levels(TRUE, at_h) - TRUE[1]
    for points in (5.0, 2.0, 1.0):
        true_h = float(at_h[np.argmax(left <= points)])
        assert float(np.median(curve.left_after(0.0, points))) == pytest.approx(true_h, abs=3.0)
    assert not curve.left_after(1000.0, 1.0).any()  # it is so already


def test_a_few_wild_values_do_not_bend_it() -> None:
    blocks = seen(TRUE, 120, noise=0.3)
    wild = [b._replace(level=b.level + 25.0) if i % 11 == 5 else b for i, b in enumerate(blocks)]
    assert fitted(wild).best[4] == pytest.approx(fitted(blocks).best[4], abs=1.5)


@settings(max_examples=40, deadline=None)
@given(
    values=st.lists(st.floats(-200.0, 400.0), max_size=40),
    gaps=st.lists(st.floats(0.0, 80.0), min_size=40, max_size=40),
)
def test_of_any_values_it_makes_a_fall_or_nothing(values: list[float], gaps: list[float]) -> None:
    at_h = np.cumsum(gaps)
    blocks = [FallBlock(float(t), v, 3) for t, v in zip(at_h, values, strict=False)]
    curve = fit_curve(blocks, np.full(len(blocks), 0.5), USUAL, spread=1.7)
    if curve is None:
        return
    assert np.isfinite(curve.draws).all()
    assert (curve.ends < curve.draws[:, 0]).all()
    hours = [curve.left_after(30.0, points) for points in (5.0, 3.0, 1.0)]
    assert all((fewer >= more).all() and (more >= 0.0).all() for more, fewer in pairwise(hours))


def test_it_is_the_same_each_time() -> None:
    blocks = seen(TRUE, 80, noise=0.5)
    assert (fitted(blocks).draws == fitted(blocks).draws).all()
