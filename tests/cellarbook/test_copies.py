"""Copies of a book: made while others write, checked, never over anything, and named when the book is damaged."""

from __future__ import annotations

import os
import resource
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.errors import BookDamagedError, BookError, RefusedError

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)


def damage_readings(path: Path) -> None:
    """One byte of one segment is another, as a failing disk would have it; no page is malformed by that."""
    connection = sqlite3.connect(path)
    ((column,),) = connection.execute("SELECT gravity FROM segment LIMIT 1").fetchall()
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    content = bytearray(path.read_bytes())
    content[content.index(column[:64]) + 3] ^= 0x40
    path.write_bytes(content)


def test_a_copy_holds_everything_and_is_a_book_like_any_other(path: Path, shelf: Shelf) -> None:
    copy = path.with_name("copy.book")
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(500))
        book.copy_to(copy)
    assert {p.name for p in path.parent.iterdir()} == {"cellar.book", "copy.book"}
    assert shelf.everything(copy) == shelf.everything(path)
    with open_book(copy) as book:
        assert list(book.readings.of("north", *EVER)) == shelf.log(500)
        assert shelf.store(book, "b", shelf.log(600)).stored == 100


def test_a_copy_is_of_what_is_committed_while_another_writes(path: Path, shelf: Shelf) -> None:
    copy = path.with_name("copy.book")
    with open_book(path) as book, open_book(path) as writer:
        shelf.store(book, "a", shelf.log(10))
        half = writer.imports.begin(shelf.intake("b"), 1)
        half.store(shelf.block(shelf.log(30)))
        half.commit()
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        other.execute("DELETE FROM stream")
        book.copy_to(copy)
        other.execute("ROLLBACK")
        other.close()
        half.finish(2)
        assert len(list(book.readings.of("north", *EVER))) == 30
    with open_book(copy) as book:
        assert list(book.readings.of("north", *EVER)) == shelf.log(10)


@pytest.mark.parametrize("there", ["a file", "an empty file", "a folder", "the book itself"])
def test_nothing_is_overwritten_by_a_copy(path: Path, shelf: Shelf, there: str) -> None:
    target = path.with_name("there")
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3))
        if there == "a folder":
            target.mkdir()
        elif there == "the book itself":
            target = path
        else:
            target.write_text("mine" if there == "a file" else "")
        before = target.read_bytes() if target.is_file() else None
        with pytest.raises(RefusedError, match="is there already"):
            book.copy_to(target)
        assert (target.read_bytes() if target.is_file() else None) == before
        assert list(book.readings.of("north", *EVER)) == shelf.log(3)


def test_a_copy_that_cannot_be_written_is_told_and_leaves_nothing(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3))
        with pytest.raises(BookError, match=r"copy\.book: the copy of the cellar book cannot be written"):
            book.copy_to(path.parent / "no such folder" / "copy.book")
    assert {p.name for p in path.parent.iterdir()} == {"cellar.book"}


def test_a_copy_for_which_there_is_no_room_is_told_and_removed(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(20_000))
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, hard))  # no file of this process may grow beyond
        try:
            with pytest.raises(BookError, match=r"copy\.book: the copy of the cellar book cannot be made"):
                book.copy_to(path.with_name("copy.book"))
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert {p.name for p in path.parent.iterdir()} == {"cellar.book"}


def test_a_copy_of_damaged_readings_is_refused_and_removed(path: Path, shelf: Shelf) -> None:
    copy = path.with_name("copy.book")
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(500))
    damage_readings(path)
    with open_book(path) as book, pytest.raises(BookDamagedError, match=r"copy\.book: .* not sound .* not what was"):
        book.copy_to(copy)
    assert {p.name for p in path.parent.iterdir()} == {"cellar.book"}


def test_a_damaged_book_names_the_newest_sound_copy_beside_it(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(500))
        names = ["old.book", "new.book", "newest but damaged.book", "newest but cut short.book", "half made.book"]
        for name in names:
            book.copy_to(path.with_name(name))
        path.with_name("half made.book-journal").write_text("what was there before")
        # Another book in use: what is in it is not in its file alone.
        with open_book(path.with_name("in use.book")) as other:
            shelf.store(other, "a", shelf.log(3))
            damage_readings(path.with_name("newest but damaged.book"))
            short = path.with_name("newest but cut short.book")
            short.write_bytes(short.read_bytes()[:-4096])
            path.with_name("stranger.sqlite").write_bytes(b"SQLite format 3\x00" + bytes(90))
            path.with_name("empty.book").touch()
            path.with_name("folder.book").mkdir()
            for age, name in enumerate(["in use.book", *reversed(names)]):
                os.utime(path.with_name(name), (1e9 - age, 1e9 - age))
            damage_readings(path)
            before = {p.name: p.read_bytes() for p in path.parent.iterdir() if p.is_file()}
            with pytest.raises(BookDamagedError, match=r"the newest sound cellar book beside it is new\.book$"):
                list(book.readings.of("north", *EVER))
            after = {p.name: p.read_bytes() for p in path.parent.iterdir() if p.is_file()}
            assert {n: c for n, c in after.items() if "-shm" not in n} == {
                n: c for n, c in before.items() if "-shm" not in n
            }


@pytest.mark.parametrize("first", [b"no book at all", None])
def test_a_damaged_book_without_a_copy_says_how_one_is_made(path: Path, shelf: Shelf, first: bytes | None) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(20_000))
    content = path.read_bytes()
    path.write_bytes(content[:-4096] if first is None else first + content[len(first) :])
    with pytest.raises(BookDamagedError, match=r"`lullwort export COPY\.book` makes one") as told, open_book(path):
        pass
    assert len(str(told.value).splitlines()) == 1


def test_a_copy_of_an_earlier_version_is_one_too(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(500))
        book.copy_to(path.with_name("earlier.book"))
        book.copy_to(path.with_name("later.book"))
    for name, version in (("earlier.book", 1), ("later.book", 99)):
        connection = sqlite3.connect(path.with_name(name))
        connection.execute(f"PRAGMA user_version = {version}")
        connection.close()
    damage_readings(path)
    with pytest.raises(BookDamagedError, match=r"beside it is earlier\.book$"), open_book(path) as book:
        list(book.readings.of("north", *EVER))
