"""The file behind the cellar book: opened, checked, migrated; one writer at a time, and errors in sentences."""

from __future__ import annotations

import os
import shutil
import sqlite3
import threading
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from lullwort.cellarbook.copies import MAGIC, copy_book, newest_sound_copy
from lullwort.cellarbook.schema import APPLICATION_ID, MIGRATIONS, VERSION
from lullwort.errors import BookBusyError, BookDamagedError, BookError, BookTooNewError

__all__ = ["Database"]

_CHECKED_BYTES = 64 << 20
# Up to this size, some two million readings, every page is checked on opening (0.1 s). In a larger book readings tell
# damage when they are read, for each segment carries the digest of its content as its key, and a copy is checked whole.
# What stays unseen until then is an index that leads past a row.
_LEAST_BYTES = 64 << 10
_RETRY_S = 0.05
_OPENING = threading.Lock()
_OPEN_HERE: Counter[str] = Counter()
"""How many connections this process has to each book."""
_HELD = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


class Database:
    """A connection to one cellar book. `write()` is a transaction; everything in it happens, or nothing."""

    def __init__(self, path: Path, *, wait_s: float, create: bool, cache_kib: int) -> None:
        self.path = path
        self._wait_s = wait_s
        self._cache_kib = cache_kib
        self._file = os.path.realpath(path)
        with _OPENING:
            # Were the file opened and closed here beside a connection of this process, the system would take all locks
            # of that connection away [SQLite, how to corrupt, 2.2], and the next to close would throw its log away.
            if not _OPEN_HERE[self._file]:
                self._refuse_strangers(create)
            _OPEN_HERE[self._file] += 1
        try:
            self._open(path, wait_s, create)
        except BaseException:
            self._forget_open()
            raise

    def _open(self, path: Path, wait_s: float, create: bool) -> None:
        try:
            if create:
                path.parent.mkdir(parents=True, exist_ok=True)
            self._connection = sqlite3.connect(path, timeout=wait_s, isolation_level=None)
        except (OSError, sqlite3.Error) as exc:
            raise BookError(f"{path}: the cellar book cannot be opened: {exc}") from exc
        try:
            with self._sentences():
                self._prepare()
        except BaseException:
            self._connection.close()
            raise

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()
        self._forget_open()

    def _forget_open(self) -> None:
        with _OPENING:
            _OPEN_HERE[self._file] -= 1

    @contextmanager
    def write(self) -> Iterator[None]:
        """A transaction that waits for other writers. Raises BookBusyError when that takes too long."""
        with self._sentences():
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    def run(self, sql: str, values: Sequence[object] = ()) -> None:
        """One statement inside `write()`."""
        self._connection.execute(sql, values)

    def run_many(self, sql: str, rows: Iterable[Sequence[object]]) -> None:
        """One statement for each of many rows, inside `write()`."""
        self._connection.executemany(sql, rows)

    def rows(self, sql: str, values: Sequence[object] | Mapping[str, object] = ()) -> list[Any]:
        """All rows of a query."""
        with self._sentences():
            return self._connection.execute(sql, values).fetchall()

    def changes(self) -> tuple[int, int]:
        """Two numbers of which one or both differ from before when anything was written, here or by another."""
        ((by_others,),) = self.rows("PRAGMA data_version")
        return int(by_others), self._connection.total_changes

    def free_bytes(self) -> int:
        """[bytes] that the disk of the book still takes."""
        return shutil.disk_usage(self.path.absolute().parent).free

    def copy_to(self, path: Path) -> None:
        """A checked copy in a new file; see `copy_book`."""
        with self._sentences():
            copy_book(self._connection, path)

    # -- opening ---------------------------------------------------------------------------------------------------

    def _refuse_strangers(self, create: bool) -> None:
        """Raise before the database library touches a file that is no cellar book."""
        try:
            with self.path.open("rb") as file:
                head = file.read(len(MAGIC))
        except FileNotFoundError:
            if not create:
                raise BookError(
                    f"{self.path}: there is no cellar book yet; `lullwort backfill` or `lullwort batch open` makes one"
                ) from None
            return
        except OSError as exc:
            raise BookError(f"{self.path}: the cellar book cannot be read: {exc.strerror}") from exc
        if head and head != MAGIC:
            raise BookDamagedError(
                f"{self.path}: is not a cellar book, or is damaged; it is left as it is: {self._way_back()}"
            )

    def _prepare(self) -> None:
        self._connection.execute("PRAGMA synchronous = FULL")
        self._connection.execute(f"PRAGMA cache_size = -{self._cache_kib}")
        self._refuse_damage()
        if self._version() == VERSION:
            return
        if not os.access(self.path, os.W_OK):
            raise BookError(f"{self.path}: the cellar book must be brought up to date, but may not be written")
        self._switch_to_wal()
        with self.write():
            # Another process may have done it while this one waited.
            for step in MIGRATIONS[self._version() :]:
                step(self._connection)
            self.run(f"PRAGMA application_id = {APPLICATION_ID}")
            self.run(f"PRAGMA user_version = {VERSION}")

    def _version(self) -> int:
        # One statement sees one state of the file, even while another process makes this very book.
        version, application, tables = self._connection.execute(
            "SELECT v.user_version, a.application_id, (SELECT count(*) FROM sqlite_master) "
            "FROM pragma_user_version v, pragma_application_id a"
        ).fetchone()
        if application != APPLICATION_ID and (application or tables):
            raise BookDamagedError(
                f"{self.path}: is a database of another kind, not a cellar book; it is left as it is"
            )
        if version > VERSION:
            raise BookTooNewError(
                f"{self.path}: was written by a later Lullwort (book version {version}, known here up to {VERSION}); "
                "update Lullwort, the book is left as it is"
            )
        return int(version)

    def _refuse_damage(self) -> None:
        if self.path.stat().st_size <= _CHECKED_BYTES:
            (found,) = self._connection.execute("PRAGMA quick_check(1)").fetchone()
            if found != "ok":
                raise self.damage(found)

    def _switch_to_wal(self) -> None:
        """Readers then never wait for the writer. The switch itself does not heed the waiting time: retried here."""
        give_up = time.monotonic() + self._wait_s
        while True:
            try:
                self._connection.execute("PRAGMA journal_mode = WAL")
                return
            except sqlite3.OperationalError as exc:
                if _code(exc) not in _HELD or time.monotonic() >= give_up:
                    raise
                time.sleep(_RETRY_S)

    def damage(self, detail: object) -> BookDamagedError:
        """The error for a book that does not hold what was written; `detail` says how it shows."""
        found = " ".join(str(detail).split())  # the database library tells what it found in several lines
        return BookDamagedError(
            f"{self.path}: the cellar book is damaged ({found}); it is left as it is: {self._way_back()}"
        )

    def _way_back(self) -> str:
        copy = newest_sound_copy(self.path)
        if copy is None:
            return "no sound copy lies beside it (`lullwort export COPY.book` makes one while a book is sound)"
        return f"the newest sound cellar book beside it is {copy.name}"

    @contextmanager
    def _sentences(self) -> Iterator[None]:
        """Errors of the database library become ours."""
        try:
            yield
        except sqlite3.ProgrammingError:
            raise  # our mistake, as when a closed book is used: no word against the file
        except sqlite3.DatabaseError as exc:
            raise self._in_a_sentence(exc) from exc

    def _in_a_sentence(self, exc: sqlite3.DatabaseError) -> BookError:
        code = _code(exc)
        if code in _HELD:
            return BookBusyError(
                f"{self.path}: another process has held the cellar book for {self._wait_s:g} s; try again"
            )
        # A disk without room for the small files beside the book is called a failure of its own by the library.
        if code == sqlite3.SQLITE_FULL or (code == sqlite3.SQLITE_IOERR and self.free_bytes() < _LEAST_BYTES):
            return BookError(f"{self.path}: the disk is full; nothing of this step was stored")
        if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN):
            return BookError(f"{self.path}: the cellar book or its folder may not be written")
        if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            return self.damage(exc)
        return BookError(f"{self.path}: the cellar book failed: {exc}")


def _code(exc: sqlite3.DatabaseError) -> int:
    """What went wrong, without the finer part of the code."""
    # An error without a code comes from the wrapper: text in the file that cannot be decoded.
    return int(getattr(exc, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT)) & 0xFF
