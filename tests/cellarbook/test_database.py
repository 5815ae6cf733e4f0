"""The file itself: made, brought up to date, refused, left alone, waited for, and found whole after a kill -9."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.cellarbook.schema import APPLICATION_ID, VERSION
from lullwort.errors import BookBusyError, BookDamagedError, BookError, BookTooNewError

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)

IMPORT_A_LOG = """
import sys
from pathlib import Path
import numpy as np
from lullwort.cellarbook import Intake, open_book
from lullwort.records import Block

rows, runs, book_path, ready = 4000, 200, Path(sys.argv[1]), sys.argv[2]
nothing = np.full(rows, np.nan)
codes = np.zeros(rows, dtype=np.int32)
with open_book(book_path) as book:
    run = book.imports.begin(Intake("csv", "big.csv", "f" * 64), 1)
    for i in range(runs):
        at = np.arange(i * rows, (i + 1) * rows, dtype=np.int64) * 60_000_000
        gravity = 1.05 - at / 1e15
        run.store(Block(("n",), ("n",), codes, codes, at, gravity, *[nothing] * 4, at))
        run.commit()  # many small runs, so that a kill falls between and within them
        print(ready, flush=True)
    counts = run.finish(2)
print(*counts, flush=True)
"""


def importer(path: Path) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", IMPORT_A_LOG, str(path), "begun"], stdout=subprocess.PIPE, text=True)


def test_an_import_killed_at_any_moment_and_run_again_ends_as_if_never_killed(tmp_path: Path, shelf: Shelf) -> None:
    whole = tmp_path / "whole.book"
    counts = importer(whole).communicate(timeout=60)[0].splitlines()[-1]
    assert counts == "800000 800000 0 0 0"
    expected = shelf.everything(whole)
    rng = random.Random(20260302)
    path = tmp_path / "killed.book"
    for _ in range(8):
        process = importer(path)
        assert process.stdout is not None
        for _ in range(rng.randrange(1, 150)):
            assert process.stdout.readline() == "begun\n"
        time.sleep(rng.uniform(0.0, 0.005))  # into the next run, which takes some milliseconds
        os.kill(process.pid, signal.SIGKILL)
        process.stdout.close()
        assert process.wait() == -signal.SIGKILL
        with open_book(path) as book:
            assert book.imports.all()[0].finished_us is None
    assert importer(path).communicate(timeout=60)[0].splitlines()[-1] == counts
    assert shelf.everything(path) == expected


def test_two_processes_at_once_both_get_their_turn(tmp_path: Path) -> None:
    path = tmp_path / "shared.book"
    both = [importer(path), importer(path)]
    outputs = [process.communicate(timeout=120)[0].splitlines()[-1] for process in both]
    assert [process.returncode for process in both] == [0, 0]
    assert sorted(outputs) == ["800000 0 800000 0 0", "800000 800000 0 0 0"]
    with open_book(path) as book:
        assert sum(1 for _ in book.readings.of("n", *EVER)) == 800_000


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
