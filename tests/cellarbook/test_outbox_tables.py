"""A book of version 2 brought up to date, with rows of every kind in it."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest

from lullwort.cellarbook import Told, VerdictRow, open_book
from lullwort.cellarbook.copies import newest_sound_copy
from lullwort.cellarbook.keys import key_name
from lullwort.cellarbook.segments import Segment, pack
from lullwort.records import HOUR_US, Alert, Batch, Event, Reading, SetAside, key64

pytestmark = pytest.mark.usefixtures("unmeasured")

Shelf = Any  # the fixtures' classes live in conftest.py
Layout = Any
EVER = (-(2**62), 2**62)

BATCH = Batch(vessel="north", name="north-12", pitched_us=0, original_gravity=1.05)
EVENT = Event(at_us=5, kind="rouse")
IMPORT = key64("csv", "aa", "sg")
LOG = [Reading("north", "north", i * HOUR_US, 1.05 - i / 1e4, 20.0) for i in range(500)]


@pytest.fixture
def old(path: Path, shelf: Shelf) -> Path:
    """A book of version 2."""
    with shelf.older(path, 2) as book:
        book.execute("INSERT INTO import VALUES (?, 'csv', 'good.csv', 'aa', 'sg', 0, 1, 2, NULL)", (IMPORT,))
        stream = key64(f"{IMPORT}", "north", "north", "sg", "C", "V")
        span = (LOG[0].at_us, LOG[-1].at_us)
        book.execute(
            "INSERT INTO stream VALUES (?, ?, 'north', 'north', 'sg', 'C', 'V', ?, ?)", (stream, IMPORT, *span)
        )
        values = np.full((5, len(LOG)), np.nan)
        values[0] = [reading.gravity for reading in LOG]
        values[1] = 20.0
        at_us = np.array([reading.at_us for reading in LOG], dtype=np.int64)
        key, *columns = pack(stream, Segment("north", "north", at_us, values))
        segment = (key, stream, *span, len(LOG), *columns)
        book.execute("INSERT INTO segment VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", segment)
        book.execute(
            "INSERT INTO set_aside VALUES (?, 7, 'good.csv', 7, 'gravity', 'x', 'a number', '7;x', 'north')", (IMPORT,)
        )
        batch = key64("north-12")
        entered = msgspec.json.encode(BATCH).decode(), msgspec.json.encode(EVENT).decode()
        book.execute("INSERT INTO batch VALUES (?, 'north-12', 'north', 0, ?)", (batch, entered[0]))
        book.execute("INSERT INTO event VALUES (?, 5, 9, ?)", (batch, entered[1]))
        book.execute("INSERT INTO verdict VALUES (?, 5, 'lag', '', '[]')", (batch,))
        book.execute("INSERT INTO told VALUES (?, 6, 'lag', 5, 'Wait.')", (batch,))
    return path


def test_everything_in_a_book_of_version_2_is_there_afterwards(old: Path, shelf: Shelf, newest: Layout) -> None:
    before = shelf.everything(old)
    with open_book(old) as book:
        assert list(book.readings.of("north", *EVER)) == LOG
        assert [(i.name, i.readings, i.set_aside, i.in_use) for i in book.imports.all()] == [
            (key_name(IMPORT), 500, 1, True)
        ]
        assert book.imports.set_aside(key_name(IMPORT)) == [
            SetAside("good.csv", 7, "gravity", "x", "a number", "7;x", "north")
        ]
        assert book.batches.all() == [msgspec.structs.replace(BATCH, events=(EVENT,))]
        assert book.verdicts.of("north-12") == [VerdictRow(5, "lag", "", "[]")]
        assert book.verdicts.told("north-12") == [Told(6, "lag", 5, "Wait.")]
        assert (book.outbox.standing(), book.outbox.recent(9), book.outbox.next_due_us()) == ({}, [], None)
    after = shelf.everything(old)
    assert shelf.layout(old) == newest
    assert after == {table: [] for table in after} | before
    with open_book(old) as book:
        alert = Alert(kind="ready", about="north-12", on=True, at_us=7, title="Ready", says="It may be packaged.")
        assert book.outbox.put([alert], ["push"], 8) == 1
        assert [delivery.alert for delivery in book.outbox.due(8, 9)] == [alert]


KILLED = """
import os, signal, sys
from lullwort.cellarbook import open_book, outbox_tables

def killed():
    for number, statement in enumerate(STATEMENTS):
        if number == int(sys.argv[2]):
            os.kill(os.getpid(), signal.SIGKILL)
        yield statement

STATEMENTS = outbox_tables._NEW
outbox_tables._NEW = killed()
"""


@pytest.mark.parametrize("statement", [0, 2, 5])
def test_a_step_that_is_killed_leaves_the_old_book(old: Path, shelf: Shelf, newest: Layout, statement: int) -> None:
    before = shelf.layout(old), shelf.everything(old)
    shelf.die_opening(old, KILLED, statement)
    assert (shelf.layout(old), shelf.everything(old)) == before
    with open_book(old) as book:
        assert list(book.readings.of("north", *EVER)) == LOG
    assert shelf.layout(old) == newest


def test_a_copy_of_version_2_counts_as_sound_only_if_its_readings_are_what_was_written(old: Path) -> None:
    connection = sqlite3.connect(old)
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    assert newest_sound_copy(old.with_name("damaged.book")) == old
    connection = sqlite3.connect(old)
    connection.execute("UPDATE segment SET gravity = zeroblob(length(gravity))")
    connection.commit()
    connection.close()
    assert newest_sound_copy(old.with_name("damaged.book")) is None
