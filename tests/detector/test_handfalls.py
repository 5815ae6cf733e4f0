"""Falls drawn before any sample, and what samples make of them."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector.expected import ExpectedEnd
from lullwort.detector.handfalls import FALLS, Taken, Woken, drawn_falls, weighed

END = ExpectedEnd(11.0, 13.0, "recipe", 4.0)


def weigh(*samples: Taken, error_sd: float = 0.7):  # type: ignore[no-untyped-def]
    return weighed(drawn_falls(50.0, END), samples, error_sd)


def test_what_is_drawn_is_always_the_same_and_only_falls() -> None:
    falls = drawn_falls(50.0, END)
    assert all(np.array_equal(a, b) for a, b in zip(falls, drawn_falls(50.0, END), strict=True))
    hours = [falls.gravity(float(h)) for h in (0, 24, 72, 168, 400, 2000)]
    assert all(np.all(later <= earlier + 1e-9) for earlier, later in itertools.pairwise(hours))
    assert np.all(hours[-1] >= falls.end - 1e-9)


def test_without_a_sample_they_go_as_beers_usually_do() -> None:
    # Five gallons usually take three to seven days: common practice, no source.
    unseen = weigh()
    over = [unseen.chance((unseen.left(24.0 * day) <= 3.0).astype(float)) for day in (2, 5, 10)]
    assert over[0] < 0.05
    assert 0.3 < over[1] < 0.75
    assert over[2] > 0.85
    assert unseen.weight == pytest.approx(np.full(FALLS, 1.0 / FALLS))


def test_two_samples_that_agree_leave_little_and_two_that_differ_leave_more() -> None:
    still = weigh(Taken(168.0, 12.0, 0.65), Taken(240.0, 12.0, 0.65))
    moving = weigh(Taken(168.0, 14.5, 0.65), Taken(240.0, 12.0, 0.65))
    one = weigh(Taken(168.0, 12.0, 0.65))
    left = [falls.exceeded(falls.left(at), 0.04) for falls, at in ((still, 240.0), (moving, 240.0), (one, 168.0))]
    assert left[0] < 2.0 < left[2]
    assert left[0] < left[1]


def test_a_sample_that_no_beer_explains_is_the_one_that_is_wrong() -> None:
    found = weigh(Taken(200.0, 12.0, 0.65), Taken(230.0, 20.0, 0.65), Taken(260.0, 12.2, 0.65))
    assert found.wrong[1] > 0.9
    assert max(found.wrong[0], found.wrong[2]) < 0.1


def test_hardly_any_fall_that_fits_makes_none_of_them_sure() -> None:
    # A fall as steep as this after two weeks is none that beers do: enough of them must go on counting.
    samples = [Taken(330.0 + 4.0 * i, 12.0 - 1.5 * i, 0.2) for i in range(5)]
    found = weigh(*samples, error_sd=0.1)
    assert 1.0 / float(found.weight @ found.weight) >= 50.0


def test_a_beer_that_was_woken_has_what_was_put_in_still_to_lose() -> None:
    put_in = drawn_falls(50.0, END, woken=Woken(20.0, put_in=True))
    hopped = drawn_falls(50.0, END, woken=Woken(12.0, put_in=False))
    assert np.median(put_in.gravity(0.0) - put_in.end) == pytest.approx(8.0, abs=1.0)
    assert 1.0 < np.median(hopped.gravity(0.0) - hopped.end) < 4.0


def test_a_cold_beer_takes_longer() -> None:
    cold, warm = (drawn_falls(50.0, END, usual_c=temp_c) for temp_c in (10.0, 20.0))
    # About twice as long at 10 °C as at 20: common practice, no source.
    assert 1.8 < np.median(cold.middle_h) / np.median(warm.middle_h) < 2.6


@pytest.mark.no_cover
@given(
    st.lists(
        st.tuples(st.floats(1.0, 900.0), st.floats(-5.0, 90.0), st.floats(0.2, 5.0)).map(lambda row: Taken(*row)),
        max_size=6,
    ),
    st.floats(0.0, 5.0),
)
def test_whatever_is_read_the_weights_are_a_distribution(samples: list[Taken], error_sd: float) -> None:
    found = weighed(drawn_falls(50.0, END), sorted(samples), error_sd)
    assert float(found.weight.sum()) == pytest.approx(1.0)
    assert np.all(np.isfinite(found.weight))
    assert all(0.0 <= chance <= 1.0 + 1e-9 for chance in found.wrong)
    assert found.exceeded(found.left(300.0), 0.04) >= found.exceeded(found.left(300.0), 0.5)
