"""One way to make ranges: exact where it can be checked by hand, and held against drawn errors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pytest
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from scipy.stats import norm, qmc

from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import (
    SPREAD,
    Added,
    Error,
    Gravities,
    Put,
    figures_of,
    ranges,
    strength_figures,
)
from lullwort.science import INGREDIENTS, brew, strength

DRAWS = 256


def drawn_errors(of: int, seed: int) -> list[list[float]]:
    """Independent standard normal errors, spread evenly over their distribution (Sobol's points, by scipy)."""
    points = qmc.Sobol(of, rng=np.random.default_rng(seed)).random(DRAWS)
    errors: list[list[float]] = norm.ppf(points).tolist()
    return errors


few = settings(max_examples=4, deadline=None, phases=(Phase.explicit, Phase.generate))
"""Each example makes hundreds of beers."""


def test_errors_of_two_readings_add_in_squares_and_one_in_both_cancels() -> None:
    # 1.645 standard deviations hold 90 % of a normal distribution; 3 and 4 make 5.
    def difference(v: Sequence[float]) -> Mapping[str, float]:
        return {"fall": v[0] - v[1], "sum": v[0] + v[1]}

    apart = ranges(difference, (50.0, 12.0), (Error(3.0, (0,)), Error(4.0, (1,))))
    assert apart["fall"].high - 38.0 == pytest.approx(1.645 * 5.0)
    together = ranges(difference, (50.0, 12.0), (Error(3.0, (0, 1)),))
    assert together["fall"] == (38.0, 38.0, 38.0)
    assert together["sum"].high - 62.0 == pytest.approx(1.645 * 6.0)


def test_a_figure_that_bends_has_unequal_ends_and_never_one_on_the_wrong_side() -> None:
    bent = ranges(lambda v: {"square": v[0] ** 2}, (0.0,), (Error(1.0, (0,)),))["square"]
    assert (bent.value, bent.low) == (0.0, 0.0)
    assert bent.high == pytest.approx(SPREAD**2)


def test_one_end_beyond_a_formula_is_taken_from_the_other_and_two_are_refused() -> None:
    def up_to_ten(v: Sequence[float]) -> Mapping[str, float]:
        if not -10.0 <= v[0] <= 10.0:
            raise OutOfRangeError("v", v[0], "-10 to 10", source="this test")
        return {"twice": 2.0 * v[0]}

    assert ranges(up_to_ten, (9.0,), (Error(2.0, (0,)),))["twice"] == pytest.approx((18.0, 18 - 6.58, 18 + 6.58))
    with pytest.raises(OutOfRangeError, match="this test"):
        ranges(up_to_ten, (9.0,), (Error(20.0, (0,)),))
    with pytest.raises(OutOfRangeError, match="this test"):
        ranges(up_to_ten, (11.0,), ())


@pytest.mark.no_cover
@pytest.mark.no_cover
@few
@given(
    original=st.floats(35.0, 110.0),
    left=st.floats(0.1, 0.4),
    sds=st.tuples(st.floats(0.1, 2.0), st.floats(0.1, 2.0), st.floats(0.0, 3.0)),
    seed=st.integers(0, 1000),
)
@example(original=50.0, left=0.24, sds=(0.65, 0.65, 2.0), seed=1)
def test_ranges_of_all_figures_are_those_of_drawn_errors(
    original: float, left: float, sds: tuple[float, float, float], seed: int
) -> None:
    # Independent of the way that makes them: each error is drawn from its normal distribution, the figures are made of
    # each draw, and the middle 90 % of those is the range.
    final = original * left
    told = strength_figures(Gravities(original, final, *sds))
    drawn: dict[str, list[float]] = {name: [] for name in told}
    for e in drawn_errors(3, seed):
        own_original, own_final, common = (sd * each for sd, each in zip(sds, e, strict=True))
        og, fg = original + own_original + common, final + own_final + common
        beer = strength(1.0 + og / 1000.0, 1.0 + fg / 1000.0)
        for name, value in figures_of(beer, og, fg).items():
            drawn[name].append(value)
    for name, estimate in told.items():
        low, high = np.quantile(drawn[name], (0.05, 0.95))
        width = estimate.high - estimate.low
        assert width == pytest.approx(high - low, rel=0.12), name
        assert estimate.low == pytest.approx(low, abs=0.09 * width), name
        assert estimate.high == pytest.approx(high, abs=0.09 * width), name


@pytest.mark.no_cover
@pytest.mark.no_cover
@few
@given(sugar_kg=st.floats(0.2, 2.0), volume_l=st.floats(10.0, 40.0), seed=st.integers(0, 1000))
def test_ranges_with_sugar_and_water_added_are_those_of_drawn_errors(
    sugar_kg: float, volume_l: float, seed: int
) -> None:
    honey, water = INGREDIENTS["honey"], INGREDIENTS["water"]
    volume_sd, sugar_sd, water_sd = 0.03 * volume_l, 0.05 * sugar_kg, 0.1
    gravities = Gravities(50.0, 10.0, 0.7, 0.7, 1.0)
    told = strength_figures(
        gravities, Added(volume_l, volume_sd, (Put(honey, sugar_kg, sugar_sd), Put(water, 1.0, water_sd)))
    )
    drawn = []
    for e in drawn_errors(7, seed):
        og, fg = 50.0 + 0.7 * e[0] + e[2], 10.0 + 0.7 * e[1] + e[2]
        gravity = 1.0 + og / 1000.0
        wort = brew(gravity, gravity, volume_l + volume_sd * e[3])
        wort += honey.with_sugar(honey.extract + honey.extract_sd * e[4]).of(sugar_kg + sugar_sd * e[5])
        wort += water.of(1.0 + water_sd * e[6])
        drawn.append(strength(wort.original_gravity(), 1.0 + fg / 1000.0).abv_pct)
    low, high = np.quantile(drawn, (0.05, 0.95))
    assert told["abv"].high - told["abv"].low == pytest.approx(high - low, rel=0.12)
    assert told["abv"].value == pytest.approx(np.median(drawn), abs=0.1 * (high - low))
