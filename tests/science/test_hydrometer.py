from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import (
    CALIBRATION_60F_C,
    GLASS_EXPANSION_PER_K,
    beer_density,
    hydrometer_in_beer,
    hydrometer_in_water,
    hydrometer_rule_points,
    hydrometer_true_sg,
    plato_from_sg,
    sg_from_plato,
    water_density,
)
from lullwort.units import FloatArray, to_celsius

Published = Callable[[str], dict[str, FloatArray]]
PublishedRows = Callable[[str], list[dict[str, str]]]


def test_corrections_of_a_60_f_hydrometer_agree_with_those_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, hydrometer_60f.csv: five decimals. Below 60 °F a reading of 1.000 means a liquid lighter
    # than water; they continue sugar's curve there, we take water's correction: 0.01 points apart.
    table = published("hydrometer_60f")
    temps, readings = to_celsius(table["t_F"], "F"), table["reading_sg"]
    difference = np.abs(hydrometer_true_sg(readings, temps) - table["true_sg_60F_60F"])
    assert difference.max() <= 0.000010
    assert difference[readings > 1.0].max() <= 0.000005


def test_corrections_of_a_brix_hydrometer_agree_with_those_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, hydrometer_brix_20c.csv: three decimals; the exception as above.
    table = published("hydrometer_brix_20c")
    observed = table["observed_brix"]
    corrected = plato_from_sg(hydrometer_true_sg(sg_from_plato(observed), table["t_C"], calibration_c=20.0))
    difference = np.abs(corrected - table["corrected_brix"])
    assert difference.max() <= 0.0085
    assert difference[observed > 0.0].max() <= 0.0006


def test_plain_water_reads_1_000_at_60_f() -> None:
    # Common practice, no source. For physics it is the definition of the scale.
    assert hydrometer_true_sg(1.0, CALIBRATION_60F_C) == pytest.approx(1.0, abs=1e-10)
    assert pytest.approx(to_celsius(60.0, "F")) == CALIBRATION_60F_C
    # At 70 °F the same water would be read 0.9 points low, glass included.
    warm = to_celsius(70.0, "F")
    reads = water_density(warm) * (1.0 + 25e-6 * (warm - CALIBRATION_60F_C)) / water_density(CALIBRATION_60F_C)
    assert 1000.0 * (1.0 - reads) == pytest.approx(0.91, abs=0.01)
    assert hydrometer_true_sg(reads, warm) == pytest.approx(1.0, abs=1e-9)


def test_1_046_read_at_70_f_is_1_047_and_a_little_more() -> None:
    # Common practice, no source: 0.001 for every 10 °F above 60. Physics adds 1.23 points to 1.046: the rule
    # is 0.23 short, and right to the three decimals it is used with.
    by_rule = 1.046 + hydrometer_rule_points(70.0) / 1000.0
    assert by_rule == pytest.approx(1.047)
    true = hydrometer_true_sg(1.046, to_celsius(70.0, "F"))
    assert round(true, 3) == round(by_rule, 3)
    assert 1000.0 * (true - by_rule) == pytest.approx(0.23, abs=0.01)


@pytest.mark.parametrize(
    ("from_f", "to_f", "least", "most"),
    [
        (60.0, 70.0, -0.562, 0.097),
        (60.0, 80.0, -1.374, 0.097),
        (60.0, 104.0, -4.225, 0.097),
        (32.0, 60.0, -2.363, 0.308),
    ],
)
def test_how_far_the_rule_is_from_physics(
    published: Published, from_f: float, to_f: float, least: float, most: float
) -> None:
    # Against hydrometer_60f.csv (SOURCES.md), readings 1.000 to 1.100: rule less physics, in points.
    table = published("hydrometer_60f")
    inside = (table["t_F"] >= from_f) & (table["t_F"] <= to_f)
    error = table["correction_points_0.001_per_10F"] - 1000.0 * (table["true_sg_60F_60F"] - table["reading_sg"])
    assert error[inside].min() == pytest.approx(least, abs=0.01)
    assert error[inside].max() == pytest.approx(most, abs=0.01)
    within = inside & (table["t_F"] >= 60.0) & (table["t_F"] <= 80.0)
    np.testing.assert_allclose(
        hydrometer_rule_points(table["t_F"][within]), table["correction_points_0.001_per_10F"][within]
    )


