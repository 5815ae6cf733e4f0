"""What the filter bank foresees: each time constant its own way, drawn towards the end and to earlier batches."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lullwort.analysis import TailBank
from lullwort.analysis.bank import TAUS_H
from lullwort.forecast.guess import Guess, weighted_quantiles
from lullwort.forecast.tail import tail_outlook

ANY_END = Guess(0.0, 1e3)


def bank(tau_index: int | None, slope: float, slope_sd: float) -> TailBank:
    """A bank that falls by `slope` [points/h], sure of one time constant or of none."""
    state = (12.0, slope, 0.0, 0.01, 0.0, 0.0, slope_sd**2, 0.0, 0.01)
    weights = [1.0 if i == tau_index else 0.0 for i in range(len(TAUS_H))]
    return TailBank(weights=[1.0 / len(TAUS_H)] * len(TAUS_H) if tau_index is None else weights, states=[state] * 6)


def middle(values: np.ndarray, weights: np.ndarray) -> float:
    return weighted_quantiles(values, weights, (0.5,))[0]


@pytest.mark.parametrize("index", [1, 3])
def test_a_sure_filter_dies_away_with_its_time_constant(index: int) -> None:
    # s·tau is left, and goes as exp(−t/tau): N are left after tau·ln(s·tau/N).
    tau, slope = TAUS_H[index], 0.1
    tail = tail_outlook(bank(index, slope, 1e-6), ANY_END, None)
    assert middle(tail.left, tail.weights) == pytest.approx(slope * tau, rel=1e-3)
    assert middle(tail.left_after(1.0), tail.weights) == pytest.approx(tau * math.log(slope * tau), rel=1e-3)
    assert middle(tail.left_after(1e3), tail.weights) == 0.0


def test_belief_goes_to_the_filter_that_ends_where_the_beer_should() -> None:
    unsure = bank(None, 0.05, 1e-4)
    for index in (1, 4):
        ends = tail_outlook(unsure, Guess(0.05 * TAUS_H[index], 0.3), None)
        assert middle(ends.taus_h, ends.weights) == pytest.approx(TAUS_H[index])


def test_an_end_that_is_known_draws_what_is_left_towards_it() -> None:
    loose = bank(2, 0.1, 0.05)
    by_itself = tail_outlook(loose, ANY_END, None)
    drawn = tail_outlook(loose, Guess(1.0, 0.2), None)
    assert middle(by_itself.left, by_itself.weights) == pytest.approx(0.1 * TAUS_H[2], rel=0.08)
    assert middle(drawn.left, drawn.weights) == pytest.approx(1.0, abs=0.3)


def test_a_recipe_known_to_be_slow_is_slow() -> None:
    def hours(log_tau: Guess | None) -> float:
        tail = tail_outlook(bank(None, 0.05, 0.02), Guess(4.0, 2.0), log_tau)
        return middle(tail.left_after(1.0), tail.weights)

    fast, slow = (hours(Guess(math.log(tau), 0.4)) for tau in (20.0, 200.0))
    assert fast < hours(None) < slow


def test_nothing_is_left_less_than_never() -> None:
    rising = tail_outlook(bank(None, -0.2, 0.01), ANY_END, None)
    assert (rising.left > 0.0).all()
    assert not rising.left_after(1.0).any()
    assert rising.weights.sum() == pytest.approx(1.0)
