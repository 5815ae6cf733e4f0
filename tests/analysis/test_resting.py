"""Only hours in which gravity rests while temperature moves may teach a sensor's answer to temperature."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lullwort.analysis import CourseHour
from lullwort.analysis.resting import Piece, resting_pieces
from lullwort.records import HOUR_US, Event
from lullwort.records.batch import EventKind

DAYS = 20
CRASH_H = 13 * 24


def course(*, chilled: bool = True, sensor: str = "float", days: int = DAYS) -> list[CourseHour]:
    """An ale that falls from 50 to 11 points within five days, chilled on the thirteenth."""
    rng, hours = np.random.default_rng(1), []
    for hour in range(days * 24):
        beer = 11.0 + 39.0 / (1.0 + math.exp((hour - 52.0) / 9.0))
        temp_c = float(np.interp(hour, [CRASH_H, CRASH_H + 24], [20.0, 4.0])) if chilled else 20.0
        points = beer + 0.2 * float(rng.standard_normal())
        hours.append(CourseHour((hour + 1) * HOUR_US, points, temp_c, round(1.0 + points / 1000.0, 5), sensor, 0.1))
    return hours


def pieces(of: list[CourseHour], *events: Event) -> list[Piece]:
    return list(resting_pieces(of, events))


def noted(kind: EventKind, hour: int) -> Event:
    return Event(at_us=hour * HOUR_US, kind=kind)


def test_a_finished_beer_that_is_chilled_is_a_piece() -> None:
    (*_, piece) = pieces(course())
    assert piece.sensor == "float"
    assert np.ptp(piece.temp_c) == pytest.approx(16.0, abs=0.5)
    assert np.all(np.diff(piece.hours) > 0)
    assert piece.hours[-1] == DAYS * 24


def test_a_batch_at_one_temperature_has_none() -> None:
    assert pieces(course(chilled=False)) == []


def test_the_main_fall_is_none_however_temperature_moves() -> None:
    falling = [hour._replace(temperature_c=20.0 + 3.0 * math.sin(nth / 4.0)) for nth, hour in enumerate(course())]
    assert pieces(falling[:110]) == []
    assert all(piece.hours[0] > 100 for piece in pieces(falling))  # less than a fifth of a point is left


@pytest.mark.parametrize(("kind", "away_h"), [("dry hop", 96), ("addition", 96), ("rouse", 24)])
def test_what_lies_on_the_sensor_or_ferments_is_left_out(kind: EventKind, away_h: int) -> None:
    at_h = CRASH_H - 48
    for piece in pieces(course(), noted(kind, at_h)):
        assert not np.any((piece.hours > at_h) & (piece.hours < at_h + away_h))


def test_after_sealing_pressure_may_be_what_moves_the_reading() -> None:
    assert pieces(course(), noted("seal", CRASH_H)) == []


def test_a_moved_vessel_and_a_long_silence_part_what_is_before_from_what_is_after() -> None:
    at_h = CRASH_H + 10
    assert all(piece.hours[-1] <= at_h or piece.hours[0] >= at_h for piece in pieces(course(), noted("moved", at_h)))
    silent = [hour for hour in course() if not at_h < hour.end_us / HOUR_US <= at_h + 30]
    assert all(piece.hours[-1] <= at_h or piece.hours[0] > at_h + 30 for piece in pieces(silent))


def test_each_sensor_has_its_own() -> None:
    both = [hour if nth < CRASH_H + 12 else hour._replace(sensor="other") for nth, hour in enumerate(course())]
    assert {piece.sensor for piece in pieces(both)} == {"float", "other"}


@pytest.mark.parametrize("resolution", [0.1, 1.0])
def test_a_sensor_that_stands_still_while_temperature_moves_teaches_nothing(resolution: float) -> None:
    stands = [
        hour._replace(points=11.0 + 0.1 * (hour.temperature_c or 0.0), reported=1.011, resolution=resolution)
        if nth > CRASH_H - 24
        else hour
        for nth, hour in enumerate(course())
    ]
    assert pieces(stands) == []


def test_hours_without_a_temperature_teach_nothing() -> None:
    assert pieces([hour._replace(temperature_c=None) for hour in course()]) == []


def test_no_hours_are_no_piece() -> None:
    assert pieces([]) == []
