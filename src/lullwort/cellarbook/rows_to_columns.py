"""The step from book version 1, a row for each reading, to version 2: many readings a row, column by column.

Imports keep their keys, so that the names under which people know them stay.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator

import numpy as np

from lullwort.cellarbook.segments import Segment, pack
from lullwort.records import key64

__all__ = ["rows_to_columns"]

_AT_ONCE = 50_000

_NEW = (
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
)

_READINGS = """SELECT r.import, v.text, i.gravity_unit, i.temperature_unit,
        r.at_us, r.gravity, r.temperature, r.inclination, r.battery, r.signal
    FROM reading r LEFT JOIN name v ON v.key = r.vessel LEFT JOIN import_1 i ON i.key = r.import
    WHERE r.sensor = ? ORDER BY r.at_us, r.digest, r.import"""


def rows_to_columns(connection: sqlite3.Connection) -> None:
    """Turn a book of version 1 into one of version 2, inside a transaction.

    Raises: sqlite3.DatabaseError if the book lacks what its readings refer to, or if not every reading arrived.
    """
    for table in ("import", "set_aside"):
        connection.execute(f"ALTER TABLE {table} RENAME TO {table}_1")
    for statement in _NEW:
        connection.execute(statement)
    connection.execute(
        "INSERT INTO import SELECT key, kind, place, sha256, 'gravity_unit=' || gravity_unit || ' temperature_unit=' "
        "|| temperature_unit || ' ' || options, 0, started_us, finished_us, withdrawn_us FROM import_1"
    )
    connection.executemany(
        "INSERT INTO set_aside VALUES (?, ?, ?, ?, ?, ?, ?, ?, '')",
        (
            (imported, key64(f"{imported}", "", f"{line}", column, seen, raw_text), place, line, column, seen,
             expected, raw_text)
            for imported, place, line, column, seen, expected, raw_text in connection.execute(
                'SELECT import, place, line, "column", seen, expected, raw_text FROM set_aside_1'
            )
        ),
    )  # fmt: skip
    for key, sensor in connection.execute(
        "SELECT DISTINCT r.sensor, n.text FROM reading r LEFT JOIN name n ON n.key = r.sensor"
    ).fetchall():
        _move_sensor(connection, key, sensor)
    before, after = (
        connection.execute(query).fetchone()
        for query in ("SELECT count(*) FROM reading", "SELECT coalesce(sum(readings), 0) FROM segment")
    )
    if before != after:
        raise sqlite3.DatabaseError(f"{before[0]} readings became {after[0]}")
    for table in ("import_1", "set_aside_1", "import_span", "reading", "name"):
        connection.execute(f"DROP TABLE {table}")


def _move_sensor(connection: sqlite3.Connection, key: int, sensor: str | None) -> None:
    rows = connection.execute(_READINGS, (key,))
    while chunk := rows.fetchmany(_AT_ONCE):
        for (imported, vessel, gravity_unit, temperature_unit), segment in _parted(sensor, chunk):
            # Battery was in volts always.
            units = (gravity_unit, temperature_unit, "V")
            stream = key64(f"{imported}", segment.sensor, vessel, *units)
            first_us, last_us = int(segment.at_us[0]), int(segment.at_us[-1])
            connection.execute(
                "INSERT INTO stream VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET "
                "first_us = min(first_us, excluded.first_us), last_us = max(last_us, excluded.last_us)",
                (stream, imported, segment.sensor, vessel, *units, first_us, last_us),
            )
            packed, *columns = pack(stream, segment)
            connection.execute(
                "INSERT INTO segment VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (packed, stream, first_us, last_us, len(segment.at_us), *columns),
            )


def _parted(
    sensor: str | None, rows: Iterable[tuple[int, str | None, str | None, str | None, *tuple[float | None, ...]]]
) -> Iterator[tuple[tuple[int, str, str, str], Segment]]:
    """Rows of one sensor in order of time, parted by import, vessel and units."""
    parts: dict[tuple[int, str, str, str], list[tuple[float | None, ...]]] = {}
    for imported, vessel, gravity_unit, temperature_unit, *reading in rows:
        if sensor is None or vessel is None or gravity_unit is None or temperature_unit is None:
            raise sqlite3.DatabaseError(f"a reading of import {imported} refers to what the book does not hold")
        parts.setdefault((imported, vessel, gravity_unit, temperature_unit), []).append(tuple(reading))
    for part, readings in parts.items():
        at_us, *columns = zip(*readings, strict=True)
        values = np.array([np.array(column, dtype=np.float64) for column in columns]) + 0.0  # None becomes NaN
        yield part, Segment(sensor or "", part[1], np.array(at_us, dtype=np.int64), values)
