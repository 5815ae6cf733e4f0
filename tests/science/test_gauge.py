from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.errors import OutOfRangeError
from lullwort.science import dissolved_g_l, equilibrium_gauge_bar, residual_volumes, sealed
from lullwort.units import CO2_G_PER_VOLUME


def test_gauge_and_temperature_tell_within_6_per_cent_what_a_trade_article_does() -> None:
    # An equation for beer, read second-hand in a trade article: (bar + 1.013) exp(-10.738 + 2617/T) 10 g/L. It lies
    # 0.5 to 5.6 % below water, as beer does that takes up up to 5 % less.
    ratios = [
        (bar + 1.013) * math.exp(-10.738 + 2617.0 / (temp_c + 273.15)) * 10.0 / dissolved_g_l(bar, temp_c)
        for temp_c in (0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0)
        for bar in (0.0, 0.5, 1.0, 1.5, 2.0, 3.0)
    ]
    assert min(ratios) == pytest.approx(0.9446, abs=0.0005)
    assert max(ratios) == pytest.approx(0.9953, abs=0.0005)


def test_at_no_gauge_pressure_it_is_what_rests_under_an_airlock() -> None:
    # Solubility per atm is meant at 1 atm of the gas; at 1 atm in all there is a little less of it.
    for temp_c in (0.0, 12.0, 20.0, 40.0):
        assert dissolved_g_l(0.0, temp_c) / CO2_G_PER_VOLUME == pytest.approx(residual_volumes(temp_c), rel=0.0005)


@pytest.mark.parametrize("bar", [0.0, 1.0, 3.0])
def test_with_what_a_headspace_holds_it_is_what_a_sealed_bottle_does(bar: float) -> None:
    # Our own two ways: `sealed` shares the gas with a headspace of 5 %, which holds 0.05 x 44.01 / 24.06 g/L an atm.
    atm = bar / 1.01325 + 1.0 - 0.0231
    volumes = (dissolved_g_l(bar, 20.0) + 0.05 * atm * 44.0095 / 24.055) / CO2_G_PER_VOLUME
    assert sealed(0.0, 20.0, volumes).gauge_bar == pytest.approx(bar, abs=0.02)


@given(st.floats(-0.9, 20.0), st.floats(0.0, 40.0))
def test_gauge_and_gas_are_inverse_and_rise_together(bar: float, temp_c: float) -> None:
    g_l = dissolved_g_l(bar, temp_c)
    assert g_l > 0.0
    assert equilibrium_gauge_bar(g_l, temp_c) == pytest.approx(bar, abs=1e-6)
    assert dissolved_g_l(min(bar + 0.1, 20.0), temp_c) >= g_l
    assert dissolved_g_l(bar, min(temp_c + 0.1, 40.0)) <= g_l


@given(st.floats(1.0, 19.0), st.floats(0.0, 39.0))
def test_more_gas_and_more_warmth_press_more(g_l: float, temp_c: float) -> None:
    bar = equilibrium_gauge_bar(g_l, temp_c)
    assert equilibrium_gauge_bar(g_l + 0.1, temp_c) > bar
    assert equilibrium_gauge_bar(g_l, temp_c + 0.1) > bar


@pytest.mark.parametrize(("bar", "temp_c"), [(-0.91, 20.0), (20.1, 20.0), (1.0, -0.1), (1.0, 40.1)])
def test_a_gauge_beyond_the_range_is_refused(bar: float, temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"0 to 40 °C|20 bar"):
        dissolved_g_l(bar, temp_c)


@pytest.mark.parametrize(("g_l", "temp_c"), [(-0.1, 20.0), (40.0, 20.0), (4.0, -0.1), (4.0, 40.1)])
def test_gas_beyond_the_range_is_refused(g_l: float, temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match="Weiss1974"):
        equilibrium_gauge_bar(g_l, temp_c)
