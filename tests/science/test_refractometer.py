"""A refractometer: handbooks for its two solutes, physics for their mixture, and a published formula beside it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws._iapws import _Refractive

from lullwort.errors import OutOfRangeError
from lullwort.science import (
    ethanol_refraction,
    ethanol_water_density,
    plato_from_sg,
    refractometer_gravity,
    refractometer_gravity_sd,
    refractometer_shows,
    sucrose_density,
    sucrose_refraction,
)

WATER = 1.33299  # at 20 °C and 589 nm, against air


def lorentz_lorenz(index: float) -> float:
    return (index**2 - 1.0) / (index**2 + 2.0)


def test_water_has_the_index_of_the_international_formulation() -> None:
    # iapws, release R9-97, against vacuum; air at 20 °C has 1.00027 (memory).
    assert _Refractive(998.207, 293.15, 0.5893) / 1.00027 == pytest.approx(WATER, abs=0.00001)


# [Icumsa1974] index at 20 °C and 589 nm by mass fraction of sucrose in per cent; memory.
SUCROSE = [(5, 1.34026), (10, 1.34782), (15, 1.35568), (20, 1.36384), (25, 1.37233), (30, 1.38115)]


@pytest.mark.parametrize(("percent", "index"), SUCROSE)
def test_sucrose_bends_light_as_the_sugar_tables_say(percent: float, index: float) -> None:
    assert WATER + sucrose_refraction(percent / 100.0) == pytest.approx(index, abs=0.000004)


@pytest.mark.parametrize(("percent", "index"), SUCROSE)
def test_the_sugar_table_goes_with_the_density_of_its_solutions(percent: float, index: float) -> None:
    # Lorentz and Lorenz: each solute adds its own refraction a gram. By the atoms of sucrose that is 70.35 / 342.3
    # cm³/g (atomic refractions of Eisenlohr, memory: C 2.418, H 1.100, O of hydroxyl 1.525, of ether 1.643); 0.6 %.
    w = percent / 100.0
    of_water = lorentz_lorenz(WATER) / 0.998207
    of_sucrose = (lorentz_lorenz(index) / (sucrose_density(w, 20.0) / 1000.0) - (1.0 - w) * of_water) / w
    assert of_sucrose == pytest.approx(70.35 / 342.3, rel=0.006)


# [CRC] index at 20 °C by mass fraction of ethanol in per cent, four decimals; memory.
ETHANOL = [(1, 1.3336), (2, 1.3342), (3, 1.3348), (4, 1.3354), (5, 1.3360), (6, 1.3367), (8, 1.3381), (10, 1.3395),
           (12, 1.3410), (14, 1.3425), (16, 1.3440)]  # fmt: skip


@pytest.mark.parametrize(("percent", "index"), ETHANOL)
def test_ethanol_bends_light_as_handbooks_say(percent: float, index: float) -> None:
    # Half the last digit, and 0.00003 for a parabola through eleven rounded values.
    assert WATER + ethanol_refraction(percent / 100.0) == pytest.approx(index, abs=0.00008)


@pytest.mark.parametrize("percent", [4, 8, 12, 16])
def test_what_ethanol_adds_is_near_the_mixing_rule(percent: float) -> None:
    # Lorentz and Lorenz with pure ethanol of 1.3616 at 20 °C (Rheims and others 1997, as a table of optical constants
    # gives it) and OimlR22's densities. The rule is known to err high for alcohols in water: here by 7 to 10 %.
    a = percent / 100.0
    specific = (1.0 - a) * lorentz_lorenz(WATER) / 0.998207 + a * lorentz_lorenz(1.3616) / 0.78924
    mixed = specific * ethanol_water_density(a, 20.0) / 1000.0
    by_rule = math.sqrt((1.0 + 2.0 * mixed) / (1.0 - mixed)) - WATER
    assert 1.06 < by_rule / ethanol_refraction(a) < 1.11


@pytest.mark.parametrize("attenuation", [0.6, 0.75, 0.85])
@pytest.mark.parametrize(("original", "below"), [(1.030, 0.5), (1.050, 1.7), (1.070, 2.6), (1.100, 3.2)])
def test_a_published_formula_reads_up_to_three_points_lower(original: float, below: float, attenuation: float) -> None:
    # [Bonham2001], a regression in °Bx divided by the wort factor; memory. It is known to read low in strong beer.
    present = original - attenuation * (original - 1.0)
    was, now = plato_from_sg(original), refractometer_shows(original, present, wort_factor=1.0)
    published = (
        1.001843 - 0.002318474 * was - 0.000007775 * was**2 - 0.000000034 * was**3
        + 0.00574 * now + 0.00003344 * now**2 + 0.000000086 * now**3
    )  # fmt: skip
    assert 0.0 < 1000.0 * (present - published) < below
    _, sd = refractometer_gravity_sd(original, now, wort_factor=1.0, original_sd=0.5)
    assert 1000.0 * (present - published) < 2.4 * sd


def test_unfermented_wort_shows_its_extract_times_the_factor() -> None:
    # Two equations for water, 0.004 kg/m³ apart, are worth 0.00005 °P.
    assert refractometer_shows(1.050, 1.050, wort_factor=1.04) == pytest.approx(1.04 * plato_from_sg(1.050), abs=1e-4)
    assert refractometer_gravity(None, 1.04 * plato_from_sg(1.050), wort_factor=1.04) == pytest.approx(1.050, abs=1e-8)


def test_alcohol_would_pass_for_sugar() -> None:
    # The point of it all: read as if it were wort, a finished beer of 1.050 would seem to have stuck at 1.025.
    shown = refractometer_shows(1.050, 1.0120, wort_factor=1.04)
    assert 1.024 < refractometer_gravity(None, shown, wort_factor=1.04) < 1.027


@pytest.mark.no_cover
@given(original=st.floats(1.02, 1.12), share=st.floats(0.0, 1.0), factor=st.floats(1.0, 1.06))
def test_what_a_refractometer_shows_of_a_beer_gives_its_gravity_back(
    original: float, share: float, factor: float
) -> None:
    present = original - share * (original - 0.995)
    shown = refractometer_shows(original, present, wort_factor=factor)
    assert refractometer_gravity(original, shown, wort_factor=factor) == pytest.approx(present, abs=1e-7)
    assert refractometer_gravity(original, shown + 0.1, wort_factor=factor) > present


@pytest.mark.no_cover
@given(original=st.floats(1.02, 1.115), brix=st.floats(2.0, 14.0))
def test_stronger_wort_with_the_same_reading_has_gone_further(original: float, brix: float) -> None:
    # More of what bends the light is alcohol then. Above its own wort's reading there is none.
    if brix < refractometer_shows(original, original, wort_factor=1.04):
        weaker = refractometer_gravity(original, brix, wort_factor=1.04)
        assert refractometer_gravity(original + 0.005, brix, wort_factor=1.04) < weaker


def test_uncertainty_grows_with_strength_and_with_what_goes_in() -> None:
    slope, sd = refractometer_gravity_sd(1.050, 6.67, wort_factor=1.04)
    assert sd < refractometer_gravity_sd(1.050, 6.67, wort_factor=1.04, original_sd=3.0)[1]
    assert sd < refractometer_gravity_sd(1.100, 13.0, wort_factor=1.04)[1]
    by_hand = refractometer_gravity(1.050, 6.77, wort_factor=1.04) - refractometer_gravity(
        1.050, 6.67, wort_factor=1.04
    )
    assert slope == pytest.approx(1000.0 * by_hand / 0.1, rel=0.02)


@pytest.mark.parametrize(
    ("original", "brix", "factor"),
    [
        (1.121, 6.0, 1.04),
        (0.999, 6.0, 1.04),
        (1.05, -2.1, 1.04),
        (1.05, 30.1, 1.04),
        (1.05, 6.0, 0.94),
        (1.05, 6.0, 1.11),
    ],
)
def test_a_refractometer_refuses_to_extrapolate(original: float, brix: float, factor: float) -> None:
    with pytest.raises(OutOfRangeError):
        refractometer_gravity(original, brix, wort_factor=factor)


def test_solutes_refuse_to_extrapolate() -> None:
    with pytest.raises(OutOfRangeError):
        sucrose_refraction(0.36)
    with pytest.raises(OutOfRangeError):
        ethanol_refraction(0.17)
