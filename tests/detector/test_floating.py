"""What shifts a float's reading of the same beer, taken apart from what the beer does."""

from __future__ import annotations

import pytest

from lullwort.detector.floating import Floating
from lullwort.detector.offset import SensorOffset


@pytest.fixture
def at_rest() -> Floating:
    """It read the wort of 50 points as 52."""
    offset = SensorOffset(50.0)
    for hour in range(12):
        offset.hour(52.0, float(hour))
    assert offset.points == 2.0
    return Floating(offset)


def gravity(floating: Floating, level: float) -> float:
    return level - floating.offset.points


def test_a_bump_leaves_the_beer_what_it_was(at_rest: Floating) -> None:
    at_rest.stepped(6.0, 19.0)
    at_rest.hour(19.0)
    assert gravity(at_rest, 19.0) == pytest.approx(11.0)
    assert at_rest.bumped == 6.0


@pytest.mark.parametrize("went", ["in a step", "little by little"])
def test_what_lifted_it_and_went_takes_its_offset_with_it(at_rest: Floating, went: str) -> None:
    at_rest.stepped(4.0, 17.0)
    at_rest.stepped(2.0, 19.0)
    if went == "in a step":
        at_rest.stepped(-6.0, 13.0)
    else:
        for level in (18.0, 16.0, 14.5):
            at_rest.hour(level)
    assert (at_rest.offset.points, at_rest.bumped) == (2.0, 0.0)


def test_what_lifts_more_than_a_bump_is_not_the_float_s(at_rest: Floating) -> None:
    at_rest.stepped(9.5, 22.5)
    assert (at_rest.offset.points, at_rest.bumped) == (2.0, 0.0)


def test_no_step_counts_before_the_float_has_come_to_rest() -> None:
    unsettled = Floating(SensorOffset(None))
    unsettled.stepped(6.0, 56.0)
    assert (unsettled.offset.points, unsettled.bumped) == (0.0, 0.0)


@pytest.mark.parametrize(("beer_known", "expected"), [(True, 11.0), (False, 16.0)])
def test_a_moved_float_is_compared_three_hours_later(at_rest: Floating, beer_known: bool, expected: float) -> None:
    at_rest.disturbed(13.0, beer_known=beer_known)
    for _ in range(2):
        at_rest.hour(16.0)
        assert at_rest.resettling_h > 0
    at_rest.hour(16.0)
    assert at_rest.resettling_h == 0
    assert gravity(at_rest, 16.0) == pytest.approx(expected)
    assert at_rest.bumped == 3.0


def test_a_sample_waits_for_a_reading_and_speaks_for_itself_meanwhile(at_rest: Floating) -> None:
    at_rest.sample(20.0, 0, 200.0, ceiling=15.0)
    assert (at_rest.sample_above, at_rest.offset.sampled_us) == (True, None)
    assert at_rest.hour(20.5)
    assert (at_rest.sample_above, at_rest.offset.sampled_us) == (False, 0)
    assert at_rest.offset.points == pytest.approx(0.5)
    assert not at_rest.hour(20.5)


@pytest.mark.parametrize(("since_pitch_h", "points"), [(1.0, 3.0), (20.0, -1.0)])
def test_a_sample_of_the_wort_is_held_against_the_wort(since_pitch_h: float, points: float) -> None:
    floating = Floating(SensorOffset(None))
    floating.sample(50.0, 0, since_pitch_h, ceiling=None)
    assert not floating.hour(53.0)
    for hour in range(12):
        floating.offset.hour(53.0, float(hour))
    assert floating.hour(49.0)
    assert floating.offset.points == pytest.approx(points)


def test_pressure_counts_until_a_sample_is_drawn(at_rest: Floating) -> None:
    pressed = [at_rest.pressed]
    at_rest.sealed()
    pressed.append(at_rest.pressed)
    at_rest.sample(12.0, 0, 200.0, ceiling=15.0)
    pressed.append(at_rest.pressed)
    assert pressed == [False, True, False]
    at_rest.hour(20.0)
    assert at_rest.offset.disagreement == 0.0, "pressure explains what a sample and the sensor differ by"
