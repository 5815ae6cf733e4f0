from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import (
    beer_density,
    driest_gravity,
    extract_and_alcohol,
    plato_from_sg,
    sensor_reading,
    sg_at_reference,
    sg_from_plato,
    sucrose_density,
    water_density,
)
from lullwort.science.beer import MAX_READING, MIN_READING, distillate_alcohol
from lullwort.science.ethanol import ethanol_water_density
from lullwort.science.numerics import solve_increasing
from lullwort.units import FloatArray

Published = Callable[[str], dict[str, FloatArray]]
PublishedRows = Callable[[str], list[dict[str, str]]]

original_gravities = st.none() | st.floats(1.0, 1.2)
expansions = st.floats(0.0, 5e-4)
reference_temps = st.sampled_from([4.0, 15.56, 20.0])

# name in liquid_expansion.csv, real extract and alcohol in % by weight
BEERS = [("beer RE4.0 A3.9", 4.0, 3.9), ("beer RE6.0 A6.0", 6.0, 6.0), ("beer RE2.0 A5.2", 2.0, 5.2)]


def _gravities(real_extract_pct: float, alcohol_pct: float) -> tuple[float, float]:
    """The original and the present gravity that leave this extract and alcohol."""
    original = (2.0665 * alcohol_pct + real_extract_pct) / (1.0 + 0.010665 * alcohol_pct)  # [Balling1865]
    original_gravity = sg_from_plato(original)
    present = solve_increasing(
        lambda sg: 100.0 * extract_and_alcohol(original_gravity, sg)[0] - real_extract_pct,
        0.98,
        original_gravity,
        tolerance=1e-9,
    )
    return original_gravity, present


@pytest.mark.parametrize(("name", "real_extract_pct", "alcohol_pct"), BEERS)
def test_density_of_beer_over_temperature_agrees_with_additive_densities(
    published_rows: PublishedRows, name: str, real_extract_pct: float, alcohol_pct: float
) -> None:
    # SOURCES.md, liquid_expansion.csv, computed by others with the water of [BettinSpieweck1990]: up to 0.004
    # of the difference is that water's, up to 0.005 the last digit.
    rows = [row for row in published_rows("liquid_expansion") if row["liquid"] == name]
    assert len(rows) == 9
    original_gravity, present = _gravities(real_extract_pct, alcohol_pct)
    assert 100.0 * extract_and_alcohol(original_gravity, present)[1] == pytest.approx(alcohol_pct, abs=1e-6)
    at_20 = beer_density(original_gravity, present, 20.0)
    for row in rows:
        ours = beer_density(original_gravity, present, float(row["t_C"]))
        assert ours == pytest.approx(float(row["density_kg_m3"]), abs=0.012)
        change = 1000.0 * (ours / at_20 - 1.0)
        assert change == pytest.approx(float(row["relative_change_vs_20C_x1000"]), abs=0.010)


@pytest.mark.parametrize(("name", "extract_pct"), [("wort 12P", 12.0), ("water", 0.0)])
def test_density_of_wort_and_water_over_temperature_agrees_with_the_same_computed_elsewhere(
    published_rows: PublishedRows, name: str, extract_pct: float
) -> None:
    # SOURCES.md, liquid_expansion.csv, with the water of [BettinSpieweck1990] as for beer.
    rows = [row for row in published_rows("liquid_expansion") if row["liquid"] == name]
    assert len(rows) == 9
    gravity = sg_from_plato(extract_pct)
    at_20 = beer_density(gravity, gravity, 20.0)
    for row in rows:
        ours = beer_density(gravity, gravity, float(row["t_C"]))
        assert ours == pytest.approx(float(row["density_kg_m3"]), abs=0.009)
        change = 1000.0 * (ours / at_20 - 1.0)
        assert change == pytest.approx(float(row["relative_change_vs_20C_x1000"]), abs=0.001)


@pytest.mark.parametrize("reference_c", [15.56, 20.0])
def test_distillate_holds_the_alcohol_that_the_lost_extract_made(reference_c: float) -> None:
    # [Balling1865] and [Tabarie], a litre of beer: the extract of as much wort as it came from, less what is
    # left, is 2.0665 - 1.0665 OE times its alcohol. The waters of the two densities differ by 0.007 kg/m³.
    original, residue = 0.12, 0.04
    alcohol = distillate_alcohol(original, residue, reference_c)
    residue_kg_m3 = sucrose_density(residue, reference_c)
    distillate_kg_m3 = ethanol_water_density(alcohol, reference_c)
    beer_kg_m3 = residue_kg_m3 + distillate_kg_m3 - water_density(reference_c)
    lost_kg_m3 = original * beer_kg_m3 - residue * residue_kg_m3
    assert alcohol * distillate_kg_m3 == pytest.approx(lost_kg_m3 / (2.0665 - 1.0665 * original), rel=3e-5)


