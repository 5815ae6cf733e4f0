from __future__ import annotations

import math
from collections.abc import Callable

import iapws
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import (
    co2_g_l_from_points,
    co2_solubility_mol_l_atm,
    residual_volumes,
    water_density,
)
from lullwort.science.carbonation import co2_log_fugacity_per_atm
from lullwort.units import CO2_G_PER_VOLUME, FloatArray

Published = Callable[[str], dict[str, FloatArray]]


def test_solubility_agrees_with_the_same_equation_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, co2_solubility.csv; coefficients from memory on both sides.
    table = published("co2_solubility")
    ours = co2_solubility_mol_l_atm(table["t_C"])
    assert np.abs(ours - table["weiss1974_mol_per_L_atm"]).max() <= 0.00001
    assert np.abs(44.0095 * ours - table["g_per_L_at_pCO2_1atm"]).max() <= 0.0007
    assert np.abs(44.0095 * ours / CO2_G_PER_VOLUME - table["volumes_at_pCO2_1atm"]).max() <= 0.0006
    at_rest = residual_volumes(table["t_C"])
    assert np.abs(at_rest - table["volumes_at_total_1atm_minus_water_vapour"]).max() <= 0.0005


def test_solubility_agrees_with_independent_equations(published: Published) -> None:
    # SOURCES.md: [Carroll1991] within 2.6 %; Bunsen's 1.713 volumes at 0 °C, from memory, 0.2 %.
    table = published("co2_solubility")
    ours = co2_solubility_mol_l_atm(table["t_C"])
    assert np.abs(table["carroll1991_mol_L_atm"] / ours - 1.0).max() <= 0.026
    bunsen = 44.0095 * co2_solubility_mol_l_atm(0.0) / CO2_G_PER_VOLUME
    assert bunsen == pytest.approx(1.713, rel=0.002)


def test_solubility_agrees_with_iapws_g7() -> None:
    # The library iapws, guideline IAPWS G7-04 (Henry's constant as mole fraction), valid from about 1 °C.
    ratios = []
    for temp_c in (2.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0):
        henry_mpa = iapws._iapws._Henry(temp_c + 273.15, "CO2", "H2O")
        water_mol_l = water_density(temp_c) / 18.01528
        ratios.append(0.101325 / henry_mpa * water_mol_l / co2_solubility_mol_l_atm(temp_c) - 1.0)
    assert min(ratios) == pytest.approx(-0.035, abs=0.001)
    assert max(np.abs(ratios[4:])) <= 0.006


def test_the_common_rule_for_residual_gas_is_within_0_063_volumes(published: Published) -> None:
    # Common practice, no source: the quadratic in °F, column 9 of co2_solubility.csv, against water
    # under 1 atm in all, 0 to 30 °C. Up to 20 °C it is within 0.028.
    table = published("co2_solubility")
    error = np.abs(table["common_quadratic_volumes_no_source"] - residual_volumes(table["t_C"]))
    assert error.max() == pytest.approx(0.063, abs=0.001)
    assert error[table["t_C"] <= 20.0].max() <= 0.028


def test_a_point_left_makes_half_a_volume() -> None:
    # Common practice, no source: one point is about 0.5 volumes, ours 0.49; one °P about 2, ours 1.94.
    volumes = co2_g_l_from_points(1.0) / CO2_G_PER_VOLUME
    assert volumes == pytest.approx(0.491, abs=0.001)
    assert volumes / 0.2535 == pytest.approx(1.94, abs=0.02)


@pytest.mark.parametrize("temp_c", [-0.01, 40.01])
def test_solubility_refuses_to_extrapolate(temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match="Weiss1974"):
        co2_solubility_mol_l_atm(temp_c)


@pytest.mark.parametrize(("points", "final_gravity"), [(-0.1, 1.01), (100.1, 1.01), (1.0, 0.974), (1.0, 1.061)])
def test_points_beyond_the_range_are_refused(points: float, final_gravity: float) -> None:
    with pytest.raises(OutOfRangeError):
        co2_g_l_from_points(points, final_gravity=final_gravity)


def test_both_ends_answer_and_nan_stays() -> None:
    out = co2_solubility_mol_l_atm(np.array([0.0, 40.0, np.nan]))
    assert np.isfinite(out[:2]).all()
    assert np.isnan(out[2])
    assert np.isnan(co2_g_l_from_points(np.array([np.nan, 1.0]))[0])


def test_a_volume_is_the_real_gas_at_0_c_and_1_atm() -> None:
    from CoolProp import CoolProp  # here, for it takes two seconds to load, in every process of the tests

    # [SpanWagner1996], by the library CoolProp. The ideal gas would be 1.9635 g/L.
    assert CoolProp.PropsSI("D", "T", 273.15, "P", 101325.0, "CO2") == pytest.approx(CO2_G_PER_VOLUME, abs=0.0002)
    assert pytest.approx(1.9635, abs=0.0001) == 44.0095 / 22.41397  # molar volume at 0 °C and 1 atm, CODATA, memory


@pytest.mark.parametrize(("atm", "off"), [(1.0, 0.0001), (2.0, 0.0002), (5.0, 0.0006), (10.0, 0.0022), (20.0, 0.009)])
def test_fugacity_agrees_with_the_equation_of_state(atm: float, off: float) -> None:
    from CoolProp import CoolProp  # here, for it takes two seconds to load, in every process of the tests

    # [SpanWagner1996], by the library CoolProp, 0 to 40 °C, against the virial coefficient of [Weiss1974].
    gas = CoolProp.AbstractState("HEOS", "CO2")
    for temp_c in (0.0, 10.0, 20.0, 30.0, 40.0):
        gas.update(CoolProp.PT_INPUTS, atm * 101325.0, temp_c + 273.15)
        ours = math.exp(co2_log_fugacity_per_atm(temp_c + 273.15) * atm)
        assert ours == pytest.approx(gas.fugacity_coefficient(0), rel=off)


@given(st.floats(0.0, 39.0))
def test_warmer_beer_keeps_less(temp_c: float) -> None:
    assert 0.0 < residual_volumes(temp_c + 0.5) < residual_volumes(temp_c)


@pytest.mark.parametrize("points", [0.0, 1.0, 12.5])
def test_where_no_yeast_grows_it_makes_a_ninth_more(points: float) -> None:
    # SOURCES.md, co2_from_sugar.csv: maltose 0.5143 g/g beside 0.4629 by [Balling1865].
    with_yeast, without = (co2_g_l_from_points(points, yeast_grows=grows) for grows in (True, False))
    assert without == pytest.approx(with_yeast * 0.5143 / 0.4629, rel=2e-4)
