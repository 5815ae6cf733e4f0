from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import plato_from_sg, sg_from_plato, sucrose_density, water_density
from lullwort.units import FloatArray, to_celsius, to_litres

Published = Callable[[str], dict[str, FloatArray]]


def test_density_and_gravity_agree_with_the_same_equation_computed_elsewhere(published: Published) -> None:
    # SOURCES.md, sucrose_20c.csv, computed by others: half of its last digit is all that may differ.
    table = published("sucrose_20c")
    plato = table["sucrose_mass_pct"]
    assert np.abs(sucrose_density(plato / 100.0, 20.0) - table["density_20C_kg_m3"]).max() <= 0.0005
    assert np.abs(sg_from_plato(plato) - table["sg_20_20_true"]).max() <= 0.000005
    at_60_f = to_celsius(60.0, "F")
    assert np.abs(sg_from_plato(plato, at_60_f) - table["sg_60F_60F_true"]).max() <= 0.000005


@pytest.mark.parametrize(
    ("column", "largest_to_20", "largest_to_30"),
    [
        ("plato_from_asbc_cubic", 0.0125, 0.0125),
        ("brix_from_nbs_cubic", 0.0135, 0.0190),
        ("plato_from_lincoln", 0.0125, 0.0860),
        ("plato_from_260.4(1-1/SG)", 0.0415, 0.2030),
    ],
)
def test_plato_agrees_with_other_peoples_tables(
    published: Published, column: str, largest_to_20: float, largest_to_30: float
) -> None:
    # SOURCES.md, sucrose_20c.csv. The others take gravity as weighed in air, so do we here; its five decimals
    # leave 0.0013 °P. Data of 1900 and of the 1990s really differ by 0.011 °P: closer would prove nothing.
    table = published("sucrose_20c")
    sg_in_air, water = table["sg_20_20_apparent_in_air"], water_density(20.0)
    true_sg = (sg_in_air * (water - 1.2) + 1.2) / water
    difference = np.abs(plato_from_sg(true_sg) - table[column])
    assert largest_to_30 - 0.004 < difference.max() <= largest_to_30
    assert difference[table["sucrose_mass_pct"] <= 20.0].max() <= largest_to_20


def test_density_over_temperature_agrees_with_the_same_equation_computed_elsewhere(
    published: Published,
) -> None:
    # SOURCES.md, sucrose_by_temperature.csv: one route only.
    table = published("sucrose_by_temperature")
    temps = table.pop("t_C")
    assert len(table) == 9
    for column, density in table.items():
        fraction = float(column.removeprefix("w").removesuffix("pct")) / 100.0
        assert np.abs(sucrose_density(np.full_like(temps, fraction), temps) - density).max() <= 0.0005, column


def test_density_agrees_with_weights_per_gallon_of_a_printed_table(published: Published) -> None:
    # [NBSC440], read: pounds a US gallon, in air (1.2 kg/m³) with weights of 8.0 g/cm³; printed to 0.001.
    table = published("nbs_c440_weight_per_gallon")
    in_vacuum = sucrose_density(table["brix"] / 100.0, 20.0)
    weighed = (in_vacuum - 1.2) / (1.0 - 1.2 / 8000.0)
    pounds = weighed * to_litres(1.0, "us gal") / 1000.0 / 0.45359237
    assert np.abs(pounds - table["nbs_c440_lb_per_us_gal_in_air_20C"]).max() <= 0.0008


@pytest.mark.parametrize(("fraction", "density"), [(0.40, 1176.4), (0.50, 1229.6)])
def test_density_beyond_wort_agrees_with_handbooks(fraction: float, density: float) -> None:
    # From memory, handbook tables of sucrose at 20 °C; the only outside values we have above 30 %.
    assert sucrose_density(fraction, 20.0) == pytest.approx(density, abs=0.3)


@given(st.floats(-10.0, 50.0), st.floats(0.0, 100.0))
def test_plato_comes_back_from_gravity(plato: float, reference_c: float) -> None:
    assert plato_from_sg(sg_from_plato(plato, reference_c), reference_c) == pytest.approx(plato, abs=2e-8)


@given(st.floats(-9.9, 49.9), st.floats(0.0, 100.0))
def test_gravity_rises_with_plato(plato: float, reference_c: float) -> None:
    assert sg_from_plato(plato + 0.01, reference_c) > sg_from_plato(plato, reference_c)


def test_a_quarter_of_the_points_is_plato_and_how_wrong_that_gets() -> None:
    # Common practice, no source: °P = points / 4 up to about 1.070. It is 0.07 °P short at 1.010, right
    # at 1.040 and 0.44 °P too much at 1.070.
    error = {points: points / 4.0 - plato_from_sg(1.0 + points / 1000.0) for points in (10.0, 40.0, 70.0)}
    assert error == pytest.approx({10.0: -0.07, 40.0: -0.005, 70.0: 0.44}, abs=0.01)


def test_arrays_answer_as_floats_do_and_keep_nan() -> None:
    sg = np.array([[0.98, 1.0], [np.nan, 1.2]])
    plato = plato_from_sg(sg)
    assert plato.shape == (2, 2)
    assert np.isnan(plato[1, 0])
    for index in ((0, 0), (0, 1), (1, 1)):
        assert plato[index] == pytest.approx(plato_from_sg(float(sg[index])), abs=1e-7)


@pytest.mark.parametrize(("fraction", "temp_c"), [(-1e-6, 20.0), (0.500001, 20.0), (0.1, -0.1), (0.1, 100.1)])
def test_sucrose_density_refuses_to_extrapolate(fraction: float, temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match="Bubnik1995"):
        sucrose_density(fraction, temp_c)
    with pytest.raises(OutOfRangeError, match="Bubnik1995"):
        sucrose_density(np.array([0.1, fraction]), np.array([20.0, temp_c]))


@pytest.mark.parametrize("sg", [0.9627, 1.2319])
def test_plato_refuses_to_extrapolate(sg: float) -> None:
    plato_from_sg(sg + (0.0001 if sg < 1.0 else -0.0001))
    with pytest.raises(OutOfRangeError, match="at 20 °C"):
        plato_from_sg(sg)
    with pytest.raises(OutOfRangeError):
        sg_from_plato(-10.01 if sg < 1.0 else 50.01)
    with pytest.raises(OutOfRangeError, match="reference_c"):
        sg_from_plato(10.0, -0.1 if sg < 1.0 else 100.1)


def test_both_ends_of_the_range_answer() -> None:
    ends = sucrose_density(np.array([0.0, 0.5, 0.0, 0.5]), np.array([0.0, 0.0, 100.0, 100.0]))
    assert np.isfinite(ends).all()
    assert [plato_from_sg(sg_from_plato(p)) for p in (-10.0, 50.0)] == pytest.approx([-10.0, 50.0])
