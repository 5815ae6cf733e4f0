"""The mass balance beside what others measured and computed; each largest difference stands in SOURCES.md."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.science import (
    Strength,
    abv_balling,
    abv_duty,
    abv_from_abw,
    abv_hall,
    abv_times_105,
    abw_from_abv,
    plato_from_sg,
    rdf_beer6,
    sg_from_plato,
    strength,
)
from lullwort.units import FloatArray

Published = Callable[[str], dict[str, FloatArray]]
Rows = Callable[[str], list[dict[str, str]]]

QUANTITIES: dict[str, Callable[[Strength], float]] = {
    "A/(OE-AE)": lambda b: b.abw_pct / (b.original_extract_plato - b.apparent_extract_plato),
    "A/(OE-RE)": lambda b: b.abw_pct / (b.original_extract_plato - b.real_extract_plato),
    "(OE-RE)/(OE-AE)": lambda b: (
        (b.original_extract_plato - b.real_extract_plato) / (b.original_extract_plato - b.apparent_extract_plato)
    ),
}


class Regression(NamedTuple):
    source: str
    quantity: str
    least: float
    most: float


# Largest differences found, over 9 to 18 °P and apparent attenuations of 70 to 85 %.
REGRESSIONS = [
    Regression("Cutaia2009", "A/(OE-AE)", -0.0081, 0.0047),
    Regression("Cutaia2009", "A/(OE-RE)", -0.0100, 0.0063),
    Regression("Cutaia2009", "(OE-RE)/(OE-AE)", -0.0023, 0.0072),
    Regression("Doemens", "A/(OE-AE)", -0.0060, -0.0030),
    Regression("Doemens", "A/(OE-RE)", -0.0016, -0.0005),
    Regression("Doemens", "(OE-RE)/(OE-AE)", -0.0102, -0.0024),
]


@pytest.mark.no_cover
@pytest.mark.parametrize("of", REGRESSIONS)
def test_the_mass_balance_runs_along_the_regressions_of_532_brews(published_rows: Rows, of: Regression) -> None:
    # [Cutaia2009] table VI, read in a machine-read copy: constants with their standard errors, and the older values
    # that it quotes [Doemens], without. Twice the standard error is what the brews themselves scatter.
    (row,) = [
        row
        for row in published_rows("attenuation_regressions")
        if (row["source"], row["quantity"]) == (of.source, of.quantity)
    ]
    constant, slope = float(row["constant"]), float(row["per_degree_plato"])
    differences = []
    for oe in np.linspace(9.0, 18.0, 10).tolist():
        for gone in (0.70, 0.75, 0.80, 0.85):
            beer = strength(sg_from_plato(oe), sg_from_plato(oe * (1.0 - gone)))
            differences.append(QUANTITIES[of.quantity](beer) - constant - slope * oe)
    assert of.least <= min(differences)
    assert max(differences) <= of.most
    if row["standard_error"]:
        assert max(map(abs, differences)) <= 2.0 * float(row["standard_error"])


def test_the_observed_quotient_is_that_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, abv_by_formula.csv: four decimals, from gravities in air.
    table = published("abv_by_formula")
    for og, fg, quotient, adf in zip(
        table["og"].tolist(), table["fg"].tolist(), table["implied_q_(OE-RE)/(OE-AE)"], table["ADF_pct"], strict=True
    ):
        beer = strength(og, fg)
        assert QUANTITIES["(OE-RE)/(OE-AE)"](beer) == pytest.approx(quotient, abs=0.00006)
        assert 100.0 * beer.apparent_attenuation == pytest.approx(adf, abs=0.0505)


def test_worked_examples_come_out(published: Published) -> None:
    # SOURCES.md, strength_examples.csv: worked by others with the same formulas, so that it shows slips of the pen and
    # no more; °P from gravities in air, worth 0.027 °P at 1.100.
    table = published("strength_examples")
    columns = {name: values.tolist() for name, values in table.items()}
    assert len(columns["og"]) == 6
    for i, (og, fg) in enumerate(zip(columns["og"], columns["fg"], strict=True)):
        assert abv_times_105(og, fg) == pytest.approx(columns["abv_131.25"][i], abs=0.00051)
        assert abv_hall(og, fg) == pytest.approx(columns["abv_hall"][i], abs=0.0005)
        assert abv_duty(og, fg) == pytest.approx(columns["abv_lgc"][i], abs=0.0005)
        assert abv_balling(og, fg) == pytest.approx(columns["ABV"][i], abs=0.0135)
        assert plato_from_sg(og) == pytest.approx(columns["OE"][i], abs=0.0270)
        assert plato_from_sg(fg) == pytest.approx(columns["AE"][i], abs=0.0075)
        assert 100.0 * rdf_beer6(columns["OE"][i], columns["RE"][i]) == pytest.approx(
            columns["RDF_asbc_beer6_pct"][i], abs=0.0065
        )
        beer = strength(og, fg)
        assert 100.0 * beer.apparent_attenuation == pytest.approx(columns["ADF_plato_pct"][i], abs=0.0055)
        # The classic quotient, which those examples use, finds too little real extract and so too much alcohol.
        assert -0.195 <= beer.abv_pct - columns["ABV"][i] <= -0.065


@given(st.floats(0.0, 15.0), st.floats(960.0, 1100.0))
def test_alcohol_by_weight_and_by_volume_turn_into_each_other(abw: float, density_kg_m3: float) -> None:
    abv = abv_from_abw(abw, density_kg_m3)
    assert abw_from_abv(abv, density_kg_m3) == pytest.approx(abw, abs=1e-12)
    assert abv_from_abw(abw + 0.01, density_kg_m3) > abv


@pytest.mark.no_cover
@given(st.floats(1.02, 1.12), st.floats(0.05, 0.95))
def test_real_attenuation_lies_below_apparent_and_real_extract_above(og: float, gone: float) -> None:
    beer = strength(og, 1.0 + (og - 1.0) * (1.0 - gone))
    assert 0.0 < beer.real_attenuation < beer.apparent_attenuation
    assert beer.apparent_extract_plato < beer.real_extract_plato < beer.original_extract_plato
    assert beer.abw_pct < beer.abv_pct
