"""The clock of the machine, set while the service runs."""

from __future__ import annotations

from lullwort.tend import BoardClock

MINUTE_US = 60_000_000


class Two:
    """What the machine shows, and how much time has passed."""

    def __init__(self) -> None:
        self.shown_us = self.passed_us = 10**15

    def pass_by(self, us: int) -> None:
        self.shown_us += us
        self.passed_us += us


def test_a_clock_that_is_set_is_noticed_once_and_the_passing_of_time_is_not() -> None:
    two = Two()
    clock = BoardClock(lambda: two.shown_us, lambda: two.passed_us)
    two.pass_by(10_000 * MINUTE_US)
    assert clock.set_by_us() == 0
    two.shown_us += 4320 * MINUTE_US
    two.pass_by(MINUTE_US)
    assert (clock.set_by_us(), clock.set_by_us()) == (4320 * MINUTE_US, 0)
    two.shown_us -= 60 * MINUTE_US
    assert (clock.set_by_us(), clock.set_by_us()) == (-60 * MINUTE_US, 0)


def test_a_clock_that_is_trimmed_little_by_little_is_noticed_when_it_has_come_far() -> None:
    two = Two()
    clock = BoardClock(lambda: two.shown_us, lambda: two.passed_us)
    told = []
    for _ in range(12):
        two.shown_us += MINUTE_US
        told.append(clock.set_by_us() // MINUTE_US)
    assert told == [0, 0, 0, 0, 5, 0, 0, 0, 0, 5, 0, 0]


def test_the_machines_own_clock_is_not_set_by_asking() -> None:
    assert BoardClock().set_by_us() == 0
