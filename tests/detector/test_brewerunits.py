from __future__ import annotations

import itertools
import re
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector import ShownGravity, Units
from lullwort.units import (
    Co2Unit,
    PressureUnit,
    VolumeUnit,
    co2_g_l_from_volumes,
    to_bar,
    to_celsius,
    to_grams,
    to_litres,
)

GRAVITIES: tuple[ShownGravity, ...] = ("sg", "plato", "points")
TEMPERATURES: tuple[Literal["C", "F"], ...] = ("C", "F")
VOLUMES: tuple[VolumeUnit, ...] = ("L", "us gal", "imp gal")
CARBONATIONS: tuple[Co2Unit, ...] = ("volumes", "g/L")
PRESSURES: tuple[PressureUnit, ...] = ("bar", "psi", "kPa")
WEIGHTS: tuple[Literal["g", "oz"], ...] = ("g", "oz")


@pytest.mark.parametrize("gravity", GRAVITIES)
@given(st.floats(-20.0, 200.0))
def test_the_marks_differ_in_nothing_else(gravity: ShownGravity, value: float) -> None:
    point, comma = Units(gravity), Units(gravity, decimal="comma")
    for a, b in (
        (point.level(value), comma.level(value)),
        (point.difference(value), comma.difference(value)),
        (point.temp(value), comma.temp(value)),
        (point.amount(value), comma.amount(value)),
        (point.short(value), comma.short(value)),
        (point.serving(value), comma.serving(value)),
        (point.co2(value), comma.co2(value)),
        (point.gauge(value), comma.gauge(value)),
        (point.weight(value), comma.weight(value)),
        (point.mass(value), comma.mass(value)),
    ):
        assert "." not in b
        assert b.replace(",", ".") == a


@given(st.floats(-1e7, 1e7), st.integers(0, 4))
def test_a_number_is_never_grouped_by_thousands_nor_minus_zero(value: float, places: int) -> None:
    shown = Units(decimal="comma").number(value, places)
    assert re.fullmatch(rf"-?[0-9]+{f',[0-9]{{{places}}}' if places else ''}", shown)
    assert not re.fullmatch(r"-0(,0*)?", shown)


@pytest.mark.parametrize(
    ("units", "says"),
    [
        # 12 °P is 1.0483 in every sugar table; 1 °F is 5/9 K; the gallons are exact by definition
        (Units(), ("1.0483", "0.25 points", "20.0 °C", "19.0 L")),
        (Units("points", "F", volume="us gal"), ("48.3 points", "0.25 points", "68.0 °F", "5.0 US gal")),
        (Units("plato", "F", volume="imp gal", decimal="comma"), ("12,00 °P", "0,06 °P", "68,0 °F", "4,2 imp gal")),
        (Units("points", decimal="comma"), ("48,3 points", "0,25 points", "20,0 °C", "19,0 L")),
    ],
)
def test_each_quantity_in_each_unit(units: Units, says: tuple[str, ...]) -> None:
    assert (units.level(48.32), units.difference(0.25), units.temp(20.0), units.amount(19.0)) == says


def test_fewer_places_are_fewer_in_each_unit() -> None:
    shown = [Units(gravity).level(12.34, 3) for gravity in GRAVITIES]
    assert shown == ["1.012", "3.2 °P", "12 points"]


@given(st.floats(-5.0, 45.0), st.floats(0.1, 1000.0))
def test_what_is_shown_is_what_it_was_within_the_last_digit(temp_c: float, litres: float) -> None:
    for temperature, volume in itertools.product(TEMPERATURES, VOLUMES):
        units = Units(temperature=temperature, volume=volume, decimal="comma")
        number = float(units.temp(temp_c).split()[0].replace(",", "."))
        assert to_celsius(number, temperature) == pytest.approx(temp_c, abs=0.0501)
        number = float(units.amount(litres, 3).split()[0].replace(",", "."))
        assert to_litres(number, volume) == pytest.approx(litres, abs=0.000501 * to_litres(1.0, volume))


def _number(shown: str) -> float:
    return float(shown.split()[0].replace(",", "."))


@given(st.floats(0.0, 14.0), st.floats(0.0, 20.0), st.floats(0.0, 5000.0))
def test_gas_pressure_and_weight_are_shown_as_they_were_within_the_last_digit(g_l: float, bar: float, g: float) -> None:
    for carbonation, pressure, weight in itertools.product(CARBONATIONS, PRESSURES, WEIGHTS):
        units = Units(carbonation=carbonation, pressure=pressure, weight_unit=weight, decimal="comma")
        gas = _number(units.co2(g_l))
        assert (co2_g_l_from_volumes(gas) if carbonation == "volumes" else gas) == pytest.approx(g_l, abs=0.0989)
        assert units.co2(g_l).endswith(carbonation)
        last = to_bar(0.0501 if pressure == "bar" else 0.501, pressure)
        assert to_bar(_number(units.gauge(bar)), pressure) == pytest.approx(bar, abs=last)
        assert units.gauge(bar).endswith(pressure)
        assert to_grams(_number(units.weight(g)), weight) == pytest.approx(g, abs=0.501 if weight == "g" else 0.143)


@given(st.floats(0.01, 1e5), st.sampled_from(WEIGHTS))
def test_a_mass_keeps_four_digits_and_goes_over_to_the_larger_unit(g: float, weight: Literal["g", "oz"]) -> None:
    number, unit = Units(weight_unit=weight).mass(g).split()
    grams = {"g": 1.0, "kg": 1000.0, "oz": to_grams(1.0, "oz"), "lb": to_grams(1.0, "lb")}
    assert float(number) * grams[unit] == pytest.approx(g, rel=0.00051)
    assert (unit in ("kg", "lb")) == (g >= grams["kg" if weight == "g" else "lb"])


def test_bottles_are_told_as_their_labels_have_them() -> None:
    # 12 fl oz is printed as 355 mL, a pint bottle of 16 oz as 473 mL: common practice, no source.
    us = Units(volume="us gal")
    for litres, metric, american in (
        (0.33, "330 mL", "11.2 fl oz"), (0.354882, "355 mL", "12 fl oz"), (0.473176, "473 mL", "16 fl oz"),
        (0.65, "650 mL", "22 fl oz"),
    ):  # fmt: skip
        assert (Units().serving(litres), us.serving(litres)) == (metric, american)
    assert Units(volume="imp gal").serving(0.568) == "568 mL"
    assert us.serving(18.927) == "5.0 US gal"
