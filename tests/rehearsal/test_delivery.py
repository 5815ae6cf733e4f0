from __future__ import annotations

import numpy as np
import pytest

from lullwort.rehearsal.delivery import Delivery, HeldBack, WrongClock, deliver
from lullwort.rehearsal.sensor import Report

HOURS = np.arange(0.25, 100.0, 0.5)
SENT = Report(HOURS, 1.0 + HOURS / 1e4, 20.0 + HOURS / 100.0)


def came(delivery: Delivery, seed: int = 1) -> Report:
    return deliver(delivery, SENT, np.random.default_rng(seed))


def test_where_nothing_befalls_them_readings_come_as_they_were_sent() -> None:
    of = came(Delivery())
    assert (of.hours.tolist(), of.gravity.tolist()) == (SENT.hours.tolist(), SENT.gravity.tolist())


def test_a_wrong_clock_shifts_dates_but_neither_order_nor_values() -> None:
    of = came(Delivery(clocks=(WrongClock(0.0, 10.0, -8760.0), WrongClock(50.0, 60.0, 5.0))))
    assert of.gravity.tolist() == SENT.gravity.tolist()
    ahead = of.hours - SENT.hours
    assert ahead[HOURS < 10.0] == pytest.approx(-8760.0)
    assert ahead[(HOURS >= 50.0) & (HOURS < 60.0)] == pytest.approx(5.0)
    assert not ahead[(HOURS >= 10.0) & (HOURS < 50.0) | (HOURS >= 60.0)].any()


def test_what_was_held_back_comes_after_newer_readings_with_its_own_date() -> None:
    of = came(Delivery(held_back=(HeldBack(20.0, 30.0, 15.1),)))
    assert sorted(of.hours.tolist()) == SENT.hours.tolist()
    place = of.hours.tolist().index(20.25)
    assert of.hours[place - 1] == 35.25
    assert of.gravity == pytest.approx(1.0 + of.hours / 1e4)


def test_repeats_say_the_same_again_within_two_days_and_never_come_first() -> None:
    of = came(Delivery(repeated_share=1.0))
    times, counts = np.unique(of.hours, return_counts=True)
    assert times.tolist() == SENT.hours.tolist()
    assert set(counts.tolist()) == {2, 3}
    assert of.gravity == pytest.approx(1.0 + of.hours / 1e4)
    newest = np.maximum.accumulate(of.hours)
    assert 24.0 < (newest - of.hours).max() <= 48.0


def test_a_share_is_repeated() -> None:
    assert len(came(Delivery(repeated_share=0.4)).hours) == pytest.approx(len(HOURS) * 1.6, rel=0.15)
