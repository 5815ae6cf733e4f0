"""Who guesses tokens waits; nobody else does."""

from __future__ import annotations

import pytest

from lullwort.card import Guesses


def guessed(guesses: Guesses, address: str, times: int, now_s: float = 0.0) -> None:
    for nth in range(times):
        guesses.wrong(address, f"{address} guess {nth} at {now_s}", now_s)


def test_slips_cost_nothing_and_guesses_ever_more() -> None:
    guesses, waits = Guesses(), []
    for nth in range(30):
        guesses.wrong("192.0.2.7", f"guess {nth}", 0.0)
        waits.append(guesses.wait_s("192.0.2.7", 0.0))
    assert waits[:9] == [0.0, 0.0, 0.0, 0.0, 0.0, 2.0, 4.0, 8.0, 16.0]
    assert max(waits) == waits[-1] == 900.0


def test_after_the_wait_one_more_is_looked_at() -> None:
    guesses = Guesses()
    guessed(guesses, "192.0.2.7", 8)
    assert guesses.wait_s("192.0.2.7", 7.9) == pytest.approx(0.1)
    assert guesses.wait_s("192.0.2.7", 8.0) == 0.0
    guesses.wrong("192.0.2.7", "another", 8.0)
    assert guesses.wait_s("192.0.2.7", 8.0) == 16.0


def test_one_address_shuts_out_no_other_and_the_right_token_forgives() -> None:
    guesses = Guesses()
    guessed(guesses, "192.0.2.7", 40)
    assert guesses.wait_s("192.0.2.8", 0.0) == 0.0
    guesses.right("192.0.2.7")
    assert guesses.wait_s("192.0.2.7", 0.0) == 0.0


def test_a_sensor_that_sends_the_same_wrong_token_for_ever_is_no_guesser() -> None:
    guesses = Guesses()
    for minute in range(10_000):
        guesses.wrong("192.0.2.7", "the old token", 60.0 * minute)
    assert guesses.wait_s("192.0.2.7", 600_000.0) == 0.0


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("2001:db8:1:2::7", "2001:db8:1:2:ffff::8"),  # one household has 2^64 of them [RFC 4291 2.5.4]
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("fe80::1%eth0", "fe80::2%eth1"),
    ],
)
def test_addresses_of_one_household_wait_together(one: str, other: str) -> None:
    guesses = Guesses()
    guessed(guesses, one, 10)
    assert guesses.wait_s(other, 0.0) > 0.0


def test_all_is_forgotten_after_an_hour() -> None:
    guesses = Guesses()
    guessed(guesses, "192.0.2.7", 20)
    guesses.wrong("192.0.2.7", "once more", 3601.0)
    assert guesses.wait_s("192.0.2.7", 3601.0) == 0.0


def test_what_is_kept_is_bounded_and_whoever_guessed_last_is_kept() -> None:
    guesses = Guesses()
    for nth in range(5000):
        guessed(guesses, f"10.{nth >> 8}.{nth & 255}.1", 1, float(nth))
    guessed(guesses, "no address at all" * 100, 1)
    assert len(guesses._by_address) == 1000
    assert all(len(name) <= 64 for name in guesses._by_address)
    guessed(guesses, "192.0.2.7", 20, 5000.0)
    for nth in range(999):
        guessed(guesses, f"10.200.{nth >> 8}.{nth & 255}", 1, 5001.0)
    assert guesses.wait_s("192.0.2.7", 5001.0) > 0.0
