"""What is put in brings extract and water, and makes points."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import INGREDIENTS, Brew, added_points, brew, points_by_rule
from lullwort.science.numerics import solve_increasing

SUCROSE = INGREDIENTS["sucrose"]
LB, US_GAL = 0.45359237, 3.785411784

SUGARS = [name for name in INGREDIENTS if name not in ("fruit", "water")]


def test_a_pound_of_sucrose_made_up_to_a_us_gallon_makes_46_points() -> None:
    # Common practice, no source: 46. By mass it is 46.1.
    water = solve_increasing(lambda kg: (Brew(kg) + SUCROSE.of(LB)).volume_l - US_GAL, 2.0, 4.0, tolerance=1e-9)
    points = 1000.0 * ((Brew(water) + SUCROSE.of(LB)).present_gravity() - 1.0)
    assert points == pytest.approx(46.0, abs=0.2)
    assert points_by_rule(SUCROSE.of(LB), US_GAL) == pytest.approx(46.0, abs=0.02)


def test_dextrose_as_sold_brings_nine_tenths_of_the_extract() -> None:
    # SOURCES.md, co2_from_sugar.csv: molar masses of glucose, 180.156 and with its water 198.171.
    assert INGREDIENTS["dextrose"].extract == pytest.approx(180.156 / 198.171, abs=1e-5)


@pytest.mark.parametrize("name", INGREDIENTS)
def test_every_ingredient_is_made_of_extract_water_and_pulp(name: str) -> None:
    each = INGREDIENTS[name]
    assert each.name == name
    assert each.extract >= 0.0
    assert each.water >= 0.0
    assert 0.97 <= each.extract + each.water <= 1.0 + 1e-12
    assert each.says
    brought = each.of(2.0)
    assert brought.extract_kg == pytest.approx(2.0 * each.extract)
    assert brought.mass_kg == pytest.approx(2.0 * (each.extract + each.water))


@pytest.mark.no_cover
@settings(deadline=None)
@given(
    st.sampled_from(SUGARS), st.floats(1.03, 1.10), st.floats(0.0, 0.9), st.floats(5.0, 50.0), st.floats(0.001, 0.05),
    st.floats(0.001, 0.05),
)  # fmt: skip
def test_more_sugar_makes_more_points_and_a_little_fewer_than_the_rule_says(
    name: str, original: float, gone: float, volume_l: float, share: float, more: float
) -> None:
    into = brew(original, 1.0 + (original - 1.0) * (1.0 - gone), volume_l)
    one = INGREDIENTS[name].of(share * volume_l)
    points, further = added_points(into, one), added_points(into, one + INGREDIENTS[name].of(more * volume_l))
    assert 0.0 < points.original < further.original
    assert 0.0 < points.present < further.present
    # The rule makes up to the volume; sugar put into it makes it larger, and thins what was there.
    assert points.present <= points_by_rule(one, volume_l) * 1.01


def test_fruit_raises_the_beer_and_lowers_the_wort_it_came_from() -> None:
    points = added_points(brew(1.050, 1.012, 19.0), INGREDIENTS["fruit"].of(2.0))
    # By hand, volumes taken to add up: 1.9 L of juice of 40 points in 19 L of 12, or of 50, makes 14.5 and 49.1.
    assert points.present == pytest.approx(2.5, abs=0.3)
    assert points.original == pytest.approx(-0.9, abs=0.3)


def test_water_lowers_both() -> None:
    # By hand, volumes taken to add up: 19 of 21 litres of 12 and of 50 points.
    points = added_points(brew(1.050, 1.012, 19.0), INGREDIENTS["water"].of(2.0))
    assert points.present == pytest.approx(12.0 * 19.0 / 21.0 - 12.0, abs=0.1)
    assert points.original == pytest.approx(50.0 * 19.0 / 21.0 - 50.0, abs=0.2)


def test_a_stated_share_of_sugar_takes_the_place_of_the_usual_one() -> None:
    sweet = INGREDIENTS["fruit"].with_sugar(0.15)
    assert sweet.extract == 0.15
    assert sweet.water == pytest.approx(0.82)
    with pytest.raises(OutOfRangeError):
        INGREDIENTS["fruit"].with_sugar(0.98)
    with pytest.raises(OutOfRangeError):
        INGREDIENTS["fruit"].with_sugar(-0.01)
