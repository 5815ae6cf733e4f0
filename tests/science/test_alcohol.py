from __future__ import annotations

from collections.abc import Callable
from dataclasses import FrozenInstanceError

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import driest_gravity, rdf_beer6, sg_from_plato, strength, water_density
from lullwort.units import FloatArray

Published = Callable[[str], dict[str, FloatArray]]


def _true_gravity(sg_in_air: float) -> float:
    water = water_density(20.0)
    return (sg_in_air * (water - 1.2) + 1.2) / water


def test_mass_balance_agrees_with_the_same_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, abv_by_formula.csv, column abv_physical: its gravities are those of tables weighed in air.
    table = published("abv_by_formula")
    differences = [
        strength(_true_gravity(og), _true_gravity(fg)).abv_pct - abv
        for og, fg, abv in zip(table["og"].tolist(), table["fg"].tolist(), table["abv_physical"], strict=True)
    ]
    assert np.abs(differences).max() <= 0.0006


def test_taking_a_gravity_as_true_instead_of_in_air_matters_little(published: Published) -> None:
    # The same table with gravities as true ones: 0.008 % up to 1.060 and 0.018 % at 1.120.
    table = published("abv_by_formula")
    differences = np.array(
        [
            strength(og, fg).abv_pct - abv
            for og, fg, abv in zip(table["og"].tolist(), table["fg"].tolist(), table["abv_physical"], strict=True)
        ]
    )
    assert np.abs(differences[table["og"] <= 1.061]).max() <= 0.0085
    assert 0.015 < np.abs(differences).max() <= 0.0180


def test_mass_balance_agrees_with_532_brews(published: Published) -> None:
    # [Cutaia2009] table III, read: means of five sets of brews, original and apparent extract in; alcohol and
    # real extract out. The classic quotient misses real extract by 0.10 to 0.19 °P (see test_alcohol_rules).
    table = published("brew_means")
    assert len(table["n"]) == 5
    for i in range(5):
        beer = strength(sg_from_plato(float(table["OE_P"][i])), sg_from_plato(float(table["AE_P"][i])))
        assert beer.abw_pct == pytest.approx(table["A_abw"][i], abs=0.115)
        assert beer.real_extract_plato == pytest.approx(table["RE_P"][i], abs=0.028)
        assert 100.0 * beer.real_attenuation == pytest.approx(table["RDF_pct"][i], abs=0.24)
        assert 100.0 * beer.apparent_attenuation == pytest.approx(table["ADF_pct"][i], abs=0.01)


@pytest.mark.no_cover
@given(st.floats(1.02, 1.12), st.floats(0.3, 0.95))
def test_real_attenuation_agrees_with_the_analysis_formula(og: float, fallen: float) -> None:
    # [Beer6]: the same mass balance with rounded constants.
    beer = strength(og, 1.0 + (og - 1.0) * (1.0 - fallen))
    analysis = rdf_beer6(beer.original_extract_plato, beer.real_extract_plato)
    assert beer.real_attenuation == pytest.approx(analysis, abs=2e-5)


@pytest.mark.no_cover
@given(st.floats(1.005, 1.199), st.floats(0.966, 1.2))
def test_strength_rises_with_original_and_falls_with_final_gravity(og: float, fg: float) -> None:
    beer = strength(og, fg)
    assert strength(og, min(fg + 0.001, 1.22)).abv_pct <= beer.abv_pct + 1e-9
    assert strength(min(og + 0.001, 1.2), fg).abv_pct >= beer.abv_pct - 1e-9


def test_no_fall_gives_no_alcohol_and_a_rise_gives_none_either() -> None:
    assert strength(1.050, 1.050).abv_pct == pytest.approx(0.0, abs=1e-6)
    assert strength(1.050, 1.052).abv_pct == 0.0
    assert strength(1.050, 1.050).apparent_attenuation == pytest.approx(0.0, abs=1e-9)


def test_a_final_gravity_that_this_wort_cannot_reach_gives_all_the_alcohol_there_can_be() -> None:
    beer = strength(1.050, 0.980)
    original = beer.original_extract_plato
    assert beer.real_extract_plato == pytest.approx(0.0, abs=1e-8)
    assert beer.real_attenuation == pytest.approx(1.0, abs=1e-9)
    assert beer.abv_pct == pytest.approx(strength(1.050, driest_gravity(1.050)).abv_pct, abs=1e-6)
    assert beer.abw_pct == pytest.approx(original / (2.0665 - 0.010665 * original), abs=1e-9)


def test_volume_is_counted_at_20_c_whatever_the_reference() -> None:
    at_20 = strength(1.0500, 1.0120)
    # The same wort and beer on a 60 °F scale, by their own densities; [Bubnik1995] makes 1.0500 into 1.05021.
    at_60_f = strength(
        sg_from_plato(at_20.original_extract_plato, 15.5556),
        sg_from_plato(at_20.apparent_extract_plato, 15.5556),
        reference_c=15.5556,
    )
    assert at_60_f.original_extract_plato == pytest.approx(at_20.original_extract_plato, abs=1e-6)
    assert at_60_f.abv_pct == pytest.approx(at_20.abv_pct, abs=0.05)


def test_strength_is_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        strength(1.05, 1.01).__setattr__("abv_pct", 0.0)


@pytest.mark.parametrize(("og", "fg"), [(1.0009, 1.0), (1.2001, 1.0), (1.05, 0.9649), (1.05, 1.2201)])
def test_strength_refuses_gravities_beyond_its_range(og: float, fg: float) -> None:
    with pytest.raises(OutOfRangeError, match="Balling1865"):
        strength(og, fg)


@pytest.mark.parametrize("og", [1.001, 1.2])
@pytest.mark.parametrize("fg", [0.965, 1.22])
def test_strength_answers_at_both_ends(og: float, fg: float) -> None:
    assert strength(og, fg).abv_pct >= 0.0
