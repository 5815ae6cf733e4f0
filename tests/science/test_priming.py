from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.science import PRIMING, carbonation_g_l, priming_g
from lullwort.units import CO2_G_PER_VOLUME, FloatArray

Published = Callable[[str], dict[str, FloatArray]]


@pytest.mark.parametrize(("row", "name"), list(enumerate(("sucrose", "dextrose-anhydrous", "dextrose"))))
def test_priming_sugar_agrees_with_stoichiometry(published: Published, row: int, name: str) -> None:
    # SOURCES.md, co2_from_sugar.csv, in the order sucrose, glucose, glucose monohydrate.
    expected = published("co2_from_sugar")["g_substrate_per_volume_per_litre_beer"][row]
    assert CO2_G_PER_VOLUME / PRIMING[name].co2 == pytest.approx(expected, abs=0.0005)


def test_four_grams_of_sugar_make_about_one_volume() -> None:
    # Common practice, no source: 4 g/L a volume, a tenth more of dextrose. Stoichiometry asks 4 % less
    # sucrose; for glucose monohydrate it is 1.16 times the sucrose, for anhydrous glucose 1.05.
    sucrose = PRIMING["sucrose"].co2
    assert 4.0 * sucrose / CO2_G_PER_VOLUME == pytest.approx(1.04, abs=0.005)
    assert sucrose / PRIMING["dextrose"].co2 == pytest.approx(1.158, abs=0.001)
    assert sucrose / PRIMING["dextrose-anhydrous"].co2 == pytest.approx(1.053, abs=0.001)


@given(
    st.sampled_from(sorted(PRIMING)), st.floats(0.1, 1000.0), st.floats(0.0, 4.0), st.floats(4.0, 14.0),
    st.floats(0.0, 1.0),
)  # fmt: skip
def test_what_is_weighed_for_a_target_comes_to_it(
    name: str, volume_l: float, holds: float, target: float, water_l: float
) -> None:
    grams = priming_g(PRIMING[name], volume_l, holds, target, water_l)
    assert grams >= 0.0
    assert carbonation_g_l(PRIMING[name], grams, volume_l, holds, water_l) == pytest.approx(target)
