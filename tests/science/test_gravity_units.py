from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import from_sg, to_sg
from lullwort.units import GravityUnit

UNITS: tuple[GravityUnit, ...] = get_args(GravityUnit)


@given(st.floats(0.97, 1.22), st.sampled_from(UNITS), st.floats(0.0, 40.0))
def test_gravity_comes_back(sg: float, unit: GravityUnit, reference_c: float) -> None:
    assert to_sg(from_sg(sg, unit, reference_c), unit, reference_c) == pytest.approx(sg, abs=1e-9)


@pytest.mark.parametrize("unit", UNITS)
def test_arrays_answer_as_floats_do_and_keep_nan(unit: GravityUnit) -> None:
    out = from_sg(np.array([1.012, np.nan]), unit)
    assert out[0] == pytest.approx(from_sg(1.012, unit), abs=1e-7)
    assert np.isnan(out[1])
    np.testing.assert_allclose(to_sg(out, unit), [1.012, np.nan])


def test_density_counts_over_water_at_the_reference() -> None:
    # Water at 20 and 4 °C, [Tanaka2001] by SOURCES.md, water_density.csv: 998.207 and 999.975 kg/m³.
    assert to_sg(998.207, "kg_m3") == pytest.approx(1.0, abs=1e-6)
    assert to_sg(999.975, "kg_m3", 4.0) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("value", [-10.1, 50.1])
def test_impossible_plato_is_refused(value: float) -> None:
    with pytest.raises(OutOfRangeError, match="°P"):
        to_sg(value, "plato")