def test_wort_is_a_sucrose_solution() -> None:
    temps = np.linspace(0.0, 40.0, 9)
    wort = beer_density(1.060, np.full_like(temps, 1.060), temps)
    extract, alcohol = extract_and_alcohol(1.060, 1.060)
    assert alcohol == pytest.approx(0.0, abs=1e-9)
    # The two waters differ by up to 0.004 kg/m³.
    assert np.abs(wort - sucrose_density(np.full_like(temps, extract), temps)).max() <= 0.004


@given(st.floats(1.0, 1.2), st.floats(0.95, 1.22))
def test_extract_and_alcohol_are_what_this_wort_can_hold(og: float, present: float) -> None:
    extract, alcohol = extract_and_alcohol(og, present)
    original = plato_from_sg(og) / 100.0
    assert extract >= 0.0
    assert 0.0 <= alcohol <= original / (2.0665 - 1.0665 * original) + 1e-12
    if alcohol > 0.0:
        # [Balling1865] the other way round
        assert (2.0665 * alcohol + extract) / (1.0 + 1.0665 * alcohol) == pytest.approx(original, abs=1e-9)


@pytest.mark.no_cover
@given(original_gravities, st.floats(0.985, 1.18), st.floats(0.0, 40.0), reference_temps, expansions)
def test_gravity_comes_back_from_the_reading(
    og: float | None, present: float, temp_c: float, reference_c: float, expansion: float
) -> None:
    reading = sensor_reading(og, present, temp_c, reference_c=reference_c, sensor_expansion_per_k=expansion)
    assume(MIN_READING <= reading <= MAX_READING)  # a warm and very dry beer may read lower; that is refused
    back = sg_at_reference(og, reading, temp_c, reference_c=reference_c, sensor_expansion_per_k=expansion)
    assert back == pytest.approx(present, abs=1e-10)


@pytest.mark.no_cover
@given(original_gravities, st.floats(0.975, 1.1999), st.floats(0.0, 40.0), reference_temps, expansions)
def test_gravity_rises_with_the_reading(
    og: float | None, reading: float, temp_c: float, reference_c: float, expansion: float
) -> None:
    lower, higher = (
        sg_at_reference(og, r, temp_c, reference_c=reference_c, sensor_expansion_per_k=expansion)
        for r in (reading, reading + 0.0001)
    )
    assert 0.00007 < higher - lower < 0.00013


@pytest.mark.no_cover
@given(original_gravities, st.floats(0.975, 1.2), reference_temps, expansions)
def test_a_reading_at_the_reference_needs_no_correction(
    og: float | None, reading: float, reference_c: float, expansion: float
) -> None:
    corrected = sg_at_reference(og, reading, reference_c, reference_c=reference_c, sensor_expansion_per_k=expansion)
    assert corrected == pytest.approx(reading, abs=1e-10)


def test_a_dry_wine_is_within_what_its_must_can_become() -> None:
    extract, alcohol = extract_and_alcohol(1.100, 0.983)
    assert 0.003 < extract < 0.01
    assert 0.12 < alcohol < 0.14
    # Colder it stands higher on the float; between 20 and 0 °C more than water's 1.64 points.
    rise = 1000.0 * (sensor_reading(1.100, 0.983, 0.0) - 0.983)
    assert rise > 3.0


def test_below_the_driest_beer_the_correction_is_that_beers() -> None:
    driest = driest_gravity(1.050)
    assert 0.988 < driest < 0.990
    rises = [sensor_reading(1.050, sg, 0.0) - sg for sg in (driest - 0.010, driest - 0.001, driest)]
    assert rises == pytest.approx([rises[2]] * 3, abs=1e-7)


def test_a_little_noise_above_original_gravity_is_harmless() -> None:
    below, at, above = (sg_at_reference(1.050, r, 10.0) for r in (1.0514, 1.0516, 1.0518))
    assert at - below == pytest.approx(above - at, abs=2e-5)


