from __future__ import annotations

import math
from collections.abc import Callable

import CoolProp.CoolProp as CoolProp
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
    sealed,
    water_density,
)
from lullwort.science.numerics import exponential, solve_increasing
from lullwort.science.water import water_vapour_pressure_atm
from lullwort.units import CO2_G_PER_VOLUME, FloatArray, Quantity

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


def _log_fugacity_per_atm(temp_c: float) -> float:
    # [Weiss1974], from memory: the second virial coefficient [cm³/mol] over RT.
    kelvin = temp_c + 273.15
    virial = -1636.75 + 12.0408 * kelvin - 3.27957e-2 * kelvin**2 + 3.16528e-5 * kelvin**3
    return virial / (82.05737 * kelvin)


def _headspace_mol_l_atm(temp_c: float) -> float:
    return 0.05 / (0.08205737 * (temp_c + 273.15))


def _ratio_to_solubility_at_1_atm(atm: float, temp_c: float, *, partial_molar_cm3: float = 0.0) -> float:
    """Partial pressure with fugacity at that pressure over the one, `atm`, with solubility at 1 atm."""
    solubility, headspace = co2_solubility_mol_l_atm(temp_c), _headspace_mol_l_atm(temp_c)
    slope = _log_fugacity_per_atm(temp_c) - partial_molar_cm3 / (82.05737 * (temp_c + 273.15))

    def too_much_gas(x: Quantity) -> Quantity:
        return x * (solubility * exponential(slope * (x - 1.0)) + headspace) - atm * (solubility + headspace)

    return float(solve_increasing(too_much_gas, 0.0, 2.0 * atm + 0.1, tolerance=1e-12)) / atm


def _partial_at_1_atm_solubility(points: float, temp_c: float) -> float:
    mol_l = sealed(points, temp_c, 0.86).volumes * CO2_G_PER_VOLUME / 44.0095
    return mol_l / (co2_solubility_mol_l_atm(temp_c) + _headspace_mol_l_atm(temp_c))


def test_gas_in_a_sealed_bottle_agrees_with_that_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, bottle_pressure.csv. Its °P are of gravities weighed in air: 0.14 % less gas at 20 points.
    table = published("bottle_pressure")
    points = table["residual_points_0.001SG"]
    assert np.abs(co2_g_l_from_points(points) - table["CO2_made_g_per_L"]).max() <= 0.027
    ours = [sealed(p, t, 0.86).volumes for p, t in zip(points.tolist(), table["t_C"].tolist(), strict=True)]
    assert np.abs(ours - table["total_volumes_with_0.86_start"]).max() <= 0.0145


def test_pressure_in_a_sealed_bottle_is_that_computed_elsewhere_and_the_fugacity_it_leaves_out(
    published: Published,
) -> None:
    # SOURCES.md, bottle_pressure.csv, computed with solubility at 1 atm; the columns have two decimals.
    table = published("bottle_pressure")
    for i, (points, temp_c) in enumerate(zip(table["residual_points_0.001SG"], table["t_C"], strict=True)):
        partial = float(table["pCO2_atm"][i])
        fugacity_bar = 1.01325 * partial * (_ratio_to_solubility_at_1_atm(partial, float(temp_c)) - 1.0)
        bottle = sealed(float(points), float(temp_c), 0.86)
        with_air = sealed(float(points), float(temp_c), 0.86, air_in_headspace=True)
        without = table["gauge_bar_headspace_no_air"][i]
        trapped = table["gauge_bar_headspace_air_trapped_at_1atm"][i]
        assert bottle.gauge_bar == pytest.approx(without + fugacity_bar, abs=0.0145)
        assert with_air.gauge_bar == pytest.approx(trapped + fugacity_bar, abs=0.0145)
        assert with_air.volumes == bottle.volumes


