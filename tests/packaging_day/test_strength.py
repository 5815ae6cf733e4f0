from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.packaging_day import alcohol_by_volume
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
