"""A book of version 4 brought up to date: made here by the tables of that time, with rows of every kind in it."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import msgspec

from lullwort.cellarbook import open_book
from lullwort.cellarbook.schema import APPLICATION_ID, VERSION
from lullwort.records import Alert, Instrument

Shelf = Any  # the fixture's class lives in conftest.py

# What was new in versions 3 and 4.
TABLES_SINCE_VERSION_2 = (
    """CREATE TABLE alert (
        key INTEGER PRIMARY KEY, kind TEXT NOT NULL, about TEXT NOT NULL, position INTEGER NOT NULL,
        urgent INTEGER NOT NULL, own_key INTEGER NOT NULL, entered TEXT NOT NULL
    ) STRICT""",
    "CREATE UNIQUE INDEX alert_by_subject ON alert (kind, about, position)",
    "CREATE UNIQUE INDEX alert_by_position ON alert (position)",
    """CREATE TABLE delivery (
        alert INTEGER NOT NULL, target TEXT NOT NULL, first_us INTEGER NOT NULL, tries INTEGER NOT NULL,
        next_us INTEGER, delivered_us INTEGER, error TEXT NOT NULL, PRIMARY KEY (alert, target)
    ) STRICT, WITHOUT ROWID""",
    "CREATE INDEX delivery_waiting ON delivery (next_us) WHERE next_us IS NOT NULL",
    """CREATE VIEW delivery_in_turn AS
        SELECT d.alert, d.target, d.first_us, d.tries, d.next_us, a.position, a.urgent, a.own_key, a.entered
        FROM delivery d JOIN alert a ON a.key = d.alert
        WHERE d.next_us IS NOT NULL AND NOT EXISTS (
            SELECT 1 FROM alert b JOIN delivery e ON e.alert = b.key
            WHERE b.kind = a.kind AND b.about = a.about AND b.position < a.position
                AND e.target = d.target AND e.next_us IS NOT NULL)""",
    "CREATE TABLE instrument (key INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, entered TEXT NOT NULL) STRICT",
    "CREATE TABLE sensor (key INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, entered TEXT NOT NULL) STRICT",
)
ALERT = Alert(kind="ready", about="north-12", on=True, at_us=7, batch="north-12", title="Ready", says="It may be.")
JAR = Instrument(name="jar", calibrated_c=15.56)
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


def made(path: Path) -> Path:
    """A book of version 4 with an alert that has not been delivered, an instrument and an import."""
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA journal_mode = WAL")
    for statement in (*TABLES_OF_VERSION_2, *TABLES_SINCE_VERSION_2):
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 4")
    connection.execute("INSERT INTO import VALUES (5, 'csv', 'good.csv', 'aa', 'sg', 0, 1, 2, NULL)")
    entered = msgspec.json.encode(ALERT).decode()
    connection.execute("INSERT INTO alert VALUES (9, 'ready', 'north-12', 1, 0, ?, ?)", (ALERT.key, entered))
    connection.execute("INSERT INTO delivery VALUES (9, 'push', 8, 1, 80, NULL, 'no network')")
    connection.execute("INSERT INTO instrument VALUES (3, 'jar', ?)", (msgspec.json.encode(JAR).decode(),))
    connection.commit()
    connection.close()
    return path


def tables(path: Path) -> list[Any]:
    connection = sqlite3.connect(path)
    found = connection.execute("SELECT type, name, sql FROM sqlite_master ORDER BY 1, 2").fetchall()
    assert connection.execute("PRAGMA user_version").fetchone() == (VERSION,)
    connection.close()
    return found


def test_everything_in_a_book_of_version_4_is_there_afterwards_and_its_alerts_can_be_seen(
    path: Path, shelf: Shelf
) -> None:
    before = shelf.everything(made(path))
    with open_book(path):
        pass
    assert shelf.everything(path) == {**before, "seen": []}
    with open_book(path) as book:
        assert [(one.alert, one.seen_us) for one in book.outbox.standing_on()] == [(ALERT, None)]
        assert book.equipment.instruments() == (JAR,)
        assert book.outbox.see(book.outbox.recent(1)[0].name, 90).seen_us == 90
        assert [delivery.alert for delivery in book.outbox.due(80, 9)] == [ALERT]
    assert shelf.everything(path) == {**before, "seen": [(9,)]}


def test_old_and_new_books_have_the_same_tables(path: Path) -> None:
    with open_book(made(path)), open_book(path.with_name("new.book")):
        pass
    assert tables(path) == tables(path.with_name("new.book"))
