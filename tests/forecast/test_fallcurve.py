"""The curve shows the fall of the beer, whatever else moved the float."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from lullwort.analysis import CourseHour
from lullwort.forecast.fallcurve import FallCurve
from lullwort.records import HOUR_US, Event
from lullwort.units import FloatArray

Bench = Any  # the fixture's class lives in conftest.py


def curve_of(course: list[CourseHour], *events: Event) -> FallCurve:
    curve = FallCurve.of(course, events, 0)
    assert curve is not None
    return curve


def furthest_off(curve: FallCurve, truth: FloatArray) -> float:
    return float(np.abs(curve.points - truth).max())


def test_it_never_rises_and_lies_within_the_noise_of_the_beer(bench: Bench) -> None:
    curve = curve_of(bench.course(bench.ale, noise=0.5))
    assert np.all(np.diff(curve.points) <= 0.0)
    assert furthest_off(curve, bench.ale(curve.hours)) < 1.0
    assert curve.start == pytest.approx(50.0, abs=0.5)
    assert curve.start_steady
    assert curve.noise(100.0, 200.0) == pytest.approx(0.5, rel=0.3)


@pytest.mark.parametrize("step", [-6.0, 6.0])
def test_a_bump_is_taken_out_from_where_it_came(bench: Bench, step: float) -> None:
    curve = curve_of(bench.course(lambda h: bench.ale(h) + step * (h > 130.0)))
    assert furthest_off(curve, bench.ale(curve.hours)) < 1.0
    # More than a bump lifts or drops a float is something else, and stays seen.
    dropped = curve_of(bench.course(lambda h: bench.ale(h) - 20.0 * (h > 130.0)))
    assert dropped.points[-1] == pytest.approx(-9.0, abs=0.5)


def test_foam_and_a_float_that_has_yet_to_come_to_rest_are_no_fall(bench: Bench) -> None:
    lifted = curve_of(bench.course(lambda h: bench.ale(h) + 8.0 * np.exp(-h / 2.0) + 3.0 * ((h > 95) & (h < 100))))
    assert furthest_off(lifted, bench.ale(lifted.hours)) < 1.5


def test_hours_in_which_a_reading_stood_still_count_as_a_silence(bench: Bench) -> None:
    course = bench.course(bench.ale)
    stood = [h._replace(points=course[40].points) if 40 < i < 60 else h for i, h in enumerate(course)]
    curve = curve_of(stood)
    assert len(curve.hours) == len(course) - 19
    assert curve.silent_h(45.0) == 20.0
    assert curve.silent_h(80.0, 90.0) == 1.0
    assert curve.at(62.0) == pytest.approx(bench.ale(62.0), abs=1.0)
    # A coarse sensor repeats itself over a beer at rest, which is none.
    still = [h._replace(points=11.0) if i > 120 else h for i, h in enumerate(course)]
    assert len(curve_of(still).hours) == len(course)


@pytest.mark.parametrize("at_once", [8.0, 3.0])
def test_what_was_put_in_counts_as_part_of_the_fall(bench: Bench, at_once: float) -> None:
    def fed(h: FloatArray) -> FloatArray:
        since = np.maximum(h - 150.0, 0.0)
        dissolved = at_once + (8.0 - at_once) * (1.0 - np.exp(-since / 10.0))
        fermented = 8.0 * (1.0 - np.exp(-since / 20.0))
        return np.asarray(bench.ale(h) + np.where(h > 150.0, dissolved - fermented, 0.0))

    sugar = Event(at_us=150 * HOUR_US, kind="addition", points=8.0)
    curve = curve_of(bench.course(fed, 300), sugar)
    assert curve.at(140.0) == pytest.approx(11.0, abs=1.5)
    assert curve.points[-1] == pytest.approx(3.0, abs=0.5)


def test_a_level_is_reached_once_it_has_been_held_for_hours(bench: Bench) -> None:
    course = bench.course(bench.ale)
    curve = curve_of(course)
    assert curve.reaches(30.5) == pytest.approx(54.0, abs=1.0)
    assert curve.reaches(9.0) is None
    assert curve_of(course[:58]).points[-1] < 30.5
    assert curve_of(course[:58]).reaches(30.5) is None
    assert curve_of(course[80:]).reaches(30.5) is None  # before the log began


def test_a_batch_without_a_value_has_no_curve() -> None:
    assert FallCurve.of([CourseHour(HOUR_US, None, 20.0)], (), 0) is None
    assert curve_of([CourseHour(HOUR_US, 50.0, 20.0)]).points.tolist() == [50.0]