@pytest.mark.parametrize("temp_f", [59.9, 80.1])
def test_the_rule_is_refused_where_it_should_not_be_used(temp_f: float) -> None:
    with pytest.raises(OutOfRangeError, match="60 to 80 °F"):
        hydrometer_rule_points(temp_f)
    assert hydrometer_rule_points(60.0) == 0.0
    assert hydrometer_rule_points(80.0) == 2.0


@pytest.mark.no_cover
@given(st.floats(0.98, 1.19), st.floats(8.0, 39.0))
def test_the_same_reading_means_more_in_a_warmer_wort(reading: float, temp_c: float) -> None:
    # Below some 6 °C water is near its greatest density and the order turns round.
    assert hydrometer_true_sg(reading, temp_c + 1.0) > hydrometer_true_sg(reading, temp_c)


@pytest.mark.parametrize(("reading", "temp_c"), [(1.05, -0.1), (1.05, 40.1), (0.97, 20.0), (1.21, 20.0)])
def test_hydrometer_refuses_to_extrapolate(reading: float, temp_c: float) -> None:
    with pytest.raises(OutOfRangeError):
        hydrometer_true_sg(reading, temp_c)


def test_in_wort_the_two_ways_are_one(published: Published) -> None:
    # SOURCES.md, hydrometer_60f.csv and hydrometer_brix_20c.csv, by the way that also knows beer. To 1e-8, to which
    # the sugar is solved.
    table = published("hydrometer_60f")
    for reading, temp_f, true in zip(table["reading_sg"], table["t_F"], table["true_sg_60F_60F"], strict=True):
        temp_c = float(to_celsius(float(temp_f), "F"))
        ours = hydrometer_in_beer(
            None, float(reading), temp_c, calibration_c=CALIBRATION_60F_C, reference_c=CALIBRATION_60F_C
        )
        assert ours == pytest.approx(hydrometer_true_sg(float(reading), temp_c), abs=1e-8)
        assert ours == pytest.approx(true, abs=0.000011)
    brix = published("hydrometer_brix_20c")
    for observed, temp_c, true in zip(brix["observed_brix"], brix["t_C"], brix["corrected_brix"], strict=True):
        corrected = hydrometer_in_beer(None, sg_from_plato(float(observed)), float(temp_c), calibration_c=20.0)
        assert plato_from_sg(corrected) == pytest.approx(true, abs=0.0006 if observed > 0.0 else 0.0085)


# name in liquid_expansion.csv, real extract and alcohol in % by weight
LIQUIDS = [
    ("water", 0.0, 0.0), ("wort 12P", 12.0, 0.0), ("beer RE4.0 A3.9", 4.0, 3.9), ("beer RE6.0 A6.0", 6.0, 6.0),
    ("beer RE2.0 A5.2", 2.0, 5.2),
]  # fmt: skip


