"""Energy follows from alcohol and extract."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.science import Brew, energy, strength


def test_energy_is_that_of_its_parts_by_the_factors_of_labels() -> None:
    # [EU1169] Annex XIV, from memory: alcohol 29 kJ/g and 7 kcal/g, carbohydrate 17 kJ/g and 4 kcal/g.
    beer = strength(1.050, 1.012)
    grams = beer.density_20c_kg_m3 / 10.0
    alcohol, extract = grams * beer.abw_pct / 100.0, grams * beer.real_extract_plato / 100.0
    assert energy(beer).kj == pytest.approx(29.0 * alcohol + 17.0 * extract)
    assert energy(beer).kcal == pytest.approx(7.0 * alcohol + 4.0 * extract)
    assert energy(beer, 330.0).kcal == pytest.approx(3.3 * energy(beer).kcal)


def test_an_ordinary_beer_has_the_energy_that_food_tables_print() -> None:
    # From memory, national food tables: 43 kcal in 100 g of a beer with 3.9 g of alcohol, 3.55 g of carbohydrate,
    # 0.46 g of protein and 0.16 g of ash. Ash counted as carbohydrate makes 0.7 kcal too much.
    beer = Brew(100.0, 3.55 + 0.46 + 0.16, 3.9).strength()
    per_100_g = energy(beer).kcal * 1000.0 / beer.density_20c_kg_m3
    assert per_100_g == pytest.approx(43.0, abs=1.2)


@pytest.mark.no_cover
@given(st.floats(1.02, 1.12), st.floats(0.1, 0.9))
def test_a_stronger_wort_has_more_energy_and_the_units_nearly_agree(og: float, gone: float) -> None:
    fg = 1.0 + (og - 1.0) * (1.0 - gone)
    weaker, stronger = energy(strength(og, fg)), energy(strength(og + 0.002, fg))
    assert stronger.kj > weaker.kj
    # The factors are rounded for each unit: 29/7 is 4.14 and 17/4 is 4.25 kJ a kcal, 4.184 the unit's own.
    assert 4.14 <= weaker.kj / weaker.kcal <= 4.25
