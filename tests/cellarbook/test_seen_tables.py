"""A book of version 4 brought up to date, with rows of every kind that came since version 2 in it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Alert, Instrument

Shelf = Any  # the fixtures' classes live in conftest.py
Layout = Any

ALERT = Alert(kind="ready", about="north-12", on=True, at_us=7, batch="north-12", title="Ready", says="It may be.")
JAR = Instrument(name="jar", calibrated_c=15.56)


@pytest.fixture
def old(path: Path, shelf: Shelf) -> Path:
    """A book of version 4 with an alert that has not been delivered, an instrument and an import."""
    with shelf.older(path, 4) as book:
        book.execute("INSERT INTO import VALUES (5, 'csv', 'good.csv', 'aa', 'sg', 0, 1, 2, NULL)")
        entered = msgspec.json.encode(ALERT).decode()
        book.execute("INSERT INTO alert VALUES (9, 'ready', 'north-12', 1, 0, ?, ?)", (ALERT.key, entered))
        book.execute("INSERT INTO delivery VALUES (9, 'push', 8, 1, 80, NULL, 'no network')")
        book.execute("INSERT INTO instrument VALUES (3, 'jar', ?)", (msgspec.json.encode(JAR).decode(),))
    return path


def test_everything_in_a_book_of_version_4_is_there_afterwards_and_its_alerts_can_be_seen(
    old: Path, shelf: Shelf, newest: Layout
) -> None:
    before = shelf.everything(old)
    with open_book(old):
        pass
    after = shelf.everything(old)
    assert shelf.layout(old) == newest
    assert after == {table: [] for table in after} | before
    with open_book(old) as book:
        assert [(one.alert, one.seen_us) for one in book.outbox.standing_on()] == [(ALERT, None)]
        assert book.equipment.instruments() == (JAR,)
        assert book.outbox.see(book.outbox.recent(1)[0].name, 90).seen_us == 90
        assert [delivery.alert for delivery in book.outbox.due(80, 9)] == [ALERT]
    assert shelf.everything(old) == after | {"seen": [(9,)]}