@pytest.mark.parametrize("calibration_c", [CALIBRATION_60F_C, 20.0])
@pytest.mark.parametrize(("name", "extract_pct", "alcohol_pct"), LIQUIDS)
def test_a_hydrometer_in_a_liquid_of_known_density_gives_its_gravity_at_20_c(
    published_rows: PublishedRows, name: str, extract_pct: float, alcohol_pct: float, calibration_c: float
) -> None:
    # SOURCES.md, liquid_expansion.csv: densities over temperature, computed by others. What a glass instrument shows
    # in each follows from its definition; the gravity read back must be that of the table's own line at 20 °C. Within
    # 0.011 points: the water there is another one (0.004 kg/m³), the last digits are 0.005 at either temperature.
    rows = [row for row in published_rows("liquid_expansion") if row["liquid"] == name]
    at_20 = next(float(row["density_kg_m3"]) for row in rows if float(row["t_C"]) == 20.0) / water_density(20.0)
    original = sg_from_plato((2.0665 * alcohol_pct + extract_pct) / (1.0 + 0.010665 * alcohol_pct))  # [Balling1865]
    for row in rows:
        temp_c = float(row["t_C"])
        swollen = 1.0 + GLASS_EXPANSION_PER_K * (temp_c - calibration_c)
        shown = float(row["density_kg_m3"]) * swollen / water_density(calibration_c)
        read = hydrometer_in_beer(original, shown, temp_c, calibration_c=calibration_c)
        assert read == pytest.approx(at_20, abs=0.000011)


def test_what_plain_water_shows(published: Published) -> None:
    # SOURCES.md, water_density.csv, column iapws95_lib: other physics than that of the formula, up to 0.0013 kg/m³.
    table = published("water_density")
    for calibration_c in (20.0, CALIBRATION_60F_C):
        swollen = 1.0 + 25e-6 * (table["t_C"] - calibration_c)
        by_iapws = table["iapws95_lib_kg_m3"] * swollen / water_density(calibration_c)
        shown = hydrometer_in_water(table["t_C"], calibration_c=calibration_c)
        assert np.abs(shown - by_iapws).max() <= 0.0000014
    assert hydrometer_in_water(CALIBRATION_60F_C, calibration_c=CALIBRATION_60F_C) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(("upto_f", "least"), [(78.0, -0.753), (88.0, -1.737)])
def test_how_far_the_rule_is_from_physics_for_an_instrument_made_for_68_f(upto_f: float, least: float) -> None:
    # Snapshot: rule less physics, in points, over readings of 1.000 to 1.100; always too little.
    errors = [
        hydrometer_rule_points(temp_f, calibration_f=68.0)
        - 1000.0 * (hydrometer_true_sg(reading, to_celsius(temp_f, "F"), calibration_c=20.0) - reading)
        for temp_f in np.arange(68.0, upto_f + 0.1, 2.0).tolist()
        for reading in np.arange(1.0, 1.1001, 0.01).tolist()
    ]
    assert min(errors) == pytest.approx(least, abs=0.01)
    assert max(errors) == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(OutOfRangeError, match="68 to 88 °F"):
        hydrometer_rule_points(67.9, calibration_f=68.0)


@pytest.mark.no_cover
@given(
    original=st.floats(1.03, 1.12), share=st.floats(0.0, 1.0), temp_c=st.floats(0.0, 40.0),
    calibration_c=st.sampled_from([CALIBRATION_60F_C, 20.0]),
)  # fmt: skip
def test_beer_read_at_any_temperature_has_the_gravity_that_it_has(
    original: float, share: float, temp_c: float, calibration_c: float
) -> None:
    present = original - share * (original - 0.995)
    density = beer_density(original, present, temp_c)
    shown = density * (1.0 + 25e-6 * (temp_c - calibration_c)) / water_density(calibration_c)
    assert hydrometer_in_beer(original, shown, temp_c, calibration_c=calibration_c) == pytest.approx(present, abs=1e-8)
    higher = hydrometer_in_beer(original, shown + 0.0005, temp_c, calibration_c=calibration_c)
    assert higher > present


@pytest.mark.parametrize(
    ("reading", "temp_c", "calibration_c"),
    [(0.97, 20.0, 15.0), (1.05, 40.1, 20.0), (1.05, 20.0, 40.1), (1.05, -1.0, 20.0)],
)
def test_a_hydrometer_in_beer_refuses_to_extrapolate(reading: float, temp_c: float, calibration_c: float) -> None:
    with pytest.raises(OutOfRangeError):
        hydrometer_in_beer(1.05, reading, temp_c, calibration_c=calibration_c)
