"""What a brew holds adds up by mass, whatever is done to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import INGREDIENTS, Brew, brew, plato_from_sg, strength, water_kg
from lullwort.science.beer import driest_gravity, extract_and_alcohol, gravity_of_extract
from lullwort.units import FloatArray

Published = Callable[[str], dict[str, FloatArray]]

gravities = st.tuples(st.floats(1.02, 1.12), st.floats(0.05, 0.95)).map(
    lambda of: (of[0], of[0] - of[1] * (of[0] - driest_gravity(of[0])))
)
"""Original gravity and one between it and the driest beer of that wort."""
litres = st.floats(0.1, 200.0)


@pytest.mark.no_cover
@settings(deadline=None)
@given(gravities, st.floats(0.0, 40.0))
def test_gravity_comes_back_from_extract(of: tuple[float, float], reference_c: float) -> None:
    original, present = of
    extract, _ = extract_and_alcohol(original, present, reference_c)
    wort = plato_from_sg(original, reference_c) / 100.0
    if extract >= 0.0:
        assert gravity_of_extract(wort, extract, reference_c) == pytest.approx(present, abs=2e-9)


@pytest.mark.parametrize(("original", "extract"), [(-0.001, 0.0), (0.501, 0.1), (0.1, -0.001), (0.1, 0.101)])
def test_extract_that_no_beer_has_is_refused(original: float, extract: float) -> None:
    with pytest.raises(OutOfRangeError):
        gravity_of_extract(original, extract)


@pytest.mark.no_cover
@settings(deadline=None)
@given(gravities, litres)
def test_a_brew_has_the_gravities_volume_and_strength_of_which_it_was_made(
    of: tuple[float, float], volume_l: float
) -> None:
    made = brew(*of, volume_l)
    assert made.original_gravity() == pytest.approx(of[0], abs=2e-8)
    assert made.present_gravity() == pytest.approx(of[1], abs=2e-8)
    assert made.volume_l == pytest.approx(volume_l, rel=1e-7)
    assert made.strength().abv_pct == pytest.approx(strength(*of).abv_pct, abs=1e-5)


@pytest.mark.no_cover
@settings(deadline=None)
@given(gravities, litres, gravities, litres)
def test_a_blend_keeps_every_mass_and_lies_between_its_parts(
    one: tuple[float, float], one_l: float, other: tuple[float, float], other_l: float
) -> None:
    parts = brew(*one, one_l), brew(*other, other_l)
    both = parts[0] + parts[1]
    for whole, *of in zip(astuple(both), *map(astuple, parts), strict=True):
        assert whole == pytest.approx(sum(of), rel=1e-12)
    assert both.wort_kg == pytest.approx(sum(part.wort_kg for part in parts), rel=1e-12)
    assert both == parts[1] + parts[0]
    # Mass fractions are means of the parts' own; density and volume are bent by what contracts.
    exact: list[tuple[Callable[[Brew], float], float]] = [
        (lambda b: b.original_extract, 1e-12),
        (lambda b: b.real_extract, 1e-12),
        (lambda b: b.alcohol_kg / b.mass_kg, 1e-12),
        (lambda b: b.original_gravity(), 1e-9),
        (lambda b: b.present_gravity(), 2e-5),
        (lambda b: b.strength().abv_pct, 0.02),
    ]
    for figure, within in exact:
        low, high = sorted(figure(part) for part in parts)
        assert low - within <= figure(both) <= high + within
    assert both.volume_l == pytest.approx(one_l + other_l, rel=0.003)


def test_mixing_alcohol_and_water_contracts_as_the_tables_say(published: Published) -> None:
    # [OimlR22], SOURCES.md, ethanol_20c.csv: density of each mixture, computed by others; the water of that table is
    # 0.006 kg/m³ off ours.
    table = published("ethanol_20c")
    rows = table["abw_pct"] <= 7.0
    for abw, density in zip(table["abw_pct"][rows].tolist(), table["density_20C_kg_m3"][rows].tolist(), strict=True):
        both = Brew(1.0) + Brew(1.0, 0.0, 2.0 * abw / 100.0)
        assert 1000.0 * both.mass_kg / both.volume_l == pytest.approx(density, abs=0.0065)


def test_sugar_in_water_makes_the_gravity_of_the_sugar_tables(published: Published) -> None:
    # [Bubnik1995], SOURCES.md, sucrose_20c.csv, computed by others: printed to 0.00001 and 0.001 kg/m³; the water of
    # that table is 0.004 kg/m³ off ours.
    table = published("sucrose_20c")
    for percent, gravity, density in zip(
        table["sucrose_mass_pct"].tolist(), table["sg_20_20_true"].tolist(), table["density_20C_kg_m3"].tolist(),
        strict=True,
    ):  # fmt: skip
        made = Brew(1.0 - percent / 100.0) + INGREDIENTS["sucrose"].of(percent / 100.0)
        assert made.present_gravity() == pytest.approx(gravity, abs=0.000006)
        assert 1000.0 * made.mass_kg / made.volume_l == pytest.approx(density, abs=0.0045)


def test_alcohol_and_extract_tell_the_wort_and_the_gravity_of_532_brews(published: Published) -> None:
    # [Cutaia2009] table III, read: alcohol and real extract in; original and apparent extract out. The column of the
    # same balance computed by others is met to its last digit, the brews themselves as well as it meets them.
    table = published("brew_means")
    for i in range(5):
        beer = Brew(100.0, float(table["RE_P"][i]), float(table["A_abw"][i]))
        wort = 100.0 * beer.original_extract
        assert wort == pytest.approx(table["OE_from_A_RE_balling"][i], abs=0.0005)
        assert wort == pytest.approx(table["OE_P"][i], abs=0.234)
        apparent = plato_from_sg(beer.present_gravity())
        # Computed by others with gravities in air, to two decimals.
        assert apparent == pytest.approx(table["AE_predicted_tabarie"][i], abs=0.0055)
        assert apparent == pytest.approx(table["AE_P"][i], abs=0.038)


@pytest.mark.no_cover
@settings(deadline=None)
@given(st.floats(1.02, 1.12), litres, st.one_of(st.floats(0.7, 0.99), st.floats(1.01, 3.0)))
def test_water_in_or_boiled_away_keeps_the_extract(original: float, volume_l: float, factor: float) -> None:
    wort = brew(original, original, volume_l)
    changed = wort + Brew(water_kg(volume_l) * (factor - 1.0))
    assert changed.extract_kg == wort.extract_kg
    assert (changed.original_gravity() < wort.original_gravity()) == (factor > 1.0)
    # Common practice, no source: points times volume stay the same. By mass they do within 2.6 %.
    points, before = (1000.0 * (b.original_gravity() - 1.0) * b.volume_l for b in (changed, wort))
    assert points == pytest.approx(before, rel=0.026)


@pytest.mark.parametrize(
    ("original", "present", "volume_l"), [(1.05, 1.06, 1.0), (1.05, 1.01, 0.0), (1.05, 1.01, -1.0), (1.21, 1.01, 1.0)]
)
def test_what_is_no_brew_is_refused(original: float, present: float, volume_l: float) -> None:
    with pytest.raises(OutOfRangeError):
        brew(original, present, volume_l)


def test_a_brew_drier_than_its_wort_can_be_counts_as_the_driest() -> None:
    assert brew(1.050, 0.980, 1.0) == brew(1.050, driest_gravity(1.050), 1.0)


def test_a_part_of_a_brew_is_the_same_beer() -> None:
    whole = brew(1.060, 1.012, 20.0)
    tenth = whole.part(0.1)
    assert tenth.volume_l == pytest.approx(2.0, abs=1e-6)
    assert np.allclose(astuple(tenth.strength()), astuple(whole.strength()))
