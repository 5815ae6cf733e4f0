"""A blend lies between its parts, is known as well as they are, and may ferment on."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.packaging_day import Gravities, Part, blend_figures, left_in_blend, strength_figures

DRY, SWEET = Gravities(50.0, 10.0, 0.5, 0.5), Gravities(70.0, 22.0, 0.5, 0.5)


def test_a_beer_blended_with_itself_is_that_beer_and_known_better() -> None:
    parts = (Part(DRY, 10.0, 0.0), Part(DRY, 10.0, 0.0))
    blended, alone = blend_figures(parts), strength_figures(DRY)
    for name, estimate in alone.items():
        assert blended[name].value == pytest.approx(estimate.value, abs=1e-5)
    # Two readings, apart from each other, of equal weight.
    width = blended["abv"].high - blended["abv"].low
    assert width == pytest.approx((alone["abv"].high - alone["abv"].low) / 2.0**0.5, rel=0.01)
    assert blended["volume_l"].value == pytest.approx(20.0, abs=1e-4)
    assert blended["contraction_l"].value == pytest.approx(0.0, abs=1e-4)


@pytest.mark.no_cover
@pytest.mark.no_cover
@settings(deadline=None, max_examples=20)
@given(st.floats(1.0, 100.0), st.floats(1.0, 100.0))
def test_more_of_the_stronger_makes_it_stronger_and_it_lies_between(dry_l: float, sweet_l: float) -> None:
    def abv(more_l: float) -> float:
        return blend_figures((Part(DRY, dry_l, 0.0), Part(SWEET, sweet_l + more_l, 0.0)))["abv"].value

    low, high = (strength_figures(each)["abv"].value for each in (DRY, SWEET))
    assert low < abv(0.0) < abv(1.0) < high


def test_how_unsure_the_volumes_are_counts() -> None:
    sure, unsure = (
        blend_figures((Part(DRY, 10.0, sd_l), Part(SWEET, 10.0, sd_l)))["original_gravity"] for sd_l in (0.0, 1.0)
    )
    assert unsure.low < sure.low < sure.value < sure.high < unsure.high


def test_the_drier_beers_yeast_may_take_what_the_other_left() -> None:
    left = left_in_blend((Part(DRY, 10.0, 0.0, 0.0, 0.5), Part(SWEET, 10.0, 0.0, 0.0, 0.5)))
    assert (left.about, left.at_most) == (0.0, 0.5)
    # By hand: 1.050 to 1.010 is 79 % gone and 1.070 to 1.022 67 %, in °P; 12 % of 70 points is 8.2, half of the blend.
    assert left.by_the_drier.value == pytest.approx(0.5 * 8.2 + 0.5 * 0.5, abs=0.2)
    assert left.by_the_drier.low < left.by_the_drier.value < left.by_the_drier.high
    assert left.upper == left.by_the_drier.high


def test_what_a_beer_has_left_itself_is_shared_out_or_not_known() -> None:
    known = left_in_blend((Part(DRY, 15.0, 0.0, 1.0, 2.0), Part(DRY, 5.0, 0.0, 5.0, 10.0)))
    assert (known.about, known.at_most) == (2.0, 4.0)
    assert known.upper >= 4.0
    unknown = left_in_blend((Part(DRY, 15.0, 0.0, 1.0, 2.0), Part(DRY, 5.0, 0.0)))
    assert (unknown.about, unknown.at_most) == (None, None)


def test_equal_beers_that_have_ended_leave_nothing_but_what_readings_may_be_off() -> None:
    certain = Gravities(50.0, 10.0, 0.0, 0.0)
    left = left_in_blend((Part(certain, 10.0, 0.0, 0.0, 0.0), Part(certain, 10.0, 0.0, 0.0, 0.0)))
    assert left.upper == pytest.approx(0.0, abs=1e-6)
