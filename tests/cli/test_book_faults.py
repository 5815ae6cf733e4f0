"""The command itself when the cellar book fails: exit 3, one sentence, and the book as whole as it was."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Reading

Shell = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)


def log(first: int, count: int) -> str:
    """A log of two vessels, a reading a minute; longer ones hold what shorter ones do."""
    rows = ["time,vessel,gravity,temperature"]
    for i in range(first, first + count):
        time = f"2026-07-{1 + i // 1440:02d}T{i // 60 % 24:02d}:{i % 60:02d}Z"
        rows += [f"{time},north,{1.052 - i / 2e6:.6f},{20 + i % 7 / 10}", f"{time},south,1.048,{19 + i % 7 / 10}"]
    return "\n".join(rows) + "\n"


def readings(book: Path) -> list[Reading]:
    with open_book(book, create=False) as opened:
        return [r for vessel in ("north", "south") for r in opened.readings.of(vessel, *EVER)]


def failed(ran: Any) -> str:
    """The one sentence on standard error."""
    sentence: str
    (sentence,) = ran.stderr.splitlines()
    assert sentence.startswith("lullwort: ")
    return sentence


# -- disks ---------------------------------------------------------------------------------------------------------


@contextmanager
def limit(file_bytes: int) -> Iterator[None]:
    """No file of a process begun in here may grow beyond this: a real refusal of a real write."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (file_bytes, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.fixture
def begun(lullwort: Shell) -> Shell:
    """A folder with a short log, a longer one that goes on from there, and a book of the short one."""
    lullwort.write("short.csv", log(0, 150))
    lullwort.write("long.csv", log(0, 30_000))
    return lullwort


def test_a_disk_that_fills_up_is_told_and_once_there_is_room_all_is_as_if_it_never_had(begun: Shell, disk: Any) -> None:
    book = disk.folder / "cellar.book"
    begun.environment["LULLWORT_BOOK"] = str(book)
    begun("backfill", "--store-only", "short.csv")
    before = readings(book)
    assert "the disk is full; nothing of this step was stored" in failed(
        begun.process("backfill", "--store-only", "long.csv", exits=3)
    )
    assert readings(book) == before
    room = os.statvfs(disk.folder)
    fill = disk.folder / "fill"
    fill.write_bytes(bytes(room.f_bavail * room.f_frsize))
    for words in (("verdict",), ("backfill", "--store-only", "long.csv")):
        assert "the disk is full" in failed(begun.process(*words, exits=3)), (
            "not even room for the files beside the book"
        )
    fill.unlink()
    assert readings(book) == before
    disk.remount("size=20m")
    begun("backfill", "--store-only", "long.csv")
    begun.environment["LULLWORT_BOOK"] = str(begun.folder / "whole.book")
    begun("backfill", "--store-only", "short.csv", "long.csv")
    assert begun.everything(book) == begun.everything(begun.folder / "whole.book")


def test_a_book_that_may_not_grow_is_told_and_goes_on_when_it_may(begun: Shell) -> None:
    book = begun.folder / "cellar.book"
    begun("backfill", "--store-only", "short.csv")
    before = readings(book)
    with limit(300_000):
        said = failed(begun.process("backfill", "--store-only", "long.csv", exits=3))
    assert said.startswith(f"lullwort: {book}: the cellar book failed: ")
    assert readings(book) == before
    begun("backfill", "--store-only", "long.csv")
    begun.environment["LULLWORT_BOOK"] = str(begun.folder / "whole.book")
    begun("backfill", "--store-only", "short.csv", "long.csv")
    assert begun.everything(book) == begun.everything(begun.folder / "whole.book")


@pytest.mark.parametrize("there", ["a book", "no book", "no folder"])
def test_a_disk_that_may_only_be_read_is_told(begun: Shell, disk: Any, there: str) -> None:
    book = disk.folder / "deeper" / "cellar.book" if there == "no folder" else disk.folder / "cellar.book"
    begun.environment["LULLWORT_BOOK"] = str(book)
    if there == "a book":
        begun("backfill", "--store-only", "short.csv")
    before = {file.name: file.read_bytes() for file in disk.folder.iterdir()}
    disk.remount("ro")
    said = failed(begun.process("backfill", "--store-only", "long.csv", exits=3))
    assert str(book) in said
    assert "may not be written" in said or "cannot be opened" in said
    assert {file.name: file.read_bytes() for file in disk.folder.iterdir()} == before
    disk.remount("rw")
    begun("backfill", "--store-only", "short.csv")
    assert len(readings(book)) == 300


