"""A book of version 2 brought up to date: made here by the tables of that time, with rows of every kind in it."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest

from lullwort.cellarbook import Told, VerdictRow, open_book
from lullwort.cellarbook.copies import newest_sound_copy
from lullwort.cellarbook.keys import key_name
from lullwort.cellarbook.schema import APPLICATION_ID, VERSION
from lullwort.cellarbook.segments import Segment, pack
from lullwort.records import HOUR_US, Alert, Batch, Event, Reading, SetAside, key64

pytestmark = pytest.mark.usefixtures("unmeasured")

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)

TABLES_OF_VERSION_2 = (
    """CREATE TABLE import (
        key INTEGER PRIMARY KEY, kind TEXT NOT NULL, place TEXT NOT NULL, sha256 TEXT NOT NULL,
        understood TEXT NOT NULL, open_ended INTEGER NOT NULL,
        started_us INTEGER NOT NULL, finished_us INTEGER, withdrawn_us INTEGER
    ) STRICT""",
    """CREATE VIEW import_in_use AS SELECT key, place FROM import
        WHERE withdrawn_us IS NULL AND (finished_us IS NOT NULL OR open_ended)""",
    """CREATE TABLE stream (
        key INTEGER PRIMARY KEY, import INTEGER NOT NULL, sensor TEXT NOT NULL, vessel TEXT NOT NULL,
        gravity_unit TEXT NOT NULL, temperature_unit TEXT NOT NULL, battery_unit TEXT NOT NULL,
        first_us INTEGER NOT NULL, last_us INTEGER NOT NULL
    ) STRICT""",
    "CREATE INDEX stream_by_import ON stream (import)",
    "CREATE INDEX stream_by_sensor ON stream (sensor)",
    "CREATE INDEX stream_by_vessel ON stream (vessel)",
    """CREATE TABLE segment (
        key INTEGER PRIMARY KEY, stream INTEGER NOT NULL, first_us INTEGER NOT NULL, last_us INTEGER NOT NULL,
        readings INTEGER NOT NULL, at_us BLOB NOT NULL, gravity BLOB, temperature BLOB, inclination BLOB,
        battery BLOB, signal BLOB
    ) STRICT""",
    "CREATE INDEX segment_by_time ON segment (stream, first_us, last_us)",
    """CREATE TABLE set_aside (
        import INTEGER NOT NULL, key INTEGER NOT NULL, place TEXT NOT NULL, line INTEGER NOT NULL,
        "column" TEXT NOT NULL, seen TEXT NOT NULL, expected TEXT NOT NULL, raw_text TEXT NOT NULL,
        vessel TEXT NOT NULL, PRIMARY KEY (import, key)
    ) STRICT, WITHOUT ROWID""",
    "CREATE INDEX set_aside_by_vessel ON set_aside (vessel, import)",
    """CREATE TABLE batch (
        key INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, vessel TEXT NOT NULL, pitched_us INTEGER NOT NULL,
        entered TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE event (
        batch INTEGER NOT NULL, at_us INTEGER NOT NULL, key INTEGER NOT NULL, entered TEXT NOT NULL,
        PRIMARY KEY (batch, at_us, key)
    ) STRICT, WITHOUT ROWID""",
    """CREATE TABLE verdict (
        batch INTEGER NOT NULL, at_us INTEGER NOT NULL, verdict TEXT NOT NULL, reason TEXT NOT NULL,
        evidence TEXT NOT NULL, PRIMARY KEY (batch, at_us)
    ) STRICT, WITHOUT ROWID""",
    """CREATE TABLE told (
        batch INTEGER NOT NULL, told_us INTEGER NOT NULL, verdict TEXT NOT NULL, verdict_us INTEGER NOT NULL,
        says TEXT NOT NULL, PRIMARY KEY (batch, told_us, verdict)
    ) STRICT, WITHOUT ROWID""",
)

BATCH = Batch(vessel="north", name="north-12", pitched_us=0, original_gravity=1.05)
EVENT = Event(at_us=5, kind="rouse")
IMPORT = key64("csv", "aa", "sg")
LOG = [Reading("north", "north", i * HOUR_US, 1.05 - i / 1e4, 20.0) for i in range(500)]


@pytest.fixture
def old(path: Path) -> Path:
    """A book of version 2."""
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA journal_mode = WAL")
    for statement in TABLES_OF_VERSION_2:
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 2")
    connection.execute("INSERT INTO import VALUES (?, 'csv', 'good.csv', 'aa', 'sg', 0, 1, 2, NULL)", (IMPORT,))
    stream = key64(f"{IMPORT}", "north", "north", "sg", "C", "V")
    span = (LOG[0].at_us, LOG[-1].at_us)
    connection.execute(
        "INSERT INTO stream VALUES (?, ?, 'north', 'north', 'sg', 'C', 'V', ?, ?)", (stream, IMPORT, *span)
    )
    values = np.full((5, len(LOG)), np.nan)
    values[0] = [reading.gravity for reading in LOG]
    values[1] = 20.0
    key, *columns = pack(stream, Segment("north", "north", np.array([r.at_us for r in LOG], dtype=np.int64), values))
    connection.execute(
        "INSERT INTO segment VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (key, stream, *span, len(LOG), *columns)
    )
    connection.execute(
        "INSERT INTO set_aside VALUES (?, 7, 'good.csv', 7, 'gravity', 'x', 'a number', '7;x', 'north')", (IMPORT,)
    )
    batch = key64("north-12")
    entered = msgspec.json.encode(BATCH).decode(), msgspec.json.encode(EVENT).decode()
    connection.execute("INSERT INTO batch VALUES (?, 'north-12', 'north', 0, ?)", (batch, entered[0]))
    connection.execute("INSERT INTO event VALUES (?, 5, 9, ?)", (batch, entered[1]))
    connection.execute("INSERT INTO verdict VALUES (?, 5, 'lag', '', '[]')", (batch,))
    connection.execute("INSERT INTO told VALUES (?, 6, 'lag', 5, 'Wait.')", (batch,))
    connection.commit()
    connection.close()
    return path


def version(path: Path) -> int:
    connection = sqlite3.connect(path)
    ((found,),) = connection.execute("PRAGMA user_version").fetchall()
    connection.close()
    return int(found)


def test_everything_in_a_book_of_version_2_is_there_afterwards(old: Path, shelf: Shelf) -> None:
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
    assert shelf.everything(old) == {**before, "alert": [], "delivery": [], "instrument": [], "sensor": [], "seen": []}
    with open_book(old) as book:
        alert = Alert(kind="ready", about="north-12", on=True, at_us=7, title="Ready", says="It may be packaged.")
        assert book.outbox.put([alert], ["push"], 8) == 1
        assert [delivery.alert for delivery in book.outbox.due(8, 9)] == [alert]


def test_old_and_new_books_have_the_same_tables(old: Path) -> None:
    new = old.with_name("new.book")
    tables = []
    for path in (old, new):
        with open_book(path):
            pass
        connection = sqlite3.connect(path)
        tables.append(connection.execute("SELECT type, name, sql FROM sqlite_master ORDER BY 1, 2").fetchall())
        connection.close()
        assert version(path) == VERSION
    assert tables[0] == tables[1]


KILLED = """
import os, signal, sys
from pathlib import Path
from lullwort.cellarbook import open_book, outbox_tables

def killed():
    for number, statement in enumerate(STATEMENTS):
        if number == int(sys.argv[2]):
            os.kill(os.getpid(), signal.SIGKILL)
        yield statement

STATEMENTS = outbox_tables._NEW
outbox_tables._NEW = killed()
with open_book(Path(sys.argv[1])):
    pass
"""


@pytest.mark.parametrize("statement", [0, 2, 5])
def test_a_step_that_is_killed_leaves_the_old_book(old: Path, shelf: Shelf, statement: int) -> None:
    before = shelf.everything(old)
    killed = subprocess.run([sys.executable, "-c", KILLED, str(old), str(statement)], check=False)
    assert killed.returncode == -signal.SIGKILL
    assert (version(old), shelf.everything(old)) == (2, before)
    with open_book(old) as book:
        assert list(book.readings.of("north", *EVER)) == LOG
    assert version(old) == VERSION


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
