from __future__ import annotations

import itertools
import re
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector import ShownGravity, Units
from lullwort.units import VolumeUnit, to_celsius, to_litres

GRAVITIES: tuple[ShownGravity, ...] = ("sg", "plato", "points")
TEMPERATURES: tuple[Literal["C", "F"], ...] = ("C", "F")
VOLUMES: tuple[VolumeUnit, ...] = ("L", "us gal", "imp gal")


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
