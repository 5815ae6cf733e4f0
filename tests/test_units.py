from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.units import (
    CO2_G_PER_VOLUME,
    MassUnit,
    PressureUnit,
    TemperatureUnit,
    VolumeUnit,
    co2_g_l_from_volumes,
    co2_volumes_from_g_l,
    from_bar,
    from_celsius,
    from_grams,
    from_litres,
    to_bar,
    to_celsius,
    to_grams,
    to_litres,
)

TEMPERATURE_UNITS: tuple[TemperatureUnit, ...] = get_args(TemperatureUnit)
VOLUME_UNITS: tuple[VolumeUnit, ...] = get_args(VolumeUnit)
PRESSURE_UNITS: tuple[PressureUnit, ...] = get_args(PressureUnit)
MASS_UNITS: tuple[MassUnit, ...] = get_args(MassUnit)


@pytest.mark.parametrize(
    ("value", "unit", "temp_c"), [(32.0, "F", 0.0), (68.0, "F", 20.0), (293.15, "K", 20.0), (4.0, "C", 4.0)]
)
def test_temperatures_are_those_that_define_the_scales(value: float, unit: TemperatureUnit, temp_c: float) -> None:
    assert to_celsius(value, unit) == pytest.approx(temp_c, abs=1e-12)


@given(st.floats(-40.0, 120.0), st.sampled_from(TEMPERATURE_UNITS))
def test_temperature_comes_back(temp_c: float, unit: TemperatureUnit) -> None:
    assert to_celsius(from_celsius(temp_c, unit), unit) == pytest.approx(temp_c, abs=1e-10)


@given(st.floats(0.0, 1e6), st.sampled_from(VOLUME_UNITS))
def test_volume_comes_back(volume_l: float, unit: VolumeUnit) -> None:
    assert to_litres(from_litres(volume_l, unit), unit) == pytest.approx(volume_l)


@given(st.floats(-1.0, 100.0), st.sampled_from(PRESSURE_UNITS))
def test_pressure_comes_back(pressure_bar: float, unit: PressureUnit) -> None:
    assert to_bar(from_bar(pressure_bar, unit), unit) == pytest.approx(pressure_bar)


@given(st.floats(0.0, 1e6), st.sampled_from(MASS_UNITS))
def test_mass_comes_back(mass_g: float, unit: MassUnit) -> None:
    assert to_grams(from_grams(mass_g, unit), unit) == pytest.approx(mass_g)


@given(st.floats(0.0, 30.0))
def test_carbon_dioxide_comes_back(g_l: float) -> None:
    assert co2_g_l_from_volumes(co2_volumes_from_g_l(g_l)) == pytest.approx(g_l)
    assert co2_volumes_from_g_l(g_l) <= g_l


def test_ounces_pounds_and_centilitres_are_those_of_a_kitchen() -> None:
    # The international pound is 0.45359237 kg by definition, of 16 ounces: from memory. An ounce is 28.35 g and
    # 33 cL is a bottle of 330 mL: common practice, no source.
    assert to_grams(1.0, "oz") == pytest.approx(28.35, abs=0.001)
    assert to_grams(16.0, "oz") == to_grams(1.0, "lb") == 453.59237
    assert to_grams(0.118, "kg") == pytest.approx(118.0)
    assert to_litres(33.0, "cL") == pytest.approx(0.33)


def test_gallons_and_psi_agree_with_the_trade() -> None:
    # Common practice, no source: 5 US gal = 18.9 L; 2.9 bar is 42 psi; an imperial gallon is 4.546 L.
    assert to_litres(5.0, "us gal") == pytest.approx(18.9, abs=0.05)
    assert to_litres(1.0, "imp gal") == pytest.approx(4.546, abs=0.0005)
    assert from_bar(2.9, "psi") == pytest.approx(42.0, abs=0.1)
    # One standard atmosphere, 101.325 kPa, is 14.696 psi: from memory.
    assert from_bar(to_bar(101.325, "kPa"), "psi") == pytest.approx(14.696, abs=0.0005)


def test_a_volume_of_carbon_dioxide_is_the_real_gas() -> None:
    from CoolProp import CoolProp  # here, for it takes two seconds to load, in every process of the tests

    # CoolProp 8 (reference equation of state of CO2) at 0 °C, 1 atm: 1.9768 g/L.
    density = CoolProp.PropsSI("D", "T", 273.15, "P", 101325.0, "CO2")
    assert pytest.approx(density, abs=0.0003) == CO2_G_PER_VOLUME
    assert co2_g_l_from_volumes(2.5) == pytest.approx(4.94, abs=0.005)
    assert co2_volumes_from_g_l(co2_g_l_from_volumes(2.5)) == pytest.approx(2.5)


def test_arrays_keep_their_shape_and_their_nan() -> None:
    temps = np.array([[32.0, np.nan], [212.0, 68.0]])
    out = to_celsius(temps, "F")
    np.testing.assert_allclose(out, [[0.0, np.nan], [100.0, 20.0]])
    np.testing.assert_allclose(to_litres(temps, "hL"), temps * 100.0)
