from __future__ import annotations

from itertools import permutations

from lullwort.analysis import settle
from lullwort.records import Reading

A = Reading("s", "v", 1, 1.050, 20.0)
B = Reading("s", "v", 1, 1.051, 20.0)
C = Reading("s", "v", 2, 1.052, 20.0)
OTHER = Reading("t", "v", 1, 1.060, 20.0)


def test_readings_come_in_order_of_time_then_sensor() -> None:
    for order in permutations([A, C, OTHER]):
        assert settle(order).readings == [A, OTHER, C]


def test_repeats_are_one_and_contradictions_none_in_any_order() -> None:
    for order in permutations([A, A, B, C, OTHER]):
        assert settle(order) == ([OTHER, C], 1)


def test_equal_readings_of_two_sensors_do_not_contradict() -> None:
    assert settle([A, OTHER]).conflicts == 0
