"""The tables of the cellar book, and the steps from each version of them to the next."""

from __future__ import annotations

__all__ = ["APPLICATION_ID", "MIGRATIONS", "VERSION"]

APPLICATION_ID = 0x4C756C6C
"""Marks the file as a cellar book ("Lull")."""

_TO_1 = (
    """CREATE TABLE import (
        key INTEGER PRIMARY KEY, kind TEXT NOT NULL, place TEXT NOT NULL, sha256 TEXT NOT NULL,
        understood TEXT NOT NULL, open_ended INTEGER NOT NULL,
        started_us INTEGER NOT NULL, finished_us INTEGER, withdrawn_us INTEGER
    ) STRICT""",
    # Half an import is no import: a log cut off in the middle must not be judged.
    """CREATE VIEW import_in_use AS SELECT key, place FROM import
        WHERE withdrawn_us IS NULL AND (finished_us IS NOT NULL OR open_ended)""",
    # What an import has of one sensor in one vessel in the same units, and from when to when: how readings are found.
    """CREATE TABLE stream (
        key INTEGER PRIMARY KEY, import INTEGER NOT NULL, sensor TEXT NOT NULL, vessel TEXT NOT NULL,
        gravity_unit TEXT NOT NULL, temperature_unit TEXT NOT NULL, battery_unit TEXT NOT NULL,
        first_us INTEGER NOT NULL, last_us INTEGER NOT NULL
    ) STRICT""",
    "CREATE INDEX stream_by_import ON stream (import)",
    "CREATE INDEX stream_by_sensor ON stream (sensor)",
    "CREATE INDEX stream_by_vessel ON stream (vessel)",
    # Readings as reported, many a row, column by column: times as little-endian int64, values as float64.
    """CREATE TABLE segment (
        key INTEGER PRIMARY KEY, stream INTEGER NOT NULL, first_us INTEGER NOT NULL, last_us INTEGER NOT NULL,
        readings INTEGER NOT NULL, at_us BLOB NOT NULL, gravity BLOB, temperature BLOB, inclination BLOB,
        battery BLOB, signal BLOB
    ) STRICT""",
    "CREATE INDEX segment_by_time ON segment (stream, first_us, last_us)",
    # The key is the row's content, for not every source has lines; the vessel is empty where the row does not tell it.
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

MIGRATIONS: tuple[tuple[str, ...], ...] = (_TO_1,)
"""`MIGRATIONS[n]` leads from version n to version n + 1; an empty file is version 0."""

VERSION = len(MIGRATIONS)