@pytest.mark.parametrize(("temp_c", "per_cent_at_10_points"), [(5.0, 1.85), (20.0, 2.87), (25.0, 3.16), (30.0, 3.34)])
def test_pressure_is_above_that_with_solubility_at_1_atm_and_the_more_so_the_higher(
    published: Published, temp_c: float, per_cent_at_10_points: float
) -> None:
    # SOURCES.md, bottle_pressure.csv, whose last digit is worth 0.005 bar: never lower than that allows.
    table = published("bottle_pressure")
    rows = table["t_C"] == temp_c
    points = table["residual_points_0.001SG"][rows]
    ours = np.array([sealed(p, temp_c, 0.86).gauge_bar for p in points.tolist()])
    above = ours - table["gauge_bar_headspace_no_air"][rows]
    assert above.min() >= -0.005
    from_3_points = above[points >= 3.0]
    assert len(from_3_points) == 9
    assert np.all(np.diff(from_3_points) > 0.0)
    share = 100.0 * above / (1.01325 * table["pCO2_atm"][rows])
    assert share[points == 10.0][0] == pytest.approx(per_cent_at_10_points, abs=0.02)


def test_a_point_left_makes_half_a_volume() -> None:
    # Common practice, no source: one point is about 0.5 volumes, ours 0.49; one °P about 2, ours 1.94.
    volumes = co2_g_l_from_points(1.0) / CO2_G_PER_VOLUME
    assert volumes == pytest.approx(0.491, abs=0.001)
    assert volumes / 0.2535 == pytest.approx(1.94, abs=0.02)


@pytest.mark.parametrize("temp_c", [0.0, 5.0, 20.0, 30.0, 40.0])
@pytest.mark.parametrize("points", [0.0, 2.0, 10.0, 18.0, 100.0])
def test_all_gas_in_a_sealed_bottle_is_dissolved_at_its_own_fugacity_or_in_the_headspace(
    points: float, temp_c: float
) -> None:
    # [Weiss1974], digits from memory and written out again: K0, times pressure, times the fugacity coefficient,
    # which beyond 20 atm stays; the virial coefficient alone would leave 100 points without an answer.
    bottle = sealed(points, temp_c, 0.86)
    atm = bottle.gauge_bar / 1.01325 + 1.0 - water_vapour_pressure_atm(temp_c)
    kelvin = temp_c + 273.15
    k0 = math.exp(-58.0931 + 90.5069 * 100.0 / kelvin + 22.2940 * math.log(kelvin / 100.0))
    dissolved = k0 * atm * math.exp(_log_fugacity_per_atm(temp_c) * min(atm, 20.0))
    mol_l = dissolved + _headspace_mol_l_atm(temp_c) * atm
    assert mol_l * 44.0095 / CO2_G_PER_VOLUME == pytest.approx(bottle.volumes, rel=1e-9)


@pytest.mark.parametrize(
    ("points", "per_cent", "poynting_per_cent"), [(2.0, 0.522, 0.132), (5.0, 1.361, 0.355), (10.0, 2.797, 0.748)]
)
def test_how_much_fugacity_adds_to_the_pressure_and_how_much_the_poynting_term_would(
    points: float, per_cent: float, poynting_per_cent: float
) -> None:
    # Snapshot of our own at 20 °C, per cent of the partial pressure with solubility at 1 atm. The Poynting term
    # with 32.3 cm³/mol for dissolved gas [Weiss1974], from memory, is what `sealed` says it leaves out.
    at_1_atm = _partial_at_1_atm_solubility(points, 20.0)
    partial = sealed(points, 20.0, 0.86).gauge_bar / 1.01325 + 1.0 - water_vapour_pressure_atm(20.0)
    assert 100.0 * (partial / at_1_atm - 1.0) == pytest.approx(per_cent, abs=0.002)
    poynting = _ratio_to_solubility_at_1_atm(at_1_atm, 20.0, partial_molar_cm3=32.3)
    assert 100.0 * (poynting - partial / at_1_atm) == pytest.approx(poynting_per_cent, abs=0.002)


