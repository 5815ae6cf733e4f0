from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import (
    CALIBRATION_60F_C,
    hydrometer_rule_points,
    hydrometer_true_sg,
    plato_from_sg,
    sg_from_plato,
    water_density,
)
from lullwort.units import FloatArray, to_celsius

Published = Callable[[str], dict[str, FloatArray]]


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
