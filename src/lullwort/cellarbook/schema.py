"""The tables of the cellar book, and the steps from each version of them to the next.

Every book goes through all steps, a new one too, so that old and new ones cannot come to differ. A step is never
changed: what it made once lies in somebody's cellar.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from lullwort.cellarbook.equipment_tables import equipment_tables
from lullwort.cellarbook.outbox_tables import outbox_tables
from lullwort.cellarbook.rows_to_columns import rows_to_columns
from lullwort.cellarbook.seen_tables import seen_tables

__all__ = ["APPLICATION_ID", "MIGRATIONS", "VERSION"]

APPLICATION_ID = 0x4C756C6C
"""Marks the file as a cellar book ("Lull")."""

_TO_1 = (
    "CREATE TABLE name (key INTEGER PRIMARY KEY, text TEXT NOT NULL) STRICT",
    """CREATE TABLE import (
        key INTEGER PRIMARY KEY, kind TEXT NOT NULL, place TEXT NOT NULL, sha256 TEXT NOT NULL,
        gravity_unit TEXT NOT NULL, temperature_unit TEXT NOT NULL, options TEXT NOT NULL,
        started_us INTEGER NOT NULL, finished_us INTEGER, withdrawn_us INTEGER
    ) STRICT""",
    # Which sensors an import has readings of, in which vessel and from when to when: how readings are found.
    """CREATE TABLE import_span (
        import INTEGER NOT NULL, sensor INTEGER NOT NULL, vessel INTEGER NOT NULL,
        first_us INTEGER NOT NULL, last_us INTEGER NOT NULL, PRIMARY KEY (import, sensor, vessel)
    ) STRICT, WITHOUT ROWID""",
    """CREATE TABLE reading (
        sensor INTEGER NOT NULL, at_us INTEGER NOT NULL, digest INTEGER NOT NULL, import INTEGER NOT NULL,
        vessel INTEGER NOT NULL, gravity REAL, temperature REAL, inclination REAL, battery REAL, signal REAL,
        PRIMARY KEY (sensor, at_us, digest, import)
    ) STRICT, WITHOUT ROWID""",
    """CREATE TABLE set_aside (
        import INTEGER NOT NULL, line INTEGER NOT NULL, "column" TEXT NOT NULL, place TEXT NOT NULL,
        seen TEXT NOT NULL, expected TEXT NOT NULL, raw_text TEXT NOT NULL, PRIMARY KEY (import, line)
    ) STRICT, WITHOUT ROWID""",
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


def _first_tables(connection: sqlite3.Connection) -> None:
    for statement in _TO_1:
        connection.execute(statement)


MIGRATIONS: tuple[Callable[[sqlite3.Connection], None], ...] = (
    _first_tables,
    rows_to_columns,
    outbox_tables,
    equipment_tables,
    seen_tables,
)
"""`MIGRATIONS[n]` leads from version n to version n + 1, inside a transaction; an empty file is version 0."""

VERSION = len(MIGRATIONS)
