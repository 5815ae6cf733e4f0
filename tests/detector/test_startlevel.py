"""Where a sensor reads the wort before the yeast begins, in spite of what floats do in their first hours."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import pytest

from lullwort.detector.startlevel import StartLevel


def start_of(reads: Callable[[float], float], hours: Iterable[float] = range(48)) -> StartLevel:
    start = StartLevel()
    for hour in hours:
        start.hour(reads(float(hour)), float(hour))
    return start


def fading(points: float, rise_h: float, fade_h: float) -> Callable[[float], float]:
    """53 points, and at first more: `points` gained over `rise_h`, then fading."""

    def reads(h: float) -> float:
        return 53.0 + points * (h / rise_h if h < rise_h else math.exp(-(h - rise_h) / fade_h))

    return reads


def test_hours_four_to_ten_tell_it_and_not_the_first() -> None:
    start = start_of(lambda h: 65.0 if h < 4 else 53.0, range(12))
    assert (start.points, start.steady) == (53.0, True)


@pytest.mark.parametrize("fade_h", [3.0, 4.0, 5.0])
@pytest.mark.parametrize("points", [8.0, 15.0])
def test_a_float_that_comes_to_rest_late_is_waited_for(points: float, fade_h: float) -> None:
    start = start_of(fading(points, 3.0, fade_h))
    assert start.steady
    assert start.points == pytest.approx(53.0, abs=1.5)


def test_yeast_that_begins_early_does_not_lower_the_wort() -> None:
    start = start_of(lambda h: 53.0 - 0.06 * max(0.0, h - 4.0) ** 2)
    assert start.steady
    assert start.points == pytest.approx(53.0, abs=0.5)


def test_a_float_that_rests_only_when_the_yeast_has_begun_tells_nothing_for_certain() -> None:
    start = start_of(lambda h: fading(12.0, 3.0, 5.0)(h) - 0.5 * max(0.0, h - 8.0))
    assert start.points is not None
    assert not start.steady


def test_a_log_with_few_readings_gives_what_it_has() -> None:
    assert start_of(lambda _: 53.0, (0.0, 4.0, 8.0, 12.0)).steady
    one_in_time = start_of(fading(12.0, 3.0, 4.0), (2.0, 14.0, 26.0, 38.0))
    assert one_in_time.points is not None
    assert not one_in_time.steady, "one value does not show that it stood still"


def test_a_sensor_put_in_late_tells_nothing() -> None:
    assert start_of(lambda _: 30.0, range(40, 90)).points is None
