"""A sensor that repeats itself, told from a beer at rest."""

from __future__ import annotations

import numpy as np
import pytest

from lullwort.analysis import CourseHour, sensor_stood
from lullwort.records import HOUR_US


def hours_of(points: list[float], resolution: float) -> list[CourseHour]:
    return [
        CourseHour(hour * HOUR_US, each, 20.0, 1.0 + each / 1000.0, "s", resolution)
        for hour, each in enumerate(points, start=1)
    ]


def falling(resolution: float, hours: int = 60) -> list[float]:
    points = 30.0 - 0.5 * np.arange(hours) + 0.2 * np.random.default_rng(2).standard_normal(hours)
    return [round(round(point / resolution) * resolution, 4) for point in points.tolist()]


@pytest.mark.parametrize("resolution", [0.1, 1.0])
def test_hours_that_stand_in_the_fall_are_told_but_for_the_first(resolution: float) -> None:
    points = falling(resolution)
    stood = sensor_stood(hours_of(points[:30] + [points[29]] * 20 + points[50:], resolution))
    assert np.flatnonzero(stood).tolist() == list(range(30, 50))
    still_going_on = sensor_stood(hours_of(points[:30] + [points[29]] * 20, resolution))
    assert still_going_on.tolist() == stood[:50].tolist()


def test_a_beer_at_rest_that_is_read_in_whole_points_is_not() -> None:
    resting = [*falling(1.0, 36), *[12.0] * 60]
    eases = [
        18.0,
        17.0,
        16.0,
        16.0,
        15.0,
        15.0,
        15.0,
        14.0,
        14.0,
        14.0,
        14.0,
        13.0,
        13.0,
        13.0,
        13.0,
        13.0,
        *[12.0] * 40,
    ]
    assert not sensor_stood(hours_of(falling(1.0, 20) + eases, 1.0)).any()
    knocked = sensor_stood(hours_of([*resting[:24], *eases, *[7.0] * 30], 1.0))
    assert not knocked.any()


def test_a_sensor_that_is_always_as_still_is_not() -> None:
    still = [float(level) for level in np.repeat(np.arange(12.0, 10.0, -0.1), 10)]
    assert not sensor_stood(hours_of(still, 0.1)).any()


@pytest.mark.parametrize(("resolution", "noise"), [(0.1, 0.02), (0.2, 0.02), (0.4, 0.05), (0.4, 0.1), (1.0, 0.1)])
def test_a_beer_at_rest_is_not_where_the_sensor_scatters_by_less_than_its_steps(
    resolution: float, noise: float
) -> None:
    hours, rng = np.arange(400.0), np.random.default_rng(3)
    for end in (10.0, 10.1, 10.2, 10.3):
        points = end + 40.0 / (1.0 + np.exp((hours - 50.0) / 10.0)) + noise * rng.standard_normal(len(hours))
        read = np.round(np.round(points / resolution) * resolution, 4).tolist()
        assert not sensor_stood(hours_of(read, resolution)).any()


def test_each_sensor_is_judged_by_its_own_hours() -> None:
    lively = (12.0 + 0.3 * np.random.default_rng(5).standard_normal(60)).round(1).tolist()
    whole = [hour._replace(sensor="whole") for hour in hours_of([12.0] * 60, 1.0)]
    fine = hours_of([12.0] * 60 + lively, 0.1)[60:]
    assert not sensor_stood([*whole, *fine]).any()
    stands = hours_of([12.0] * 60 + lively + [lively[-1]] * 20, 0.1)[60:]
    assert np.flatnonzero(sensor_stood([*whole, *stands])).tolist() == list(range(120, 140))
    other = [hour._replace(sensor="other") for hour in hours_of([*lively, *[lively[-1]] * 8], 0.1)[60:]]
    assert not sensor_stood([*hours_of(lively, 0.1), *other]).any()


def test_nothing_is_told_of_a_sensor_whose_steps_are_not_known() -> None:
    assert not sensor_stood(hours_of([12.0] * 100, 0.0)).any()
    assert len(sensor_stood([])) == 0
