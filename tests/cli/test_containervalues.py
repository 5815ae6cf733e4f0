from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.cli.containervalues import container_limit_bar, container_name
from lullwort.errors import UsageError
from lullwort.records import CONTAINER_NAMES
from lullwort.science import sealed
from lullwort.settings import Settings
from lullwort.units import PressureUnit, from_bar

IN_BAR = Settings(Path("b"), "sg", "C", None)
IN_PSI = Settings(Path("b"), "sg", "F", None, pressure="psi")
LIMIT = "--container-limit"


def test_a_container_is_called_by_its_name_however_it_is_written() -> None:
    for name in CONTAINER_NAMES:
        assert container_name(name, "--container", IN_BAR) == name
    assert container_name(" Brown glass ", "--container", IN_BAR) == "brown-glass"
    assert container_name("swing_top", "--container", IN_BAR) == "reused-glass"
    assert container_name("PET", "--container", IN_BAR) == "plastic"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("brown-glas", "brown-glass"),
        ("champaign", "sparkling-wine"),
        ("swingtop", "reused-glass"),
        ("beer bottle", "brown-glass"),
        ("kegs", "keg"),
        ("growlers", "growler"),
    ],
)
def test_an_unknown_one_is_answered_with_the_nearest(typed: str, meant: str) -> None:
    with pytest.raises(UsageError, match=f"which is not known; did you mean {meant}") as seen:
        container_name(typed, "--container", IN_BAR)
    assert repr(typed) in str(seen.value)


def test_one_that_is_like_none_is_answered_with_all() -> None:
    with pytest.raises(UsageError, match=r"keg, growler$"):
        container_name("xyzzy", "--container", IN_BAR)


@pytest.mark.parametrize("text", ["4.5volumes", "4,5 vol", "4.5v", " 4.5 Volumes "])
def test_a_limit_in_volumes_is_what_they_press_at_20_degrees_beside_the_air(text: str) -> None:
    bar = sealed(0.0, 20.0, 4.5, air_in_headspace=True).gauge_bar
    assert container_limit_bar(text, LIMIT, IN_BAR) == pytest.approx(bar, abs=1e-4)
    # However pressures are set: volumes are volumes.
    assert container_limit_bar(text, LIMIT, IN_PSI) == pytest.approx(bar, abs=1e-4)


def test_a_limit_in_grams_a_litre_is_one_in_volumes() -> None:
    # A volume is 1.977 g/L here.
    in_volumes = container_limit_bar("4.5volumes", LIMIT, IN_BAR)
    assert container_limit_bar("8.8965g/L", LIMIT, IN_BAR) == pytest.approx(in_volumes, abs=1e-3)


def test_a_pressure_has_its_unit_or_that_of_the_settings() -> None:
    assert container_limit_bar("3.5", LIMIT, IN_BAR) == 3.5
    assert container_limit_bar("50", LIMIT, IN_PSI) == pytest.approx(3.447, abs=0.001)
    assert container_limit_bar("350kPa", LIMIT, IN_PSI) == pytest.approx(3.5)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("65", "was 65psi meant"),
        ("600", "was 600kPa meant"),
        ("4.5kg", "3.5bar, 50psi or 4.5volumes"),
        ("-2bar", "3.5bar, 50psi or 4.5volumes"),
        ("4.5 litres", "3.5bar, 50psi or 4.5volumes"),
        ("25bar", "25psi was probably meant"),
        ("9volumes", "9g/L was probably meant"),
    ],
)
def test_a_limit_that_cannot_be_one_is_answered_with_what_was_meant(text: str, says: str) -> None:
    with pytest.raises(UsageError, match=says) as seen:
        container_limit_bar(text, LIMIT, IN_BAR)
    assert repr(text) in str(seen.value)


@given(st.floats(0.5, 19.9), st.sampled_from(["bar", "psi", "kPa"]))
def test_a_pressure_comes_back_from_any_unit(bar: float, unit: PressureUnit) -> None:
    text = f"{from_bar(bar, unit):.6f}{unit}"
    assert container_limit_bar(text, LIMIT, IN_BAR) == pytest.approx(bar, rel=1e-5)
