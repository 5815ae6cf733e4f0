"""A sensor that repeats itself, and for how long one in health may."""

from __future__ import annotations

import pytest

from lullwort.analysis import Hour
from lullwort.detector.repeats import Repeats
from lullwort.records import HOUR_US


def repeating(hours: int, *, apart_h: int = 1, resolution: float = 0.1) -> tuple[Repeats, int]:
    """So many hours with the same reading, and the end of the last [µs]."""
    repeats, last_us = Repeats(gap_h=max(12.0, 2.5 * apart_h)), 0
    for i in range(hours):
        last_us = i * apart_h * HOUR_US
        repeats.hour(Hour(last_us, 1.012, 20.0, 1, (), False, resolution, 0, last_us))
    return repeats, last_us


@pytest.mark.parametrize(
    ("hours", "apart_h", "resolution", "frozen"),
    [
        (12, 1, 0.1, False),
        (13, 1, 0.1, True),
        (48, 1, 1.0, False),
        (49, 1, 1.0, True),
        (4, 6, 0.1, False),
        (5, 6, 0.1, True),
        (10, 12, 1.0, False),
        (11, 12, 1.0, True),
        (10, 12, 0.0, False),  # not yet known how coarse it is
    ],
)
def test_hours_and_readings_are_both_wanted(hours: int, apart_h: int, resolution: float, frozen: bool) -> None:
    repeats, last_us = repeating(hours, apart_h=apart_h, resolution=resolution)
    assert repeats.same_h(last_us) == (hours - 1) * apart_h
    assert repeats.frozen(last_us) is frozen


def test_after_a_long_silence_what_was_the_same_says_nothing() -> None:
    repeats, last_us = repeating(30)
    assert repeats.same_h(last_us + 12 * HOUR_US) == 29.0
    assert repeats.same_h(last_us + 13 * HOUR_US) == 0.0
    assert Repeats(12.0).same_h(0) == 0.0
