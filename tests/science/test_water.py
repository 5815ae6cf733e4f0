from __future__ import annotations

import math
from collections.abc import Callable

import iapws
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import water_density, water_vapour_pressure_atm
from lullwort.units import FloatArray, to_celsius

Published = Callable[[str], dict[str, FloatArray]]


@pytest.mark.parametrize(
    ("column", "largest_kg_m3"),
    [
        ("tanaka2001_kg_m3", 0.00005),  # the same equation, evaluated elsewhere; its last digit
        ("iapws95_lib_kg_m3", 0.0013),
        ("coolprop_lib_kg_m3", 0.0013),
        ("kell1975_kg_m3", 0.0034),
        ("bettin_spieweck1990_kg_m3", 0.0039),
        ("oiml_r22_p0_kg_m3", 0.0074),
    ],
)
def test_water_density_agrees_with_other_equations(published: Published, column: str, largest_kg_m3: float) -> None:
    # SOURCES.md, water_density.csv. All below 0.008 kg/m³, which is 0.008 points.
    table = published("water_density")
    difference = np.abs(water_density(table["t_C"]) - table[column])
    assert difference.max() <= largest_kg_m3
    assert difference.max() > largest_kg_m3 / 2


def test_water_density_agrees_with_iapws_95() -> None:
    # The library iapws (IAPWS-95 itself), not through our table. [Tanaka2001] claims 0.0009 at k = 2.
    for temp_c in (0.5, 4.0, 15.56, 20.0, 30.0, 39.5):
        ours = water_density(temp_c)
        assert iapws.IAPWS95(T=temp_c + 273.15, P=0.101325).rho == pytest.approx(ours, abs=0.0013)


def test_water_density_agrees_with_coolprop() -> None:
    from CoolProp import CoolProp  # here, for it takes two seconds to load, in every process of the tests

    temps = np.linspace(0.5, 40.0, 80)
    theirs = [CoolProp.PropsSI("D", "T", t + 273.15, "P", 101325.0, "Water") for t in temps]
    assert np.abs(water_density(temps) - theirs).max() <= 0.0013


def test_water_at_60_f_is_denser_than_a_20_c_scale_expects() -> None:
    # Common practice, no source: plain water reads 1.000 at 60 °F. On a 60 °F scale that is its definition
    # (see test_hydrometer); on a 20 °C scale the same water stands 0.81 points higher.
    at_60_f = to_celsius(60.0, "F")
    assert 1000.0 * (water_density(at_60_f) / water_density(20.0) - 1.0) == pytest.approx(0.81, abs=0.01)


def test_water_is_densest_at_4_c() -> None:
    # Textbook: 999.97 kg/m³ at 3.98 °C.
    temps = np.linspace(0.0, 40.0, 4001)
    density = water_density(temps)
    assert temps[density.argmax()] == pytest.approx(3.98, abs=0.011)
    assert density.max() == pytest.approx(999.975, abs=0.001)


@given(st.floats(4.0, 39.9))
def test_water_density_falls_above_4_c(temp_c: float) -> None:
    assert water_density(temp_c + 0.1) < water_density(temp_c)


def test_vapour_pressure_agrees_with_two_libraries() -> None:
    from CoolProp import CoolProp  # here, for it takes two seconds to load, in every process of the tests

    # IAPWS-IF97 saturation line of iapws, and CoolProp (IAPWS-95), 0.1 to 40 °C.
    for temp_c in np.linspace(0.1, 40.0, 40):
        ours = water_vapour_pressure_atm(float(temp_c))
        kelvin = float(temp_c) + 273.15
        assert iapws.iapws97._PSat_T(kelvin) / 0.101325 == pytest.approx(ours, rel=1.0e-4)
        assert CoolProp.PropsSI("P", "T", kelvin, "Q", 0, "Water") / 101325 == pytest.approx(ours, rel=1.0e-4)


@pytest.mark.parametrize("function", [water_density, water_vapour_pressure_atm])
@pytest.mark.parametrize("temp_c", [-0.01, 40.01, -300.0, math.inf])
def test_water_formulas_refuse_to_extrapolate(function: Callable[[float], float], temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match="0 to 40 °C"):
        function(temp_c)


@pytest.mark.parametrize("function", [water_density, water_vapour_pressure_atm])
def test_water_formulas_hold_at_both_ends_and_pass_nan(
    function: Callable[[FloatArray], FloatArray],
) -> None:
    out = function(np.array([[0.0, 40.0, np.nan]]))
    assert out.shape == (1, 3)
    assert np.isfinite(out[0, :2]).all()
    assert np.isnan(out[0, 2])
