"""A sensor as a line, by gravities measured by hand: what two far apart tell, and which of several is the odd one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector.sensorline import SCALE_SD, Pair, contradicts_from, settled
from lullwort.records import HOUR_US

DAY_US = 24 * HOUR_US


def start(gravity: float, level: float) -> Pair:
    return Pair(0, gravity, level, 1.1, 0.0, "", 0.0, sampled=False)


def sample(day: float, gravity: float, level: float, *, instrument: str = "jar", error_sd: float = 2.0) -> Pair:
    return Pair(round(day * DAY_US), gravity, level, 0.75, error_sd, instrument, 0.0, sampled=True)


def test_one_sample_is_where_the_line_goes_through_whatever_the_start_said() -> None:
    found = settled([start(50.0, 52.0), sample(8.0, 12.0, 16.0)])
    assert found.line.gravity(16.0) == pytest.approx(12.0, abs=0.05)
    assert (found.odd, found.shifted, found.disputed) == ((), False, False)


def test_samples_far_apart_tell_the_scale_and_near_each_other_they_do_not() -> None:
    def read(gravity: float) -> float:
        return 3.0 + 1.05 * gravity

    far = settled([start(50.0, read(50.0)), *(sample(d, g, read(g)) for d, g in ((0, 50), (3, 30), (9, 11), (10, 11)))])
    assert far.line.scale == pytest.approx(1.05, abs=0.03)
    assert far.line.scale > 1.02
    assert far.line.scale_sd < 0.75 * SCALE_SD
    near = settled([sample(d, g, read(g)) for d, g in ((9, 12.0), (10, 11.0))])
    assert near.line.scale == pytest.approx(1.0, abs=0.002)
    assert near.line.scale_sd == pytest.approx(SCALE_SD, rel=0.01)


def test_one_sample_against_the_sensor_is_open_and_the_higher_gravity_counts() -> None:
    before = [start(50.0, 50.0)]
    low, high = (settled([*before, sample(8.0, 11.0 + by, 11.0)]) for by in (-9.0, 9.0))
    assert (low.disputed, high.disputed) == (True, True)
    assert low.line.gravity(11.0) == pytest.approx(11.0, abs=0.5)
    assert high.line.gravity(11.0) == pytest.approx(20.0, abs=0.5)


def test_what_a_second_sample_agrees_with_holds() -> None:
    pairs = [start(50.0, 50.0), sample(8.0, 20.0, 11.0)]
    for_the_sensor = settled([*pairs, sample(9.0, 11.3, 11.0)])
    assert (for_the_sensor.odd, for_the_sensor.disputed) == ((1,), False)
    for_the_sample = settled([*pairs, sample(9.0, 19.7, 11.0)])
    assert (for_the_sample.odd, for_the_sample.shifted, for_the_sample.disputed) == ((), True, False)
    assert for_the_sample.line.gravity(11.0) == pytest.approx(19.85, abs=0.3)


def test_without_an_original_gravity_two_that_contradict_each_other_stay_open_until_the_third() -> None:
    two = [sample(8.0, 11.0, 12.0), sample(9.0, 19.0, 12.0)]
    assert settled(two).disputed
    assert settled(two).line.gravity(12.0) == pytest.approx(19.0, abs=0.1)
    assert settled([*two, sample(10.0, 11.2, 12.0)]).odd == (1,)
    assert settled([*two, sample(10.0, 19.1, 12.0)]).disputed is False


def test_a_sample_soon_after_one_that_agreed_is_wrong_and_one_long_after_may_tell_of_a_shift() -> None:
    pairs = [start(50.0, 50.0), sample(8.0, 11.0, 11.0)]
    assert settled([*pairs, sample(8.5, 3.0, 11.0)]).odd == (2,)
    assert settled([*pairs, sample(18.0, 3.0, 11.0)]).disputed


def test_a_new_sample_that_lies_high_is_not_left_out_on_the_word_of_one_other() -> None:
    first, high = sample(8.0, 11.0, 11.0), sample(8.5, 19.0, 11.0)
    one = settled([start(50.0, 50.0), sample(3.0, 30.0, 30.0), first, high])
    assert (one.odd, one.disputed) == ((), True)
    assert one.line.gravity(11.0) > 14.0  # what would ferment in a bottle is counted by the higher of the two
    two = settled([start(50.0, 50.0), first, sample(8.2, 11.2, 11.0), high])
    assert (two.odd, two.disputed) == ((3,), False)


def test_a_checked_instrument_outweighs_one_that_nobody_has_checked() -> None:
    checked, unchecked = sample(9.0, 11.0, 12.0, instrument="a", error_sd=0.3), sample(9.1, 13.0, 12.0, instrument="b")
    line = settled([checked, unchecked]).line
    assert line.gravity(12.0) == pytest.approx(11.2, abs=0.2)
    assert line.error_sd == 0.3


def test_what_moved_the_float_by_an_unknown_amount_contradicts_no_sample() -> None:
    after = sample(8.0, 11.0, 18.0)._replace(doubt=36.0)
    found = settled([start(50.0, 50.0), after])
    assert (found.disputed, found.odd) == (False, ())
    assert found.line.gravity(18.0) == pytest.approx(11.0, abs=0.05)


gravities = st.floats(5.0, 20.0)


@pytest.mark.no_cover
@given(
    st.lists(st.floats(-0.7, 0.7), min_size=3, max_size=6), st.floats(10.0, 40.0), st.booleans(), st.integers(0, 5),
    gravities,
)  # fmt: skip
def test_one_bad_sample_among_others_does_no_harm_wherever_it_lies(
    errors: list[float], wrong: float, low: bool, place: int, gravity: float
) -> None:
    good = [start(50.0, 52.0)] + [sample(8.0 + i, gravity + e, gravity + 2.0) for i, e in enumerate(errors)]
    at = 1 + min(place, len(errors))
    day = 7.5 + at - 1
    bad = sample(day, gravity + (-wrong if low else wrong), gravity + 2.0)
    found = settled([*good[:at], bad, *good[at:]])
    assert (found.odd, found.disputed) == ((at,), False)
    assert found.line == settled(good).line


@pytest.mark.no_cover
@given(st.lists(st.tuples(gravities, st.floats(-0.5, 2.5)), min_size=1, max_size=5), st.floats(-10.0, 10.0))
def test_a_sensor_that_reads_all_of_it_higher_is_another_offset_and_nothing_else(
    samples: list[tuple[float, float]], by: float
) -> None:
    pairs = [start(50.0, 51.0)] + [sample(5.0 + i, g, g + a) for i, (g, a) in enumerate(samples)]
    here, there = settled(pairs), settled([pair._replace(level=pair.level + by) for pair in pairs])
    level = pairs[-1].level
    assert there.line.gravity(level + by) == pytest.approx(here.line.gravity(level), abs=0.15)
    assert 0.85 < here.line.scale < 1.15


@given(st.floats(0.3, 3.0), st.floats(0.01, 1.0))
def test_the_less_is_known_the_more_a_sample_may_differ(sd: float, more: float) -> None:
    assert 3.0 <= contradicts_from(sd) <= contradicts_from(sd + more) <= 4.0 * (sd + more) + 3.0


@pytest.mark.parametrize("sd", [1.1, 2.0])
def test_a_dispute_opens_about_where_it_is_said_to(sd: float) -> None:
    def disputed(by: float) -> bool:
        known = Pair(0, 12.0, 12.0, (sd**2 - 0.75**2) ** 0.5, 0.0, "", 0.0, sampled=False)
        return settled([known, sample(1.0, 12.0 + by, 12.0)]).disputed

    apart = contradicts_from(sd)
    assert not disputed(0.85 * apart)
    assert disputed(1.2 * apart)
