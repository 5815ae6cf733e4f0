"""Hand samples laid through a line: held against numpy's own least squares, and properties that it must have."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.analysis import HandReading
from lullwort.detector.handline import Drawn, compared, independent_sds


def drawn(at_h: float, points: float, *, sd: float = 0.65, error_sd: float = 2.0, by: str = "jar") -> Drawn:
    return Drawn(HandReading(round(at_h * 3.6e9), points, sd, error_sd, by), at_h, at_h)


def test_two_samples_fall_by_their_difference_and_reading_both_makes_it_unsure() -> None:
    line = compared([drawn(100.0, 13.0), drawn(148.0, 12.0)], 48.0)
    assert line is not None
    assert (line.apart_h, line.fell, line.tried) == pytest.approx((48.0, 1.0, 2))
    assert line.fell_sd == pytest.approx(0.65 * math.sqrt(2.0))
    assert line.moved(48.0, 1.0) == pytest.approx(1.0 + 0.65 * math.sqrt(2.0))


def test_the_error_that_one_instrument_always_makes_says_nothing_of_a_difference() -> None:
    same = compared([drawn(0.0, 12.0), drawn(60.0, 12.0)], 48.0)
    other = compared([drawn(0.0, 12.0), drawn(60.0, 12.0, by="another")], 48.0)
    assert same is not None
    assert other is not None
    assert other.fell_sd == pytest.approx(math.sqrt(2.0) * math.hypot(0.65, 2.0))
    assert same.fell_sd < 0.5 * other.fell_sd
    assert independent_sds([drawn(0.0, 1.0).reading] * 2) == ([0.65, 0.65], 2.0)


def test_of_many_the_line_is_that_of_weighted_least_squares() -> None:
    rows = [(0.0, 13.1, 0.4), (30.0, 12.6, 0.65), (60.0, 12.9, 0.65), (100.0, 12.2, 0.4)]
    line = compared([drawn(h, p, sd=s, error_sd=0.0) for h, p, s in rows], 100.0)
    assert line is not None
    hours, points, sds = (np.array(column) for column in zip(*rows, strict=True))
    (slope, _), covariance = np.polyfit(hours, points, 1, w=1.0 / sds, cov="unscaled")
    assert line.fell == pytest.approx(-100.0 * slope)
    assert line.fell_sd == pytest.approx(100.0 * math.sqrt(covariance[0, 0]))


def test_too_near_to_each_other_only_the_newest_two_are_compared() -> None:
    line = compared([drawn(0.0, 13.0), drawn(10.0, 12.8), drawn(20.0, 12.5)], 48.0)
    assert line is not None
    assert (line.first.age_h, line.tried) == (10.0, 2)
    assert compared([drawn(0.0, 12.0)], 48.0) is None
    assert compared([drawn(5.0, 12.0), drawn(5.0, 12.0)], 48.0) is None


@given(st.lists(st.tuples(st.floats(1.0, 90.0), st.floats(0.0, 60.0)), min_size=2, max_size=6), st.floats(-9.0, 9.0))
def test_a_shift_of_all_changes_no_fall_and_the_mean_by_itself(rows: list[tuple[float, float]], by: float) -> None:
    hours = np.cumsum([step for step, _ in rows])
    plain, shifted = (
        compared([drawn(float(h), p + off) for h, (_, p) in zip(hours, rows, strict=True)], 48.0) for off in (0.0, by)
    )
    assert plain is not None
    assert shifted is not None
    if plain.tried == shifted.tried:
        assert shifted.fell == pytest.approx(plain.fell, abs=1e-7)
        assert shifted.mean - plain.mean == pytest.approx(by, abs=1e-7)
