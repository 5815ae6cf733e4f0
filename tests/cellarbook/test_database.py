"""The file itself: made, brought up to date, refused, left alone and waited for."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.cellarbook.schema import APPLICATION_ID, VERSION
from lullwort.errors import BookBusyError, BookDamagedError, BookError, BookTooNewError

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)


def test_a_writer_that_waits_too_long_says_who_holds_the_book(path: Path, shelf: Shelf) -> None:
    with open_book(path, wait_s=0.2) as book:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookBusyError, match=r"another process has held the cellar book for 0\.2 s"):
            shelf.store(book, "a", shelf.log(3))
        other.execute("ROLLBACK")
        other.close()
        assert shelf.store(book, "a", shelf.log(3)).stored == 3


def test_readers_do_not_wait_for_a_writer(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3))
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with open_book(path, wait_s=0.1) as reader:
            assert len(list(reader.readings.of("north", *EVER))) == 3
        other.execute("ROLLBACK")
        other.close()


def test_a_new_book_is_marked_and_durable(path: Path) -> None:
    with open_book(path):
        pass
    connection = sqlite3.connect(path)
    assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
    assert connection.execute("PRAGMA user_version").fetchone() == (VERSION,)
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    connection.close()


def test_an_empty_file_is_taken_as_the_earliest_version_and_brought_up_to_date(path: Path, shelf: Shelf) -> None:
    path.touch()
    with open_book(path) as book:
        assert shelf.store(book, "a", shelf.log(3)).stored == 3


def test_a_book_of_a_later_version_is_refused_and_left_alone(path: Path) -> None:
    with open_book(path):
        pass
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version = {VERSION + 1}")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(BookTooNewError, match="update Lullwort"), open_book(path):
        pass
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"time,vessel,gravity\n", b"SQLite format 3\x00" + bytes(range(256)) * 20])
def test_a_file_that_is_no_book_is_refused_and_left_alone(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    with pytest.raises(BookDamagedError, match="left as it is"), open_book(path):
        pass
    assert path.read_bytes() == content


def test_a_database_of_another_kind_is_refused(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE recipes (x)")
    connection.close()
    with pytest.raises(BookDamagedError, match="of another kind"), open_book(path):
        pass


def test_a_damaged_book_is_told_and_left_alone(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(20_000))
    content = bytearray(path.read_bytes())
    content[8192:40_000] = os.urandom(40_000 - 8192)
    path.write_bytes(content)
    with pytest.raises(BookDamagedError, match="is damaged"), open_book(path) as book:
        list(book.readings.of("north", *EVER))
    assert path.read_bytes() == content


def test_readings_that_are_not_what_was_written_are_told(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(5))
        connection = sqlite3.connect(path)
        connection.execute("UPDATE segment SET gravity = zeroblob(length(gravity))")
        connection.commit()
        connection.close()
        with pytest.raises(BookDamagedError, match=r"damaged \(readings of key .* are not what was stored\)"):
            list(book.readings.of("north", *EVER))


def test_no_book_is_made_where_only_reading_was_meant(path: Path) -> None:
    with pytest.raises(BookError, match="there is no cellar book yet"), open_book(path, create=False):
        pass
    assert not path.exists()


def test_a_folder_instead_of_a_book_is_an_error_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="cannot be"), open_book(tmp_path):
        pass


def test_a_failed_transaction_leaves_nothing_behind(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3))
        before = shelf.everything(path)
        run = book.imports.begin(shelf.intake("b"), 1)
        broken = shelf.block(shelf.log(5))
        broken.at_us[:] = 0
        object.__setattr__(broken, "gravity", broken.gravity[:2])
        run.store(shelf.block(shelf.log(7, first=50)))  # sound, but in the same transaction
        run.store(broken)
        with pytest.raises(IndexError):
            run.finish(2)
    after = shelf.everything(path)
    assert after["segment"] == before["segment"]
    assert after["stream"] == before["stream"]
