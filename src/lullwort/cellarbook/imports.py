"""Imports: readings as they were reported, by the file or other source that brought them.

An import is committed in runs. Killed between two of them and begun again it finds its own earlier rows and goes on,
so that it ends as if it had never been killed. Its key is its content and how that was understood.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import msgspec
import numpy as np

from lullwort.cellarbook.database import Database
from lullwort.cellarbook.keys import key64, reading_digests
from lullwort.errors import RefusedError
from lullwort.records import VALUE_COLUMNS, Block, SetAside
from lullwort.science import GravityUnit
from lullwort.units import TemperatureUnit

__all__ = ["ImportCounts", "ImportRun", "Imported", "Imports", "Intake"]

_COMMIT_ROWS = 50_000
# Some 0.2 s of writing: how long another writer waits at most for this one.


class Intake(msgspec.Struct, frozen=True):
    """What is to be imported.

    Attributes:
        kind:   of source, such as "csv".
        place:  where it was found, for people.
        sha256: [hex] of its content.
        gravity_unit, temperature_unit: of the values in it.
        options: anything else that changes how it is understood.
    """

    kind: str
    place: str
    sha256: str
    gravity_unit: GravityUnit = "sg"
    temperature_unit: TemperatureUnit = "C"
    options: str = ""

    @property
    def key(self) -> int:
        """The same content understood the same way is the same import, wherever the file lies."""
        return key64(self.kind, self.sha256, self.gravity_unit, self.temperature_unit, self.options)

    @property
    def units(self) -> str:
        """Both units as one word."""
        return f"{self.gravity_unit} {self.temperature_unit}"


class ImportCounts(NamedTuple):
    """What became of the rows of one import: `rows` is the sum of the next three.

    `conflicts` counts instants at which one of its sensors is on record with different values.
    """

    rows: int
    stored: int
    known: int
    set_aside: int
    conflicts: int


class Imported(NamedTuple):
    """One import on record; `name` is what people call it by, the first ten digits of its key."""

    name: str
    place: str
    readings: int
    set_aside: int
    started_us: int
    finished_us: int | None
    withdrawn_us: int | None


def import_name(key: int) -> str:
    """Ten hex digits of an import's key.

    >>> import_name(-1)
    'ffffffffff'
    """
    return f"{key & 0xFFFFFFFFFFFFFFFF:016x}"[:10]


class ImportRun:
    """One import under way; see `Imports.begin`."""

    def __init__(self, db: Database, intake: Intake, complete: bool) -> None:
        self._db = db
        self._intake = intake
        self._complete = complete
        self._rows = self._set_aside = 0
        self._waiting: list[tuple[Block, Sequence[SetAside]]] = []
        self._waiting_rows = 0

    @property
    def name(self) -> str:
        """What people call this import by."""
        return import_name(self._intake.key)

    def store(self, block: Block, set_aside: Sequence[SetAside] = ()) -> None:
        """Take a run of readings and of rows set aside; on disk after one of the next calls, at the latest `finish`."""
        self._rows += len(block) + len(set_aside)
        self._set_aside += len(set_aside)
        if self._complete:
            return
        self._wait(_part(block, 0), set_aside)
        for start in range(_COMMIT_ROWS, len(block), _COMMIT_ROWS):
            self._wait(_part(block, start), ())

    def finish(self, now_us: int) -> ImportCounts:
        """Store what is left, mark the import complete at `now_us` [µs] and count."""
        stored = 0
        if not self._complete:
            self._commit()
            with self._db.write():
                # Another process may have brought the same import to its end meanwhile: then it has counted them.
                if not _is_complete(self._db, self._intake.key):
                    self._db.run(
                        "UPDATE import SET finished_us = ?, withdrawn_us = NULL WHERE key = ?",
                        (now_us, self._intake.key),
                    )
                    stored = self._stored()
        known = self._rows - self._set_aside - stored
        return ImportCounts(self._rows, stored, known, self._set_aside, self._conflicts())

    def _wait(self, block: Block, set_aside: Sequence[SetAside]) -> None:
        self._waiting.append((block, set_aside))
        self._waiting_rows += len(block) + len(set_aside)
        if self._waiting_rows >= _COMMIT_ROWS:
            self._commit()

    def _commit(self) -> None:
        waiting, self._waiting, self._waiting_rows = self._waiting, [], 0
        with self._db.write():
            for block, set_aside in waiting:
                self._insert(block)
                self._db.run_many(
                    "INSERT OR IGNORE INTO set_aside VALUES (?, ?, ?, ?, ?, ?, ?)",
                    [
                        (
                            self._intake.key,
                            row.line,
                            row.column,
                            row.place,
                            row.seen,
                            row.expected,
                            row.raw_text,
                        )
                        for row in set_aside
                    ],
                )

    def _insert(self, block: Block) -> None:
        if not len(block):
            return
        key = self._intake.key
        names = {name: key64(name) for name in (*block.sensors, *block.vessels)}
        self._db.run_many("INSERT OR IGNORE INTO name VALUES (?, ?)", [(k, n) for n, k in names.items()])
        sensors = np.array([names[s] for s in block.sensors], dtype=np.int64)
        vessels = np.array([names[v] for v in block.vessels], dtype=np.int64)
        columns = [getattr(block, column) for column in VALUE_COLUMNS]
        values = [
            # NaN would be stored as NULL too, but a column of None is far quicker to make than to convert.
            [None] * len(block) if np.isnan(column).all() else _none_for_nan(column)
            for column in columns
        ]
        count = len(block)
        self._db.run_many(
            "INSERT OR IGNORE INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            zip(
                sensors[block.sensor_codes].tolist(), block.at_us.tolist(),
                reading_digests(block, self._intake.units).tolist(), [key] * count,
                vessels[block.vessel_codes].tolist(), *values, strict=True,
            ),
        )  # fmt: skip
        self._db.run_many(
            "INSERT INTO import_span VALUES (?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET "
            "first_us = min(first_us, excluded.first_us), last_us = max(last_us, excluded.last_us)",
            [(key, *span) for span in _spans(block, sensors, vessels)],
        )

    def _stored(self) -> int:
        """Readings that no other import in use holds, counted from the book itself."""
        key, stored = self._intake.key, 0
        for sensor, first_us, last_us in self._sensor_spans():
            others = self._db.rows(
                "SELECT 1 FROM import_span s JOIN import i ON i.key = s.import WHERE s.sensor = ? AND s.import <> ? "
                "AND s.first_us <= ? AND s.last_us >= ? AND i.withdrawn_us IS NULL LIMIT 1",
                (sensor, key, last_us, first_us),
            )
            standing = (
                " AND NOT EXISTS (SELECT 1 FROM reading o JOIN import i ON i.key = o.import WHERE o.sensor = r.sensor "
                "AND o.at_us = r.at_us AND o.digest = r.digest AND o.import <> r.import AND i.withdrawn_us IS NULL)"
                if others
                else ""
            )
            ((count,),) = self._db.rows(
                "SELECT count(*) FROM reading r WHERE r.sensor = ? AND r.at_us BETWEEN ? AND ? AND r.import = ?"
                + standing,
                (sensor, first_us, last_us, key),
            )
            stored += count
        return stored

    def _conflicts(self) -> int:
        return sum(
            self._db.rows(
                "SELECT count(*) FROM (SELECT 1 FROM reading r JOIN import i ON i.key = r.import "
                "WHERE r.sensor = ? AND r.at_us BETWEEN ? AND ? AND i.withdrawn_us IS NULL "
                "GROUP BY r.at_us HAVING min(r.digest) <> max(r.digest))",
                span,
            )[0][0]
            for span in self._sensor_spans()
        )

    def _sensor_spans(self) -> list[tuple[int, int, int]]:
        return self._db.rows(
            "SELECT sensor, min(first_us), max(last_us) FROM import_span WHERE import = ? GROUP BY sensor",
            (self._intake.key,),
        )


def _part(block: Block, start: int) -> Block:
    """The readings of `block` from `start` on, no more than one transaction should hold."""
    columns = ("sensor_codes", "vessel_codes", "at_us", *VALUE_COLUMNS, "line")
    return replace(block, **{column: getattr(block, column)[start : start + _COMMIT_ROWS] for column in columns})


def _none_for_nan(column: np.ndarray) -> list[float | None]:
    values: list[float | None] = column.tolist()
    for i in np.flatnonzero(np.isnan(column)).tolist():
        values[i] = None
    return values


def _spans(block: Block, sensors: np.ndarray, vessels: np.ndarray) -> list[tuple[int, int, int, int]]:
    """(sensor, vessel, first, last) of each pair that occurs."""
    pairs = block.sensor_codes.astype(np.int64) * len(block.vessels) + block.vessel_codes
    found, where = np.unique(pairs, return_inverse=True)
    first = np.full(len(found), np.iinfo(np.int64).max)
    last = np.full(len(found), np.iinfo(np.int64).min)
    np.minimum.at(first, where, block.at_us)
    np.maximum.at(last, where, block.at_us)
    return [
        (int(sensors[pair // len(block.vessels)]), int(vessels[pair % len(block.vessels)]), int(a), int(b))
        for pair, a, b in zip(found.tolist(), first, last, strict=True)
    ]


def _is_complete(db: Database, key: int) -> bool:
    return bool(
        db.rows("SELECT 1 FROM import WHERE key = ? AND finished_us IS NOT NULL AND withdrawn_us IS NULL", (key,))
    )


class Imports:
    """The imports of a book."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def begin(self, intake: Intake, now_us: int) -> ImportRun:
        """Begin an import at `now_us` [µs], or go on with one that was killed.

        One that is complete and in use is only counted through; one that was withdrawn comes back into use when it
        finishes.
        """
        if _is_complete(self._db, intake.key):
            return ImportRun(self._db, intake, complete=True)
        with self._db.write():
            self._db.run(
                "INSERT OR IGNORE INTO import VALUES (?, ?, ?, ?, ?, ?, ?, ?, NULL, NULL)",
                (
                    intake.key, intake.kind, intake.place, intake.sha256, intake.gravity_unit,
                    intake.temperature_unit, intake.options, now_us,
                ),
            )  # fmt: skip
        return ImportRun(self._db, intake, complete=False)

    def all(self) -> list[Imported]:
        """Every import on record, in the order in which they began."""
        imports = []
        for key, place, started, finished, withdrawn in self._db.rows(
            "SELECT key, place, started_us, finished_us, withdrawn_us FROM import ORDER BY started_us, key"
        ):
            ((readings,),) = self._db.rows(
                "SELECT coalesce(sum((SELECT count(*) FROM reading r WHERE r.sensor = s.sensor AND r.vessel = s.vessel "
                "AND r.at_us BETWEEN s.first_us AND s.last_us AND r.import = s.import)), 0) "
                "FROM import_span s WHERE s.import = ?",
                (key,),
            )
            ((aside,),) = self._db.rows("SELECT count(*) FROM set_aside WHERE import = ?", (key,))
            imports.append(Imported(import_name(key), place, readings, aside, started, finished, withdrawn))
        return imports

    def set_aside(self, name: str) -> list[SetAside]:
        """The rows that an import had to set aside. Raises RefusedError for an unknown or ambiguous name."""
        rows = self._db.rows(
            'SELECT place, line, "column", seen, expected, raw_text FROM set_aside WHERE import = ? ORDER BY line',
            (self._key(name),),
        )
        return [SetAside(*row) for row in rows]

    def withdraw(self, name: str, now_us: int) -> Imported:
        """Take an import out of use as a whole at `now_us` [µs]; its readings stay on record.

        Args:    name: its ten digits, or enough of them. Raises RefusedError if none or several fit.
        """
        key = self._key(name)
        with self._db.write():
            self._db.run("UPDATE import SET withdrawn_us = coalesce(withdrawn_us, ?) WHERE key = ?", (now_us, key))
        return next(i for i in self.all() if i.name == import_name(key))

    def _key(self, name: str) -> int:
        fitting = [
            key for (key,) in self._db.rows("SELECT key FROM import") if import_name(key).startswith(name.lower())
        ]
        if not name or not fitting:
            raise RefusedError(f"no import is called {name!r}; `lullwort withdraw` without a name lists them")
        if len(fitting) > 1:
            names = ", ".join(sorted(import_name(key) for key in fitting))
            raise RefusedError(f"{name!r} fits several imports ({names}); give more digits")
        return int(fitting[0])
