from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.packaging_day import alcohol_by_volume, sealed_today
from lullwort.science import strength


def test_strength_is_the_mass_balance_s_with_a_range_around_it() -> None:
    estimate = alcohol_by_volume(50.0, 12.0, 0.5, 0.5)
    assert estimate is not None
    assert estimate.value == pytest.approx(strength(1.050, 1.012).abv_pct)
    assert estimate.low < estimate.value < estimate.high
    # An original gravity that is 3 points off is worth 0.4 % by volume. Common practice, no source.
    wide = alcohol_by_volume(50.0, 12.0, 3.0 / 1.645, 0.0)
    assert wide is not None
    assert wide.high - wide.value == pytest.approx(0.4, abs=0.03)


@pytest.mark.no_cover
@settings(deadline=None)
@given(original=st.floats(30.0, 110.0), share=st.floats(0.0, 0.9), sd=st.floats(0.0, 3.0))
def test_the_range_holds_the_value_and_grows_with_the_error(original: float, share: float, sd: float) -> None:
    final = original * (1.0 - share)
    narrow, wide = alcohol_by_volume(original, final, 0.1, 0.1), alcohol_by_volume(original, final, 0.1 + sd, 0.1)
    assert narrow is not None
    assert wide is not None
    assert wide.low <= narrow.low <= narrow.value <= narrow.high <= wide.high


def test_gravities_that_are_no_beer_give_no_strength() -> None:
    assert alcohol_by_volume(400.0, 10.0, 0.5, 0.5) is None


def test_one_point_left_is_about_half_a_volume_in_a_bottle() -> None:
    # 0.49 volumes and 0.54 bar at 20 °C for each point: bottle_pressure.csv, computed by others.
    none, one = sealed_today(0.0, 0.0, 20.0), sealed_today(0.0, 1.0, 20.0)
    assert none is not None
    assert one is not None
    assert one.volumes_upper - none.volumes_upper == pytest.approx(0.49, abs=0.02)
    assert one.gauge_bar_upper - none.gauge_bar_upper == pytest.approx(0.54, abs=0.05)


@given(left=st.floats(0.0, 40.0), more=st.floats(0.0, 20.0), temp_c=st.floats(0.0, 30.0))
def test_pressure_never_falls_with_points_and_is_never_negative(left: float, more: float, temp_c: float) -> None:
    less, greater = sealed_today(0.0, left, temp_c), sealed_today(0.0, left + more, temp_c)
    assert less is not None
    assert greater is not None
    assert 0.0 <= less.gauge_bar_upper <= greater.gauge_bar_upper
    assert less.volumes_upper <= greater.volumes_upper


def test_what_cannot_be_computed_is_not_made_up() -> None:
    assert sealed_today(0.0, 500.0, 20.0) is None
    assert sealed_today(0.0, 1.0, 60.0) is None
