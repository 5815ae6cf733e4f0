"""Every figure of a beer has a range, and what was put in counts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import (
    FIGURES_EXPLAINED,
    Added,
    Gravities,
    Put,
    alcohol_by_volume,
    strength_figures,
)
from lullwort.science import INGREDIENTS, energy, strength

ALE = Gravities(50.0, 12.0, 0.7, 0.7, 2.0)


def test_the_figures_are_those_of_the_mass_balance() -> None:
    told, beer = strength_figures(ALE), strength(1.050, 1.012)
    assert told["abv"].value == pytest.approx(beer.abv_pct)
    assert told["real_extract"].value == pytest.approx(beer.real_extract_plato)
    assert told["kj_330_ml"].value == pytest.approx(energy(beer, 330.0).kj)
    assert told["abv"] == alcohol_by_volume(*ALE)


def test_what_one_instrument_gets_wrong_in_both_hardly_touches_alcohol_but_attenuation() -> None:
    exact, common = strength_figures(Gravities(50.0, 12.0, 0.0, 0.0)), strength_figures(ALE._replace(common_sd=4.0))
    apart = strength_figures(Gravities(50.0, 12.0, (0.7**2 + 4.0**2) ** 0.5, (0.7**2 + 4.0**2) ** 0.5))
    assert exact["abv"].low == exact["abv"].high
    assert (common["abv"].high - common["abv"].low) < 0.3 * (apart["abv"].high - apart["abv"].low)
    for name in ("original_gravity", "final_gravity"):
        assert common[name].high - common[name].low == pytest.approx(apart[name].high - apart[name].low)


def test_each_figure_is_explained() -> None:
    for name in strength_figures(ALE):
        explained = "energy" if name.startswith(("kj_", "kcal_")) else name
        assert explained in FIGURES_EXPLAINED or explained in ("original_gravity", "final_gravity"), name
    assert all(each.source for each in FIGURES_EXPLAINED.values())


@pytest.mark.no_cover
@pytest.mark.no_cover
@settings(deadline=None, max_examples=40)
@given(st.floats(30.0, 110.0), st.floats(0.1, 0.9), st.floats(0.1, 2.0), st.floats(0.1, 2.0))
def test_each_range_holds_its_value_and_grows_with_the_error(
    original: float, gone: float, sd: float, more: float
) -> None:
    final = original * (1.0 - gone)
    narrow = strength_figures(Gravities(original, final, sd, sd))
    wide = strength_figures(Gravities(original, final, sd + more, sd + more))
    for name, estimate in narrow.items():
        assert wide[name].low <= estimate.low <= estimate.value <= estimate.high <= wide[name].high, name


def test_sugar_put_in_makes_the_wort_and_the_beer_stronger_and_is_known_less_well() -> None:
    sugar = Put(INGREDIENTS["sucrose"], 0.5, 0.005)
    with_sugar = strength_figures(ALE, Added(19.0, 0.4, (sugar,)))
    # By hand: 500 g in 19 litres make 9 points of the wort, and 131.25 times 9 points is 1.2 % by volume.
    assert with_sugar["original_gravity"].value == pytest.approx(59.0, abs=0.2)
    assert with_sugar["abv"].value - strength_figures(ALE)["abv"].value == pytest.approx(1.2, abs=0.1)
    unsure = strength_figures(ALE, Added(19.0, 2.0, (sugar._replace(mass_sd_kg=0.1),)))
    assert unsure["abv"].low < with_sugar["abv"].low
    assert with_sugar["abv"].high < unsure["abv"].high
    with_honey = strength_figures(ALE, Added(19.0, 0.4, (Put(INGREDIENTS["honey"], 0.5 / 0.81, 0.005),)))
    assert with_honey["original_gravity"].value == pytest.approx(with_sugar["original_gravity"].value, abs=0.5)


def test_water_boiled_away_makes_it_stronger_and_put_in_weaker() -> None:
    water = INGREDIENTS["water"]
    weaker, as_it_was, stronger = (
        strength_figures(ALE, Added(20.0, 0.0, (Put(water, kg),)))["original_gravity"].value for kg in (2.0, 0.0, -2.0)
    )
    # Common practice, no source: points times volume stay the same.
    assert weaker == pytest.approx(50.0 * 20.0 / 22.0, abs=0.3)
    assert as_it_was == pytest.approx(50.0, abs=5e-4)  # two equations for water differ by so much
    assert stronger == pytest.approx(50.0 * 20.0 / 18.0, abs=0.4)


def test_what_no_formula_covers_is_refused_or_not_made_up() -> None:
    with pytest.raises(OutOfRangeError):
        strength_figures(Gravities(400.0, 10.0, 0.5, 0.5))
    with pytest.raises(OutOfRangeError):
        strength_figures(ALE, Added(0.0, 0.0, ()))
    assert alcohol_by_volume(400.0, 10.0, 0.5, 0.5) is None
