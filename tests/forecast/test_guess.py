"""Guesses put together, and quantiles of what is believed unevenly."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.forecast.guess import Guess, both, weighted_quantiles

guesses = st.builds(Guess, st.floats(-50.0, 50.0), st.floats(0.1, 20.0))


@given(first=guesses, second=guesses)
def test_two_guesses_lie_between_and_know_more_than_either(first: Guess, second: Guess) -> None:
    found = both(first, second)
    low, high = sorted((first.mean, second.mean))
    assert low - 1e-9 <= found.mean <= high + 1e-9
    assert found.sd < min(first.sd, second.sd)
    assert found == pytest.approx(both(second, first))


@given(values=st.lists(st.floats(-100.0, 100.0), min_size=1, max_size=30))
def test_evenly_believed_they_are_the_ordinary_quantiles(values: list[float]) -> None:
    array = np.array(values)
    found = weighted_quantiles(array, np.ones(len(array)), (0.1, 0.5, 0.9))
    assert found == [float(q) for q in np.quantile(array, (0.1, 0.5, 0.9), method="inverted_cdf")]


def test_what_is_hardly_believed_counts_little() -> None:
    values, weights = np.array([1.0, 100.0, 2.0]), np.array([1.0, 0.01, 1.0])
    assert weighted_quantiles(values, weights, (0.1, 0.5, 0.9)) == [1.0, 2.0, 2.0]
