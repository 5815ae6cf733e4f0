"""What shifts a float's reading of the same beer, taken apart from what the beer does."""

from __future__ import annotations

import pytest

from lullwort.analysis import HandReading
from lullwort.detector.floating import Floating, Seen
from lullwort.detector.offset import SensorOffset


@pytest.fixture
def at_rest() -> Floating:
    """It read the wort of 50 points as 52."""
    offset = SensorOffset(50.0)
    for hour in range(12):
        offset.hour(52.0, float(hour))
    assert offset.points == 2.0
    return Floating(offset)


def by_hand(points: float) -> HandReading:
    return HandReading(0, points, 0.3, 0.5, "jar")


def seen(level: float) -> Seen:
    return Seen(0, level, 0.2, 0.0, False)


def gravity(floating: Floating, level: float) -> float:
    return floating.offset.gravity(level)


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
    at_rest.sample(by_hand(20.0), 200.0, ceiling=15.0)
    assert (at_rest.awaits, at_rest.sample_above, at_rest.offset.sampled_us) == (True, True, None)
    at_rest.compare(seen(20.5))
    assert (at_rest.awaits, at_rest.sample_above, at_rest.offset.sampled_us) == (False, False, 0)
    assert gravity(at_rest, 20.5) == pytest.approx(20.0, abs=0.3)


@pytest.mark.parametrize(("since_pitch_h", "points"), [(1.0, 3.0), (20.0, -1.0)])
def test_a_sample_of_the_wort_is_held_against_the_wort(since_pitch_h: float, points: float) -> None:
    floating = Floating(SensorOffset(None))
    floating.sample(by_hand(50.0), since_pitch_h, ceiling=None)
    waiting = [floating.awaits]
    for hour in range(12):
        floating.offset.hour(53.0, float(hour))
    waiting.append(floating.awaits)
    assert waiting == [False, True]
    floating.compare(seen(49.0))
    assert 50.0 + points == pytest.approx(floating.offset.points + 50.0 * floating.offset.scale, abs=0.1)


def test_pressure_counts_until_a_sample_is_drawn(at_rest: Floating) -> None:
    pressed = [at_rest.pressed]
    at_rest.sealed()
    pressed.append(at_rest.pressed)
    at_rest.sample(by_hand(12.0), 200.0, ceiling=15.0)
    pressed.append(at_rest.pressed)
    assert pressed == [False, True, False]
    at_rest.compare(seen(20.0))
    assert at_rest.offset.disagreement == 0.0, "pressure explains what a sample and the sensor differ by"
