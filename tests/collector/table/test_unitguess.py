from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.collector.table.unitguess import probably_other_unit, unit_probably_meant
from lullwort.units import GravityUnit

UNITS: tuple[GravityUnit, ...] = ("sg", "points", "plato", "kg_m3")


@pytest.mark.parametrize(
    ("gravity", "stated", "meant"),
    [
        (1052.0, "sg", "SG x 1000 or kg/m³"), (1052.0, "points", "SG x 1000 or kg/m³"),
        (1052.0, "plato", "SG x 1000 or kg/m³"), (1052.0, "sg_1000", None), (1.052, "sg_1000", "SG"),
        (1500.0, "points", "no gravity at all"), (5000.0, "kg_m3", "no gravity at all"),
        (1052.0, "kg_m3", None),
        (12.9, "sg", "°P"), (52.0, "sg", "gravity points"), (52.0, "plato", "gravity points"),
        (1.052, "kg_m3", "SG"), (12.9, "kg_m3", "°P"), (52.0, "kg_m3", "gravity points"),
        (1.052, "sg", None), (1.052, "points", None), (1.052, "plato", None), (12.9, "points", None),
        (0.0, "sg", None), (1.5, "sg", None), (0.0, "kg_m3", None), (-1.0, "plato", None), (9999.0, "sg", None),
    ],
)  # fmt: skip
def test_a_gravity_that_cannot_be_in_the_stated_unit_names_the_likely_one(
    gravity: float, stated: GravityUnit, meant: str | None
) -> None:
    assert unit_probably_meant(gravity, stated) == meant


@given(st.one_of(st.floats(-100, 2000), st.sampled_from([0.9, 1.3, 2, 40, 200, 900, 1300])), st.sampled_from(UNITS))
def test_many_at_once_are_doubted_just_where_one_is(gravity: float, stated: GravityUnit) -> None:
    many = np.array([np.nan, gravity])
    assert probably_other_unit(many, stated) == (unit_probably_meant(gravity, stated) is not None)
