"""Imports: readings as they were reported, by the file or other source that brought them.

An import is committed in runs, and in use when it is finished. Killed between two of them and begun again it finds its
own earlier rows and goes on, so that it ends as if it had never been killed. Its key is its content and how that was
understood.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import msgspec
import numpy as np

from lullwort.cellarbook.database import Database
from lullwort.cellarbook.keys import key_name
from lullwort.cellarbook.streams import add_block, sensor_record
from lullwort.cellarbook.tidying import tidy_import
from lullwort.errors import RefusedError
from lullwort.records import VALUE_COLUMNS, Block, SetAside, format_utc, key64

__all__ = ["ImportCounts", "ImportRun", "Imported", "Imports", "Intake", "StoredRow"]

_MOST_SET_ASIDE = 200_000
"""Rows set aside of one source without an end: some 200 MiB, more than anybody will ever look through."""
_COMMIT_ROWS = 50_000
# Some 0.2 s of writing: how long another writer waits at most for this one.


class Intake(msgspec.Struct, frozen=True):
    """What is to be imported.

    Attributes:
        kind:   of source, such as "csv".
        place:  where it was found, for people.
        sha256: [hex] of its content.
        understood: all that was stated or found out of how it is to be read, in one way of writing it.
        open_ended: true of a source that goes on for ever: what it brings is in use as soon as it is on disk.
    """

    kind: str
    place: str
    sha256: str
    understood: str = ""
    open_ended: bool = False

    @property
    def key(self) -> int:
        """The same content understood the same way is the same import, wherever the file lies."""
        return key64(self.kind, self.sha256, self.understood)


class ImportCounts(NamedTuple):
    """What became of the rows of one import: `rows` is the sum of the next three.

    Attributes:
        stored: readings, instants of a sensor, to which it adds something that no other import in use says.
        known:  all other rows that are readings: repeats, and what others say too.
        conflicts: instants at which reports of one of its sensors contradict each other.
    """

    rows: int
    stored: int
    known: int
    set_aside: int
    conflicts: int


class Imported(NamedTuple):
    """One import on record.

    Attributes:
        name: what people call it by, the first ten digits of its key.
        in_use: whether its readings count: it is finished, or open-ended, and not withdrawn.
        live:   whether it is open-ended.
    """

    name: str
    place: str
    readings: int
    set_aside: int
    started_us: int
    finished_us: int | None
    withdrawn_us: int | None
    in_use: bool
    live: bool = False

    @property
    def unfinished(self) -> bool:
        """Whether it is being stored, or was broken off while it was."""
        return not self.live and self.finished_us is None and self.withdrawn_us is None


class StoredRow(NamedTuple):
    """A row that was set aside, and where it is in the book."""

    imported: int
    key: int
    row: SetAside


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
        return key_name(self._intake.key)

    def store(self, block: Block, set_aside: Sequence[SetAside] = ()) -> None:
        """Take a run of readings and of rows set aside; on disk at the latest after `commit` or `finish`."""
        self._rows += len(block) + len(set_aside)
        self._set_aside += len(set_aside)
        if self._complete:
            return
        self._wait(_part(block, 0), set_aside)
        for start in range(_COMMIT_ROWS, len(block), _COMMIT_ROWS):
            self._wait(_part(block, start), ())

    def finish(self, now_us: int) -> ImportCounts:
        """Store what is left, mark the import complete at `now_us` [µs], which puts it in use, and count.

        Raises ValueError for an import that is open-ended: it has no end at which rows could be counted.
        """
        if self._intake.open_ended:
            raise ValueError(f"import {self.name} is open-ended, it is committed but never finished")
        if self._complete:
            return self._counts(known=True)
        self.commit()
        with self._db.write():
            # Another process may have brought the same import to its end meanwhile: then it has counted them.
            known = _is_complete(self._db, self._intake.key)
            if not known:
                self._db.run(
                    "UPDATE import SET finished_us = ?, withdrawn_us = NULL WHERE key = ?",
                    (now_us, self._intake.key),
                )
            return self._counts(known=known)

    def _wait(self, block: Block, set_aside: Sequence[SetAside]) -> None:
        self._waiting.append((block, set_aside))
        self._waiting_rows += len(block) + len(set_aside)
        if self._waiting_rows >= _COMMIT_ROWS:
            self.commit()

    def commit(self) -> None:
        """Put on disk what was taken so far: a source that sends again what was not acknowledged may then do so."""
        waiting, self._waiting, self._waiting_rows = self._waiting, [], 0
        with self._db.write():
            for block, set_aside in waiting:
                add_block(self._db, self._intake.key, block)
                self._db.run_many(
                    "INSERT OR IGNORE INTO set_aside VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    [
                        (
                            self._intake.key, self._set_aside_key(row), row.place, row.line, row.column, row.seen,
                            row.expected, row.raw_text, row.vessel,
                        )
                        for row in set_aside
                    ],
                )  # fmt: skip

    def _set_aside_key(self, row: SetAside) -> int:
        # A file that was moved since it was cut off is still the same import, and this is still the same row.
        within = row.place.removeprefix(self._intake.place)
        return key64(f"{self._intake.key}", within, f"{row.line}", row.column, row.seen, row.raw_text)

    def _counts(self, *, known: bool) -> ImportCounts:
        """What this import adds, and instants that contradict: from the book itself."""
        stored = conflicts = 0
        for sensor, first_us, last_us in self._db.rows(
            "SELECT sensor, min(first_us), max(last_us) FROM stream WHERE import = ? GROUP BY sensor",
            (self._intake.key,),
        ):
            record = sensor_record(self._db, sensor, first_us, last_us + 1)
            if record is None:  # counted through, and withdrawn by another process this very moment
                continue
            agreement, ours = record.agreement, record.brought_by(self._intake.key)
            conflicts += int(np.count_nonzero(agreement.contradicted & agreement.with_any(ours)))
            if not known:
                stored += int(np.count_nonzero(agreement.enriched_by(ours))) + agreement.told_apart_by(ours)
        return ImportCounts(self._rows, stored, self._rows - self._set_aside - stored, self._set_aside, conflicts)


def _part(block: Block, start: int) -> Block:
    """The readings of `block` from `start` on, no more than one transaction should hold."""
    columns = ("sensor_codes", "vessel_codes", "at_us", *VALUE_COLUMNS, "line")
    return replace(block, **{column: getattr(block, column)[start : start + _COMMIT_ROWS] for column in columns})


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
        finishes, or at once if it is open-ended.
        """
        if _is_complete(self._db, intake.key):
            return ImportRun(self._db, intake, complete=True)
        with self._db.write():
            self._db.run(
                "INSERT OR IGNORE INTO import VALUES (?, ?, ?, ?, ?, ?, ?, NULL, NULL)",
                (
                    intake.key, intake.kind, intake.place, intake.sha256, intake.understood, intake.open_ended, now_us,
                ),
            )  # fmt: skip
            self._db.run("UPDATE import SET withdrawn_us = NULL WHERE key = ? AND open_ended", (intake.key,))
        return ImportRun(self._db, intake, complete=False)

    def all(self) -> list[Imported]:
        """Every import on record, in the order in which they began."""
        return self._imported("ORDER BY started_us, key")

    def recent(self, limit: int) -> list[Imported]:
        """Those that began last, newest first."""
        return self._imported("ORDER BY started_us DESC, key LIMIT ?", limit)

    def get(self, name: str) -> Imported:
        """One of them, by its ten digits or enough of them. Raises RefusedError if none or several fit."""
        return self._imported("WHERE key = ?", self._key(name))[0]

    def _imported(self, which: str, *values: object) -> list[Imported]:
        imports = []
        for key, place, started, finished, withdrawn, in_use, live in self._db.rows(
            "SELECT key, place, started_us, finished_us, withdrawn_us, key IN (SELECT key FROM import_in_use), "
            f"open_ended FROM import {which}",
            values,
        ):
            ((readings,),) = self._db.rows(
                "SELECT coalesce(sum(g.readings), 0) FROM segment g JOIN stream s ON s.key = g.stream "
                "WHERE s.import = ?",
                (key,),
            )
            ((aside,),) = self._db.rows("SELECT count(*) FROM set_aside WHERE import = ?", (key,))
            counts = (int(readings), int(aside))
            imports.append(
                Imported(key_name(key), place, *counts, started, finished, withdrawn, bool(in_use), bool(live))
            )
        return imports

    def vessels(self, name: str) -> list[str]:
        """Ids of the vessels of which an import has readings, in use or not. Raises as `set_aside`."""
        rows = self._db.rows("SELECT DISTINCT vessel FROM stream WHERE import = ? ORDER BY vessel", (self._key(name),))
        return [vessel for (vessel,) in rows]

    def withdrawn_from(self, vessel: str) -> list[Imported]:
        """Those withdrawn that have readings of this vessel, in the order in which they began."""
        return self._imported(
            "WHERE withdrawn_us IS NOT NULL AND key IN (SELECT import FROM stream WHERE vessel = ?) "
            "ORDER BY started_us, key",
            vessel,
        )

    def set_aside(self, name: str) -> list[SetAside]:
        """The rows that an import had to set aside. Raises RefusedError for an unknown or ambiguous name."""
        rows = self._db.rows(
            'SELECT place, line, "column", seen, expected, raw_text, vessel FROM set_aside WHERE import = ? '
            "ORDER BY line, place, key",
            (self._key(name),),
        )
        return [SetAside(*row) for row in rows]

    def timely(self, kind: str, expected: str, until_us: int, shorter_than: int, limit: int) -> list[StoredRow]:
        """Rows of open-ended imports of this kind whose time was refused, and now lies before `until_us` [µs].

        Args:    expected: what was expected of them.  shorter_than: [characters] their raw text is.
                 limit: how many at most.
        """
        rows = self._db.rows(
            'SELECT s.import, s.key, s.place, s.line, s."column", s.seen, s.expected, s.raw_text, s.vessel '
            "FROM set_aside s JOIN import i ON i.key = s.import "
            "WHERE i.kind = ? AND i.open_ended AND i.withdrawn_us IS NULL AND s.expected = ? "
            "AND s.seen >= '2000' AND s.seen < ? AND length(s.raw_text) < ? LIMIT ?",
            (kind, expected, format_utc(until_us), shorter_than, limit),
        )
        return [StoredRow(imported, key, SetAside(*row)) for imported, key, *row in rows]

    def forget_set_aside(self, rows: Sequence[StoredRow]) -> None:
        """These are set aside no longer: they were taken up."""
        with self._db.write():
            self._db.run_many(
                "DELETE FROM set_aside WHERE import = ? AND key = ?", [(row.imported, row.key) for row in rows]
            )

    def withdraw(self, name: str, now_us: int) -> Imported:
        """Take an import out of use as a whole at `now_us` [µs]; its readings stay on record.

        Args:    name: its ten digits, or enough of them. Raises RefusedError if none or several fit.
        """
        key = self._key(name)
        with self._db.write():
            self._db.run("UPDATE import SET withdrawn_us = coalesce(withdrawn_us, ?) WHERE key = ?", (now_us, key))
        return self._imported("WHERE key = ?", key)[0]

    def tidy(self, name: str, now_us: int) -> int:
        """Put together what came one by one to an open-ended import; how many runs of readings fewer there are.

        Of rows set aside it keeps no more than 200,000, picked as by chance.

        Others may read and write meanwhile, and see the same before and after; cut off it goes on the next time.

        Args:    now_us: [µs] days (UTC) that are over then are tidied as a whole, others when it is worth it.
        Raises:  RefusedError for an unknown or ambiguous name; ValueError for an import that is not open-ended.
        """
        key = self._key(name)
        if not self._db.rows("SELECT 1 FROM import WHERE key = ? AND open_ended", (key,)):
            raise ValueError(f"import {key_name(key)} is not open-ended, it is as tidy as its file")
        ((too_many,),) = self._db.rows("SELECT count(*) - ? FROM set_aside WHERE import = ?", (_MOST_SET_ASIDE, key))
        if too_many > 0:
            with self._db.write():
                self._db.run(
                    "DELETE FROM set_aside WHERE import = ? AND key IN "
                    "(SELECT key FROM set_aside WHERE import = ? ORDER BY key LIMIT ?)",
                    (key, key, too_many),
                )
        return tidy_import(self._db, key, now_us)

    def _key(self, name: str) -> int:
        fitting = [key for (key,) in self._db.rows("SELECT key FROM import") if key_name(key).startswith(name.lower())]
        if not name or not fitting:
            raise RefusedError(f"no import is called {name!r}; `lullwort withdraw` without a name lists them")
        if len(fitting) > 1:
            names = ", ".join(sorted(key_name(key) for key in fitting))
            raise RefusedError(f"{name!r} fits several imports ({names}); give more digits")
        return int(fitting[0])
