"""Copies of a book: made while it is in use, checked, and found again when the book itself is damaged."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from lullwort.cellarbook.schema import APPLICATION_ID, VERSION
from lullwort.cellarbook.segments import unpack
from lullwort.errors import BookDamagedError, BookError, RefusedError
from lullwort.records import VALUE_COLUMNS

__all__ = ["MAGIC", "copy_book", "newest_sound_copy"]

MAGIC = b"SQLite format 3\x00"
_APPLICATION_ID_AT = 68
"""Both as the file format of the database library lays down ("Database File Format", section 1.3, sqlite.org)."""

_COLUMNS_SINCE = 2
"""From this version on readings lie in runs that show their damage."""


def copy_book(source: sqlite3.Connection, path: Path) -> None:
    """Copy the book behind `source` to a new file and check the copy; others may read and write meanwhile.

    Raises: RefusedError if there is something at `path` already; BookDamagedError if the copy is not sound, which is
            then removed; BookError if it cannot be written.
    """
    try:
        path.touch(exist_ok=False)  # nobody else's file can come to lie here from now on
    except FileExistsError:
        raise RefusedError(f"{path}: is there already; a copy of the cellar book overwrites nothing") from None
    except OSError as exc:
        raise BookError(f"{path}: the copy of the cellar book cannot be written: {exc.strerror}") from exc
    try:
        # Cut off in here, the file falls back to an empty one when it is opened: it is one transaction.
        with closing(sqlite3.connect(path)) as copy:
            _back_up(source, copy, path)
        found = _fault(path)
        if found is not None:
            raise BookDamagedError(
                f"{path}: the copy of the cellar book is not sound ({found}) and was removed: the book itself may be "
                "damaged"
            )
    except BaseException:
        path.unlink()
        path.with_name(f"{path.name}-journal").unlink(missing_ok=True)
        raise


def _back_up(source: sqlite3.Connection, copy: sqlite3.Connection, path: Path) -> None:
    try:
        source.backup(copy)
    except sqlite3.OperationalError as exc:  # damage of the source is no operational error, and told by its owner
        raise BookError(f"{path}: the copy of the cellar book cannot be made: {exc}") from exc


def newest_sound_copy(book: Path) -> Path | None:
    """Of the sound cellar books in the folder of `book`, itself left out, the one that was written last."""
    try:
        beside = [path for path in book.absolute().parent.iterdir() if path.name != book.name and _looks_like_one(path)]
        beside.sort(key=lambda path: path.stat().st_mtime_ns, reverse=True)
    except OSError:
        return None
    return next((path for path in beside if _fault(path) is None), None)


def _looks_like_one(path: Path) -> bool:
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            head = file.read(100)
    except OSError:
        return False
    application = head[_APPLICATION_ID_AT : _APPLICATION_ID_AT + 4]
    # With a log beside it a book is being written, or was cut off: what is in it is not in its file alone.
    logs = [path.with_name(path.name + ending) for ending in ("-wal", "-journal")]
    return (
        head.startswith(MAGIC)
        and application == APPLICATION_ID.to_bytes(4, "big")
        and not any(log.exists() and log.stat().st_size for log in logs)
    )


def _fault(path: Path) -> str | None:
    """What is wrong with the cellar book in this file, which nobody is writing; None if it is sound."""
    try:
        # Immutable: looking at it makes no files beside it, and needs no right to.
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            ((version,),) = connection.execute("PRAGMA user_version")
            if not 1 <= version <= VERSION:
                return f"book version {version}"
            found = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
            if found != "ok":
                return " ".join(str(found).split())
            if version >= _COLUMNS_SINCE:
                for stream, *packed in connection.execute(
                    f"SELECT stream, key, at_us, {', '.join(VALUE_COLUMNS)} FROM segment"
                ):
                    unpack(stream, tuple(packed))
    except (sqlite3.Error, ValueError) as exc:
        return str(exc)
    return None
