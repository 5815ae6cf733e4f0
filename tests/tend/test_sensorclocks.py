"""Clocks of sensors that are ahead, behind, set back or back in 1970, told from when readings arrive."""

from __future__ import annotations

import numpy as np
import pytest

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.records import COMMON_UNITS, Block, SetAside, parse_instant
from lullwort.tend import SensorClocks

MINUTE_US = 60_000_000
NOON_US = parse_instant("2026-03-02T12:00:00Z")


def reading(at_us: int, sensor: str = "f1") -> Block:
    builder = BlockBuilder(COMMON_UNITS)
    builder.add(sensor, "north", at_us, [1.05, 20.0, np.nan, np.nan, np.nan], 0)
    return builder.build()


def after(*, lag_min: list[float], every_min: float = 15.0) -> str | None:
    """What is told after a reading each so many minutes, dated so much before it arrives."""
    clocks, now_us = SensorClocks(), NOON_US
    for lag in lag_min:
        now_us += round(every_min * MINUTE_US)
        clocks.hear([reading(now_us - round(lag * MINUTE_US))], [], now_us)
    return clocks.fault("f1", now_us)


@pytest.mark.parametrize(
    ("lag_min", "told"),
    [
        ([0.1] * 10, ""),
        ([0.1] * 10 + [-45.0], "Its newest reading is dated 45 minutes ahead."),
        ([300.0] * 4, "Its readings are dated 300 minutes before they arrive, one like the other."),  # a zone left out
        ([0.1] * 10 + [60.0] * 4, "Its readings are dated 60 minutes before they arrive, one like the other."),
        ([0.1] * 10 + [60.0] * 2, None),  # not proved yet
        ([], None),  # as after a start
        ([60.0] * 4 + [0.1] * 3, ""),  # set right
        ([20.0] * 10, ""),  # a gateway that sends now and then
    ],
)
def test_what_is_told(lag_min: list[float], told: str | None) -> None:
    assert after(lag_min=lag_min) == told


def test_a_backlog_is_no_fault_for_it_catches_up() -> None:
    assert after(lag_min=[3000.0 - 30.0 * nth for nth in range(90)], every_min=1.0) is None
    assert after(lag_min=[3000.0 - 30.0 * nth for nth in range(101)], every_min=1.0) == ""


def test_when_this_machines_clock_was_set_nothing_is_known_until_something_arrives() -> None:
    clocks = SensorClocks()
    clocks.hear([reading(NOON_US + 60 * MINUTE_US)], [], NOON_US)
    clocks.forget()
    assert clocks.fault("f1", NOON_US) is None
    clocks.hear([reading(NOON_US + 60 * MINUTE_US)], [], NOON_US + 60 * MINUTE_US)
    assert clocks.fault("f1", NOON_US + 60 * MINUTE_US) == ""


def test_times_that_cannot_be_are_told_until_a_good_one_comes_a_day_later() -> None:
    clocks = SensorClocks()
    row = SetAside("t", 0, "time", "1970-01-01T00:20:00Z", "a time from 2000 on", "{}", "north")
    clocks.hear([], [row], NOON_US)
    assert "1970-01-01T00:20:00Z" in clocks.fault_in("north")
    assert clocks.fault_in("south") == ""
    clocks.hear([reading(NOON_US + 60 * MINUTE_US)], [], NOON_US + 60 * MINUTE_US)  # of another sensor in there
    assert clocks.fault_in("north") != ""
    clocks.hear([reading(NOON_US + 25 * 60 * MINUTE_US)], [], NOON_US + 25 * 60 * MINUTE_US)
    assert clocks.fault_in("north") == ""


def test_other_faults_of_a_row_say_nothing_of_a_clock() -> None:
    clocks = SensorClocks()
    clocks.hear([], [SetAside("t", 0, "gravity", "x", "a number", "{}", "north")], NOON_US)
    assert clocks.fault_in("north") == ""


def test_names_that_somebody_makes_up_are_not_all_remembered() -> None:
    clocks = SensorClocks()
    for nth in range(1200):
        clocks.hear([reading(NOON_US + 60 * MINUTE_US, f"f{nth}")], [], NOON_US)
    assert clocks.fault("f0", NOON_US) != ""
    assert clocks.fault("f1199", NOON_US) is None