def test_below_1_atm_the_same_gas_presses_a_little_less() -> None:
    # The coefficient is 1 at no pressure, so that at 0.6 atm and 5 °C gas dissolves better than at 1 atm.
    partial = sealed(0.0, 5.0, 0.86).gauge_bar / 1.01325 + 1.0 - water_vapour_pressure_atm(5.0)
    assert 100.0 * (partial / _partial_at_1_atm_solubility(0.0, 5.0) - 1.0) == pytest.approx(-0.252, abs=0.002)


def test_the_gas_at_rest_is_assumed_where_no_start_is_given() -> None:
    assert sealed(3.0, 18.0) == sealed(3.0, 18.0, residual_volumes(18.0))


@given(st.floats(0.0, 29.0), st.floats(0.0, 39.0), st.floats(0.0, 5.0))
def test_pressure_rises_with_points_start_and_warmth(points: float, temp_c: float, start: float) -> None:
    bottle = sealed(points, temp_c, start)
    assert sealed(points + 0.1, temp_c, start).gauge_bar > bottle.gauge_bar
    assert sealed(points, temp_c + 0.1, start).gauge_bar > bottle.gauge_bar
    assert sealed(points, temp_c, start + 0.1).gauge_bar > bottle.gauge_bar


@pytest.mark.parametrize("temp_c", [-0.01, 40.01])
def test_solubility_refuses_to_extrapolate(temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match="Weiss1974"):
        co2_solubility_mol_l_atm(temp_c)
    with pytest.raises(OutOfRangeError):
        sealed(1.0, temp_c, 0.9)


@pytest.mark.parametrize(
    ("points", "final_gravity", "start"),
    [
        (-0.1, 1.01, 0.9),
        (100.1, 1.01, 0.9),
        (1.0, 0.974, 0.9),
        (1.0, 1.061, 0.9),
        (1.0, 1.01, -0.1),
        (1.0, 1.01, 10.1),
    ],
)
def test_a_bottle_beyond_the_range_is_refused(points: float, final_gravity: float, start: float) -> None:
    with pytest.raises(OutOfRangeError):
        sealed(points, 20.0, start, final_gravity=final_gravity)


def test_both_ends_answer_and_nan_stays() -> None:
    out = co2_solubility_mol_l_atm(np.array([0.0, 40.0, np.nan]))
    assert np.isfinite(out[:2]).all()
    assert np.isnan(out[2])
    assert np.isnan(co2_g_l_from_points(np.array([np.nan, 1.0]))[0])
    assert sealed(100.0, 40.0, 10.0, final_gravity=1.06).gauge_bar > 0.0
    assert sealed(0.0, 0.0, 0.0, final_gravity=0.975).volumes == 0.0


def test_a_volume_is_the_real_gas_at_0_c_and_1_atm() -> None:
    # [SpanWagner1996], by the library CoolProp. The ideal gas would be 1.9635 g/L.
    assert CoolProp.PropsSI("D", "T", 273.15, "P", 101325.0, "CO2") == pytest.approx(CO2_G_PER_VOLUME, abs=0.0002)
    assert pytest.approx(1.9635, abs=0.0001) == 44.0095 / 22.41397  # molar volume at 0 °C and 1 atm, CODATA, memory


@pytest.mark.parametrize(("atm", "off"), [(1.0, 0.0001), (2.0, 0.0002), (5.0, 0.0006), (10.0, 0.0022), (20.0, 0.009)])
def test_fugacity_agrees_with_the_equation_of_state(atm: float, off: float) -> None:
    # [SpanWagner1996], by the library CoolProp, 0 to 40 °C, against the virial coefficient of [Weiss1974].
    gas = CoolProp.AbstractState("HEOS", "CO2")
    for temp_c in (0.0, 10.0, 20.0, 30.0, 40.0):
        gas.update(CoolProp.PT_INPUTS, atm * 101325.0, temp_c + 273.15)
        ours = math.exp(_log_fugacity_per_atm(temp_c) * atm)
        assert ours == pytest.approx(gas.fugacity_coefficient(0), rel=off)


@given(st.floats(0.0, 39.0))
def test_warmer_beer_keeps_less(temp_c: float) -> None:
    assert 0.0 < residual_volumes(temp_c + 0.5) < residual_volumes(temp_c)
