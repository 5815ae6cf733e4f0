"""By which names the card is asked for: numbers and its own."""

from __future__ import annotations

import pytest

from lullwort.card.door.hosts import Hosts

HOSTS = Hosts(["cellar.lan"], own="Board.home.example")


@pytest.mark.parametrize(
    "host",
    [
        "localhost", "LOCALHOST:8137", "localhost.", "127.0.0.1:8137", "192.0.2.7", "[::1]:8137", "[2001:db8::7]",
        "board.home.example", "board", "board.local:8443", "BOARD.local", "cellar.lan:8137", "cellar.lan.",
    ],
)  # fmt: skip
def test_numbers_and_own_names_are_meant_for_us(host: str) -> None:
    assert HOSTS.may_be(host)


@pytest.mark.parametrize(
    "host",
    [
        "", "elsewhere.example", "cellar.lan.elsewhere.example", "xcellar.lan", "localhost.elsewhere.example", "0x7f.1",
        "127.0.0.1.elsewhere.example", "localhost:8137@elsewhere.example", "localhost/x", "localhost:80:80", "[::1",
        "2130706433x",
        "\u00b9\u00b2\u2077.0.0.1", "local host", "localhost\r\nX: 1", "localhost\x00", "a" * 70_000,
    ],
)  # fmt: skip
def test_any_other_is_not(host: str) -> None:
    assert not HOSTS.may_be(host)
