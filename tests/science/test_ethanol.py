from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import (
    ETHANOL_DENSITY_20C_KG_M3,
    abv_from_abw,
    abw_from_abv,
    ethanol_water_density,
    water_density,
)
from lullwort.science.numerics import solve_increasing
from lullwort.units import FloatArray, to_celsius

Published = Callable[[str], dict[str, FloatArray]]


def test_density_at_20_c_agrees_with_the_same_equation_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, ethanol_20c.csv: half of the last digit (abw has four decimals: 0.00006 % by volume).
    table = published("ethanol_20c")
    density = ethanol_water_density(table["abw_pct"] / 100.0, 20.0)
    assert np.abs(density - table["density_20C_kg_m3"]).max() <= 0.0005
    assert np.abs(abv_from_abw(table["abw_pct"], density) - table["abv_20C_pct"]).max() <= 0.00007


def test_density_over_temperature_agrees_with_the_same_equation_computed_elsewhere(
    published: Published,
) -> None:
    table = published("ethanol_by_temperature")  # SOURCES.md
    temps = table.pop("t_C")
    assert len(table) == 10
    for column, density in table.items():
        fraction = float(column.removeprefix("abw").removesuffix("pct")) / 100.0
        ours = ethanol_water_density(np.full_like(temps, fraction), temps)
        assert np.abs(ours - density).max() <= 0.0005, column


def test_strength_and_gravity_agree_with_a_pharmacopoeia(published: Published) -> None:
    # [USP29], read: alcohol by volume at 60 °F to alcohol by weight and SG 60/60 in air, printed to 0.01 and
    # 0.0001; so 0.005 and 0.00005 is what rounding leaves.
    table = published("usp_alcoholometric")
    at_60_f = to_celsius(60.0, "F")
    pure, water = ethanol_water_density(1.0, at_60_f), ethanol_water_density(0.0, at_60_f)
    abv = table["abv_at_60F_pct"]
    fraction = solve_increasing(
        lambda p: 100.0 * p * ethanol_water_density(p, at_60_f) / pure - abv,
        0.0 * abv,
        0.0 * abv + 0.2,
        tolerance=1e-9,
    )
    assert np.abs(100.0 * fraction - table["usp_abw_pct"]).max() <= 0.005
    in_air = (ethanol_water_density(fraction, at_60_f) - 1.2) / (water - 1.2)
    assert np.abs(in_air - table["usp_sg_60F_60F_in_air"]).max() <= 0.00005


def test_density_is_roughly_that_of_coolprop() -> None:
    from CoolProp import CoolProp  # here, for it takes two seconds to load, in every process of the tests

    # CoolProp's incompressible mixture MEA is a coarse fit: 0.36 kg/m³ off over 0 to 40 °C, so this is only a
    # guard against a gross mistake.
    worst = 0.0
    for fraction in (0.0, 0.03, 0.06, 0.12):
        for temp_c in (0.5, 10.0, 20.0, 30.0, 40.0):
            theirs = CoolProp.PropsSI("D", "T", temp_c + 273.15, "P", 101325.0, f"INCOMP::MEA[{fraction}]")
            worst = max(worst, abs(ethanol_water_density(fraction, temp_c) - theirs))
    assert 0.1 < worst < 0.37


def test_ends_of_the_mixture_are_the_pure_liquids() -> None:
    # [OimlR22] gives 789.24 for pure ethanol at 20 °C; water by [Tanaka2001] within 0.0074 over 0 to 40 °C.
    assert ethanol_water_density(1.0, 20.0) == pytest.approx(ETHANOL_DENSITY_20C_KG_M3, abs=0.001)
    temps = np.linspace(0.0, 40.0, 41)
    assert np.abs(ethanol_water_density(0.0 * temps, temps) - water_density(temps)).max() <= 0.0074


@given(st.floats(0.0, 0.29), st.floats(0.0, 40.0))
def test_density_falls_with_strength(fraction: float, temp_c: float) -> None:
    assert ethanol_water_density(fraction + 0.001, temp_c) < ethanol_water_density(fraction, temp_c)


@given(st.floats(0.0, 20.0), st.floats(950.0, 1060.0))
def test_strength_comes_back(abw: float, density: float) -> None:
    assert abw_from_abv(abv_from_abw(abw, density), density) == pytest.approx(abw)


@pytest.mark.parametrize(("fraction", "temp_c"), [(-1e-6, 20.0), (1.000001, 20.0), (0.1, -20.1), (0.1, 40.1)])
def test_ethanol_density_refuses_to_extrapolate(fraction: float, temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match="OimlR22"):
        ethanol_water_density(fraction, temp_c)


def test_ethanol_density_holds_at_both_ends_and_passes_nan() -> None:
    out = ethanol_water_density(np.array([0.0, 1.0, np.nan]), np.array([-20.0, 40.0, 20.0]))
    assert np.isfinite(out[:2]).all()
    assert np.isnan(out[2])