def test_warm_plastic_reads_high_by_its_own_expansion(published: Published) -> None:
    # SOURCES.md, float_expansion.csv, handbook values from memory: points read too high per +10 K at SG 1.05.
    table = published("float_expansion")
    for expansion, points in zip(
        table["cubic_expansion_per_K"],
        table["sg_points_read_too_high_per_plus10K_if_uncompensated_at_SG1.05"],
        strict=True,
    ):
        rigid = sensor_reading(1.050, 1.050, 30.0)
        plastic = sensor_reading(1.050, 1.050, 30.0, sensor_expansion_per_k=float(expansion))
        assert plastic > rigid
        assert 1000.0 * (plastic - rigid) * 1.05 / rigid == pytest.approx(points, abs=0.006)


def test_a_plastic_body_nearly_cancels_the_liquid() -> None:
    # [1/K] ABS by the same table: 20 to 10 °C moves a rigid float 1.8 points, this one 0.7 the other way.
    rigid = sensor_reading(1.050, 1.012, 10.0) - 1.012
    plastic = sensor_reading(1.050, 1.012, 10.0, sensor_expansion_per_k=2.5e-4) - 1.012
    assert 1000.0 * rigid == pytest.approx(1.81, abs=0.01)
    assert 1000.0 * plastic == pytest.approx(-0.72, abs=0.01)


@pytest.mark.parametrize(
    ("real_extract_pct", "alcohol_pct", "too_low_points"),
    [(4.0, 3.9, 0.36), (6.0, 6.0, 0.73), (2.0, 5.2, 0.53)],
)
def test_without_original_gravity_cold_beer_is_corrected_too_little(
    real_extract_pct: float, alcohol_pct: float, too_low_points: float
) -> None:
    # Snapshot of our own: the price of not knowing the original gravity, at 0 °C.
    original_gravity, present = _gravities(real_extract_pct, alcohol_pct)
    reading = sensor_reading(original_gravity, present, 0.0)
    error = sg_at_reference(None, reading, 0.0) - present
    assert 1000.0 * error == pytest.approx(too_low_points, abs=0.01)


def test_arrays_answer_as_floats_do_and_keep_nan() -> None:
    readings, temps = np.array([1.06, 1.012, np.nan, 0.99]), np.array([4.0, np.nan, 20.0, 31.0])
    out = sg_at_reference(1.050, readings, temps)
    assert np.isnan(out[1:3]).all()
    for i in (0, 3):
        assert out[i] == pytest.approx(sg_at_reference(1.050, float(readings[i]), float(temps[i])), abs=1e-10)


def test_one_temperature_serves_many_gravities() -> None:
    out = beer_density(1.050, np.array([1.050, 1.012]), 20.0)
    np.testing.assert_allclose(out, np.array([1.050, 1.012]) * water_density(20.0), rtol=1e-10)


@pytest.mark.parametrize(
    ("og", "reading", "temp_c", "reference_c", "expansion", "names"),
    [
        (0.9999, 1.0, 20.0, 20.0, 0.0, "original_gravity"),
        (1.2001, 1.0, 20.0, 20.0, 0.0, "original_gravity"),
        (None, 0.9749, 20.0, 20.0, 0.0, "reading"),
        (None, 1.2001, 20.0, 20.0, 0.0, "reading"),
        (None, 1.0, -0.1, 20.0, 0.0, "temp_c"),
        (None, 1.0, 40.1, 20.0, 0.0, "temp_c"),
        (None, 1.0, 20.0, 40.1, 0.0, "temp_c"),
        (None, 1.0, 20.0, 20.0, -1e-9, "sensor_expansion_per_k"),
        (None, 1.0, 20.0, 20.0, 5.1e-4, "sensor_expansion_per_k"),
    ],
)
def test_a_reading_beyond_the_range_is_refused(
    og: float | None, reading: float, temp_c: float, reference_c: float, expansion: float, names: str
) -> None:
    with pytest.raises(OutOfRangeError, match=names):
        sg_at_reference(og, reading, temp_c, reference_c=reference_c, sensor_expansion_per_k=expansion)


@pytest.mark.parametrize("og", [None, 1.0, 1.05, 1.2])
@pytest.mark.parametrize("reference_c", [0.0, 20.0, 40.0])
def test_both_ends_of_every_range_answer(og: float | None, reference_c: float) -> None:
    readings = np.array([0.975, 0.975, 1.2, 1.2])
    temps = np.array([0.0, 40.0, 0.0, 40.0])
    for expansion in (0.0, 5e-4):
        out = sg_at_reference(og, readings, temps, reference_c=reference_c, sensor_expansion_per_k=expansion)
        assert np.isfinite(out).all()


@pytest.mark.parametrize("present", [0.9499, 1.2201])
def test_a_present_gravity_beyond_the_range_is_refused(present: float) -> None:
    with pytest.raises(OutOfRangeError, match="present_gravity"):
        beer_density(1.05, present, 20.0)
