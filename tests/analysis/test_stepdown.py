"""Steps down of a beer at rest, found in hours drawn by hand."""

from __future__ import annotations

import numpy as np
import pytest

from lullwort.analysis import steps_down
from lullwort.units import FloatArray

HOURS = np.arange(300.0)
FALL = 12.0 + 40.0 / (1.0 + np.exp((HOURS - 50.0) / 10.0))


def noisy(points: FloatArray, sd: float = 0.3) -> FloatArray:
    return np.asarray(points + sd * np.random.default_rng(4).standard_normal(len(points)))


def test_a_step_is_found_in_its_hour_and_size() -> None:
    (step,) = steps_down(HOURS, noisy(FALL - 4.0 * (HOURS >= 180)))
    assert step.at_h == pytest.approx(180.0, abs=1.0)
    assert step.points == pytest.approx(4.0, abs=0.5)


def test_each_of_two_is_found() -> None:
    steps = steps_down(HOURS, noisy(FALL - 5.0 * (HOURS >= 130) - 3.5 * (HOURS >= 200)))
    assert [round(step.at_h, -1) for step in steps] == [130.0, 200.0]


@pytest.mark.parametrize(
    "points",
    [
        FALL,
        FALL + 4.0 * (HOURS >= 180),  # a step up is mended, or told of as a rise
        FALL - 20.0 * (HOURS >= 180),  # the end of a stand, in which the beer fell
        FALL - 4.0 * ((HOURS >= 180) & (HOURS < 183)),  # comes back
        FALL - 4.0 * np.clip((HOURS - 180.0) / 24.0, 0.0, 1.0),  # falls on within a day, as beer does
        FALL - 4.0 * (HOURS >= 50),  # hidden in the main fall
        FALL - 4.0 * (HOURS == 180),
    ],
)
def test_what_may_be_the_beer_or_does_not_last_is_none(points: FloatArray) -> None:
    assert steps_down(HOURS, noisy(points)) == []


def test_nothing_is_found_across_a_silence_or_in_a_few_hours() -> None:
    stepped = noisy(FALL - 4.0 * (HOURS >= 180))
    heard = (HOURS < 176) | (HOURS > 190)
    assert steps_down(HOURS[heard], stepped[heard]) == []
    for few in range(13):
        assert steps_down(HOURS[:few], FALL[:few]) == []
    assert steps_down(HOURS[:40], FALL[:40]) == []


def test_what_the_noise_makes_is_none() -> None:
    assert steps_down(HOURS, noisy(FALL - 4.0 * (HOURS >= 180), 2.0)) == []
