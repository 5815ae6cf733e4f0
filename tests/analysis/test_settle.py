from __future__ import annotations

from collections.abc import Iterable
from itertools import permutations
from typing import NamedTuple

import pytest

from lullwort.analysis import SAME_GRAVITY_SG, settle
from lullwort.records import Reading, VesselReadings

A = Reading("s", "v", 1, 1.050, 20.0)
B = Reading("s", "v", 1, 1.051, 20.0)
C = Reading("s", "v", 2, 1.052, 20.0)
OTHER = Reading("a", "v", 1, 1.060, 20.0)


class Rows(NamedTuple):
    readings: list[Reading]
    conflicts: int


def settled(rows: Iterable[Reading]) -> Rows:
    readings, conflicts = settle(VesselReadings.of(rows))
    columns = zip(
        readings.sensor_codes.tolist(),
        readings.at_us.tolist(),
        readings.gravity.tolist(),
        readings.temperature_c.tolist(),
        strict=True,
    )
    return Rows(
        [
            Reading(readings.sensors[s], "v", at_us, None if g != g else g, None if t != t else t)
            for s, at_us, g, t in columns
        ],
        conflicts,
    )


def test_readings_come_in_order_of_time_then_sensor() -> None:
    for order in permutations([A, C, OTHER]):
        assert settled(order).readings == [OTHER, A, C]


def test_repeats_are_one_and_contradictions_none_in_any_order() -> None:
    for order in permutations([A, A, B, C, OTHER]):
        assert settled(order) == ([OTHER, C], 1)


def test_equal_readings_of_two_sensors_do_not_contradict() -> None:
    assert settled([A, OTHER]).conflicts == 0


def test_what_one_report_leaves_out_is_taken_from_the_other() -> None:
    only_gravity = Reading("s", "v", 1, 1.050, None)
    only_temperature = Reading("s", "v", 1, None, 20.0)
    for order in permutations([only_gravity, only_temperature, C]):
        assert settled(order) == ([A, C], 0)


@pytest.mark.parametrize("temp_c", [20.5, 19.5])
def test_a_differing_temperature_contradicts_too(temp_c: float) -> None:
    assert settled([A, Reading("s", "v", 1, 1.050, temp_c)]) == ([], 1)


def test_values_equal_but_for_rounding_agree_and_the_least_stands_in_any_order() -> None:
    near = Reading("s", "v", 1, 1.050 + 0.9 * SAME_GRAVITY_SG, 20.0)
    beyond = Reading("s", "v", 1, 1.050 - 0.9 * SAME_GRAVITY_SG, 20.0)
    for two in permutations([A, near]):
        assert settled(two) == ([A], 0)
    for three in permutations([A, near, beyond]):
        assert settled(three) == ([], 1)


def test_nothing_settles_to_nothing() -> None:
    assert settled([]) == ([], 0)
