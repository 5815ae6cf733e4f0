"""What goes wrong around a book: refusals of the system, other processes, damage. Each is told, the book left whole.

Full disks, kills and two imports at once are met by the command itself, in `tests/cli/test_book_faults.py`.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lullwort.cellarbook import open_book
from lullwort.errors import BookBusyError, BookDamagedError, BookError
from lullwort.records import HOUR_US, Batch, Event, Reading, ReportedUnits, SetAside

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)
NOBODY = 65534


class SmallDisk(sqlite3.Connection):
    """A database whose file may not grow beyond 60 pages."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.execute("PRAGMA max_page_count = 60")


def test_a_full_disk_is_named_and_nothing_of_that_step_is_stored(
    path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3))
    with monkeypatch.context() as patched:
        patched.setattr(sqlite3, "connect", partial(sqlite3.connect, factory=SmallDisk))
        with open_book(path) as book, pytest.raises(BookError, match=r"cellar\.book: the disk is full"):
            shelf.store(book, "b", shelf.log(30_000))
    with open_book(path) as book:
        assert list(book.readings.of("north", *EVER)) == shelf.log(3)
        assert shelf.store(book, "b", shelf.log(30_000)) == (30_000, 29_997, 3, 0, 0)


# -- folders and files that may not be written ---------------------------------------------------------------------


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that may be made read-only for good: to be reached by all, so not below pytest's private ones."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


@pytest.fixture(params=["no file", "an empty file", "a book"])
def unwritable(request: pytest.FixtureRequest, folder: Path, shelf: Shelf) -> Iterator[Path]:
    """Where a book is or would be, and may not be written by whoever runs the test."""
    path = folder / "cellar.book"
    if request.param == "a book":
        with open_book(path) as book:
            shelf.store(book, "a", shelf.log(3))
        path.chmod(0o444)
    elif request.param == "an empty file":
        path.touch()
        path.chmod(0o666)
    folder.chmod(0o555)
    before = os.geteuid()
    if before == 0:  # no read-only folder stops the administrator
        os.seteuid(NOBODY)
    yield path
    os.seteuid(before)


def test_a_read_only_folder_is_told_at_once_and_left_as_it_is(unwritable: Path) -> None:
    before = {file.name: file.read_bytes() for file in unwritable.parent.iterdir()}
    began = time.monotonic()
    refused = pytest.raises(BookError, match=r"cellar\.book: the cellar book .*(may not be written|cannot be opened)")
    with refused, open_book(unwritable, wait_s=30.0):
        pass
    assert time.monotonic() - began < 15.0, "waiting does not make a folder writable"
    assert {file.name: file.read_bytes() for file in unwritable.parent.iterdir()} == before


# -- another process -----------------------------------------------------------------------------------------------


class Overtaken(sqlite3.Connection):
    """Before its nth statement from `overtake` on, another connection does something."""

    statements_left = 0
    meanwhile: Callable[[], object]

    def overtake(self, statement: int, meanwhile: Callable[[], object]) -> None:
        self.statements_left, self.meanwhile = statement, meanwhile

    def execute(self, *args: Any) -> sqlite3.Cursor:
        self.statements_left -= 1
        if self.statements_left == 0:
            self.meanwhile()
        return super().execute(*args)


@pytest.mark.parametrize("statement", range(1, 6))
def test_a_book_that_another_process_makes_meanwhile_is_no_stranger(
    path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch, statement: int
) -> None:
    plainly = sqlite3.connect
    made = []

    def make() -> None:
        with monkeypatch.context() as patched:
            patched.setattr(sqlite3, "connect", plainly)
            with open_book(path):
                made.append(path)

    def overtaken(*args: Any, **more: Any) -> Overtaken:
        connection = plainly(*args, factory=Overtaken, **more)
        connection.overtake(statement, make)
        return connection

    monkeypatch.setattr(sqlite3, "connect", overtaken)
    with open_book(path) as book:
        assert made == [path]
        assert shelf.store(book, "a", shelf.log(3)).stored == 3


@pytest.mark.parametrize("statement", range(1, 4))
def test_an_import_that_lands_while_readings_are_read_does_no_harm(
    path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch, statement: int
) -> None:
    with open_book(path) as other:
        shelf.store(other, "a", shelf.log(5))
        late = [Reading("north", "north", 99 * HOUR_US, 12.0, 20.0)]
        plainly = sqlite3.connect
        opened: list[Overtaken] = []

        def overtaken(*args: Any, **more: Any) -> Overtaken:
            opened.append(plainly(*args, factory=Overtaken, **more))
            return opened[-1]

        monkeypatch.setattr(sqlite3, "connect", overtaken)
        with open_book(path) as book:
            opened[0].overtake(statement, lambda: shelf.store(other, "b", late, ReportedUnits("plato")))
            readings = list(book.readings.of("north", *EVER))
            assert readings[:5] == shelf.log(5)
            assert len(readings) in (5, 6)
            assert len(list(book.readings.of("north", *EVER))) == 6


def test_a_book_that_is_being_made_is_waited_for_but_not_for_ever(path: Path) -> None:
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(BookBusyError, match=r"held the cellar book for 0\.1 s"), open_book(path, wait_s=0.1):
        pass
    other.execute("ROLLBACK")
    other.close()
    with open_book(path) as book:
        assert book.imports.all() == []


# -- damage --------------------------------------------------------------------------------------------------------


def test_damage_in_a_book_too_large_to_be_checked_on_opening_is_found_when_it_is_read(path: Path, shelf: Shelf) -> None:
    sound, damaged = shelf.log(500), shelf.log(500, sensor="south", gravity=1.2)
    ballast = SetAside("a.csv", 2, "row", "x", "three fields", "x" * (65 << 20))
    with open_book(path) as book:
        run = book.imports.begin(shelf.intake("a"), 1)
        run.store(shelf.block(sound + damaged), [ballast])
        run.finish(2)
    content = bytearray(path.read_bytes())
    some = np.array([reading.gravity for reading in damaged[200:210]], dtype="<f8").tobytes()
    assert content.count(some) == 1
    content[content.index(some)] ^= 0x01
    path.write_bytes(content)
    with open_book(path) as book:
        assert list(book.readings.of("north", *EVER)) == sound
        with pytest.raises(BookDamagedError, match=r"readings of key .* are not what was stored"):
            list(book.readings.of("south", *EVER))
    assert path.read_bytes() == content


@pytest.mark.parametrize("table", ["batch", "event"])
@pytest.mark.parametrize("bytes_as_hex", ["7bff", "7b", "5b335d"], ids=["no text", "half an entry", "another entry"])
def test_an_entry_that_cannot_be_understood_is_damage(path: Path, table: str, bytes_as_hex: str) -> None:
    batch = Batch(vessel="north", name="north-12", pitched_us=1, events=(Event(at_us=2, kind="rouse"),))
    with open_book(path) as book:
        book.batches.put(batch)
    connection = sqlite3.connect(path)
    connection.execute(f"UPDATE {table} SET entered = CAST(x'{bytes_as_hex}' AS TEXT)")
    connection.commit()
    connection.close()
    with open_book(path) as book, pytest.raises(BookDamagedError, match=r"cellar\.book: the cellar book is damaged"):
        book.batches.all()


def test_a_book_used_after_it_was_closed_is_not_called_damaged(path: Path) -> None:
    with open_book(path) as book:
        pass
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        book.batches.all()