def test_a_folder_that_may_only_be_read_is_told(begun: Shell) -> None:
    begun("backfill", "--store-only", "short.csv")
    if os.geteuid() == 0:  # no folder stops the administrator, unless he lays that power down
        if shutil.which("setpriv") is None:
            pytest.skip("left out: a folder without the right to write, for there is no setpriv here")
        begun.program = ["setpriv", "--bounding-set=-dac_override", *begun.program]
    begun.folder.chmod(0o555)
    try:
        said = failed(begun.process("backfill", "--store-only", "long.csv", exits=3))
    finally:
        begun.folder.chmod(0o755)
    assert "the cellar book or its folder may not be written" in said
    assert len(readings(begun.folder / "cellar.book")) == 300
    begun("backfill", "--store-only", "long.csv")


# -- another process -----------------------------------------------------------------------------------------------

IMPATIENT = """
from lullwort.cellarbook import open_book
open_book.__wrapped__.__kwdefaults__["wait_s"] = 0.3  # a minute otherwise
from lullwort.cli import main
main()
"""


@pytest.mark.parametrize(
    ("hold", "words"),
    [
        (("BEGIN IMMEDIATE",), ("backfill", "--store-only", "long.csv")),
        (("PRAGMA locking_mode = EXCLUSIVE", "BEGIN EXCLUSIVE"), ("backfill", "--store-only", "long.csv")),
        (("PRAGMA locking_mode = EXCLUSIVE", "BEGIN EXCLUSIVE"), ("verdict",)),
    ],
)
def test_a_book_that_another_process_holds_is_told(begun: Shell, hold: tuple[str, ...], words: tuple[str, ...]) -> None:
    book = begun.folder / "cellar.book"
    begun("backfill", "--store-only", "short.csv")
    begun.program = [begun.program[0], "-c", IMPATIENT]
    holder = sqlite3.connect(book, isolation_level=None)
    for statement in hold:
        holder.execute(statement)
    said = failed(begun.process(*words, exits=3))
    assert said == f"lullwort: {book}: another process has held the cellar book for 0.3 s; try again"
    holder.execute("ROLLBACK")
    holder.close()
    assert len(readings(book)) == 300
    begun(*words)


def test_two_imports_of_one_file_at_once_store_it_once(begun: Shell) -> None:
    said = _at_once(begun, "long.csv", "long.csv")
    assert sorted(line.partition("rows read, ")[2] for line in said) == [
        "0 stored, 60000 already known, 0 set aside", "60000 stored, 0 already known, 0 set aside",
    ]  # fmt: skip
    _as_one_after_the_other(begun, "long.csv")


def test_two_imports_at_once_of_logs_that_overlap_store_what_each_adds(begun: Shell) -> None:
    begun.write("later.csv", log(20_000, 20_000))
    said = _at_once(begun, "long.csv", "later.csv")
    counts = [[int(word) for word in line.split() if word.isdigit()] for line in said]
    assert [rows for rows, *_ in counts] == [60_000, 40_000]
    assert sum(stored for _, stored, *_ in counts) == 80_000
    assert sum(known for _, _, known, _ in counts) == 20_000
    _as_one_after_the_other(begun, "long.csv", "later.csv")


def _at_once(shell: Shell, *files: str) -> list[str]:
    """What each of the imports says that are begun together."""
    both = [
        subprocess.Popen(
            [*shell.program, "backfill", "--store-only", file], cwd=shell.folder, env=shell.environment,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for file in files
    ]  # fmt: skip
    said = [process.communicate(timeout=120) for process in both]
    assert [process.returncode for process in both] == [0] * len(files), said
    return [output.splitlines()[0] for output, _ in said]


def _as_one_after_the_other(shell: Shell, *files: str) -> None:
    shell.environment["LULLWORT_BOOK"] = str(shell.folder / "whole.book")
    shell("backfill", "--store-only", *files)
    assert shell.everything(shell.folder / "cellar.book") == shell.everything(shell.folder / "whole.book")


# -- damage --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("words", [("verdict",), ("backfill", "--store-only", "long.csv"), ("batch", "list")])
def test_a_damaged_book_is_told_with_the_copy_to_go_back_to_and_left_alone(
    begun: Shell, words: tuple[str, ...]
) -> None:
    book, copy = begun.folder / "cellar.book", begun.folder / "monday.book"
    begun("backfill", "--store-only", "long.csv")
    with open_book(book) as opened:
        opened.copy_to(copy)
    content = bytearray(book.read_bytes())
    content[8192:40_000] = bytes(255 - byte for byte in content[8192:40_000])
    book.write_bytes(content)
    said = failed(begun(*words, exits=3))
    assert said.startswith(f"lullwort: {book}: the cellar book is damaged (")
    assert said.endswith("it is left as it is: the newest sound cellar book beside it is monday.book")
    assert book.read_bytes() == content
    begun.environment["LULLWORT_BOOK"] = str(copy)
    begun("verdict")
    assert len(readings(copy)) == 60_000
