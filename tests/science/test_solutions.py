"""Grams of sugar and water, against tables of the density of sucrose solutions that others computed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import made_up_to, sg_from_plato, sugar_solution, sugar_steps
from lullwort.units import FloatArray

Published = Callable[[str], dict[str, FloatArray]]


def test_grams_are_those_of_a_table_of_density(published: Published) -> None:
    # SOURCES.md, sucrose_20c.csv, computed by others: a litre weighs the density, of which the mass per cent is sugar.
    # Five decimals of the table's SG leave 0.0013 °P, that is 0.013 g in a litre; allowed is a little more.
    table = published("sucrose_20c")
    for percent, density, sg in zip(
        table["sucrose_mass_pct"], table["density_20C_kg_m3"], table["sg_20_20_true"], strict=True
    ):
        if 1.0 <= sg <= 1.120:
            made = sugar_solution(float(sg), 1.0)
            assert made.sugar_g == pytest.approx(percent / 100.0 * density, abs=0.02)
            assert made.water_g == pytest.approx((1.0 - percent / 100.0) * density, abs=0.02)


def test_sugar_and_water_make_the_volume_at_20_c(published: Published) -> None:
    # SOURCES.md, sucrose_by_temperature.csv, the line of 20 °C.
    table = published("sucrose_by_temperature")
    (at_20,) = np.flatnonzero(table["t_C"] == 20.0).tolist()
    for percent in (2.5, 5.0, 10.0, 12.0, 15.0, 20.0, 25.0):
        made = sugar_solution(sg_from_plato(percent), 2.0)
        weighs_kg_m3 = table[f"w{percent:g}pct"][at_20]
        assert (made.sugar_g + made.water_g) / 2.0 == pytest.approx(weighs_kg_m3, abs=0.0006)


def test_the_same_gravities_in_one_jar_need_the_same_shares() -> None:
    gravities = (1.000, 1.020, 1.050, 1.080)
    steps = sugar_steps(gravities, 1.0)
    assert [step.water_g for step in steps] == [steps[0].water_g] * 4
    assert np.all(np.diff([step.sugar_g for step in steps]) > 0.0)
    assert np.all(np.diff([step.volume_l for step in steps]) > 0.0)
    assert [steps[0].sugar_g, steps[-1].volume_l] == pytest.approx([0.0, 1.0])
    for step in steps:
        afresh = sugar_solution(step.gravity, step.volume_l)
        assert [step.sugar_g, step.water_g] == pytest.approx([afresh.sugar_g, afresh.water_g])


def test_what_a_scale_is_off_is_what_other_weights_would_make() -> None:
    made = sugar_solution(1.050, 0.5, scale_g=2.0)

    def points(sugar_g: float, water_g: float) -> float:
        return 1000.0 * (sg_from_plato(100.0 * sugar_g / (sugar_g + water_g)) - 1.0)

    right = points(made.sugar_g, made.water_g)
    by_sugar = points(made.sugar_g + 2.0, made.water_g) - right
    by_water = points(made.sugar_g, made.water_g + 2.0) - right
    assert made.off_by == pytest.approx((by_sugar**2 + by_water**2) ** 0.5, rel=0.01)
    assert sugar_solution(1.000, 0.5).off_by == 0.0
    steps = sugar_steps((1.000, 1.025, 1.050), 0.5, scale_g=2.0)
    assert steps[0].off_by == 0.0
    assert steps[2].off_by > made.off_by  # two weighings of sugar went in


@given(st.floats(1.0, 1.2), st.floats(0.1, 50.0))
def test_what_is_weighed_has_the_gravity_that_was_asked_for(gravity: float, volume_l: float) -> None:
    made = sugar_solution(gravity, volume_l)
    assert sg_from_plato(100.0 * made.sugar_g / (made.sugar_g + made.water_g)) == pytest.approx(gravity, abs=1e-8)


@given(st.floats(1.0, 1.199), st.floats(1e-4, 0.001))
def test_more_gravity_takes_more_sugar_and_less_water(gravity: float, more: float) -> None:
    low, high = sugar_solution(gravity, 1.0), sugar_solution(gravity + more, 1.0)
    assert low.sugar_g < high.sugar_g
    assert low.water_g > high.water_g


@pytest.mark.parametrize("gravity", [0.9999, 1.2001])
def test_no_sugar_makes_less_than_water_and_no_syrup_is_asked_for(gravity: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"1 to 1\.2 SG"):
        sugar_solution(gravity, 1.0)


@given(st.floats(0.0, 500.0), st.floats(0.01, 50.0))
def test_sugar_made_up_to_a_volume_is_the_solution_of_its_gravity(g_l: float, volume_l: float) -> None:
    made = made_up_to(g_l * volume_l, volume_l)
    same = sugar_solution(min(max(made.gravity, 1.0), 1.2), volume_l)
    assert made.sugar_g == pytest.approx(same.sugar_g, abs=1e-4 * volume_l)
    assert made.water_g == pytest.approx(same.water_g, abs=1e-4 * volume_l)


@pytest.mark.parametrize("sugar_g", [-1.0, 530.0])
def test_no_more_sugar_is_made_up_than_a_syrup_holds(sugar_g: float) -> None:
    with pytest.raises(OutOfRangeError, match="sugar in a litre"):
        made_up_to(sugar_g, 1.0)
