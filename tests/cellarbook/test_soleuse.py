"""One service a book: a second is refused by name, a kill frees it, and commands are not kept out."""

from __future__ import annotations

import errno
import fcntl
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book, sole_use
from lullwort.errors import BookBusyError, BookError
from lullwort.records import Batch, Event

pytestmark = pytest.mark.usefixtures("unmeasured")

Shelf = Any  # the fixture's class lives in conftest.py

HOLDS = """
import sys
from pathlib import Path
from lullwort.cellarbook import sole_use

with sole_use(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.readline()
"""

Start = Callable[[Path], "subprocess.Popen[str]"]


@pytest.fixture
def start() -> Iterator[Start]:
    """Starts processes that hold a book until a line comes in."""
    started: list[subprocess.Popen[str]] = []

    def start(path: Path) -> subprocess.Popen[str]:
        command = [sys.executable, "-c", HOLDS, str(path)]
        process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        started.append(process)
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"
        return process

    yield start
    for process in started:
        process.kill()
        process.communicate()


def test_a_second_service_is_refused_and_told_which_is_the_first(path: Path, start: Start) -> None:
    first = start(path)
    told = rf"cellar\.book: another service tends this cellar book already \(process {first.pid}\); stop it first"
    with pytest.raises(BookBusyError, match=told), sole_use(path):
        pass
    first.communicate("\n")
    assert first.returncode == 0
    with sole_use(path):
        pass


def test_a_kill_frees_the_book(path: Path, start: Start) -> None:
    first = start(path)
    first.kill()
    assert first.wait() == -signal.SIGKILL
    with sole_use(path), pytest.raises(BookBusyError, match=rf"process {os.getpid()}\b"), sole_use(path):
        pass


def test_a_child_that_outlives_its_service_does_not_keep_the_book(path: Path) -> None:
    with sole_use(path):
        child = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    with sole_use(path):
        assert child.poll() is None
    child.communicate(b"\n")


def test_an_error_inside_frees_the_book_and_is_passed_on(path: Path) -> None:
    with pytest.raises(RuntimeError, match="mine"), sole_use(path):
        raise RuntimeError("mine")
    with sole_use(path):
        pass


def test_the_same_book_by_another_name_is_the_same_book(path: Path, start: Start) -> None:
    with open_book(path):
        pass
    link = path.with_name("link.book")
    link.symlink_to(path)
    start(path)
    with pytest.raises(BookBusyError), sole_use(link):
        pass


def test_another_book_is_free_and_a_folder_that_is_not_there_is_made(path: Path, start: Start) -> None:
    start(path)
    with sole_use(path.parent / "new" / "cellar.book"), open_book(path.parent / "new" / "cellar.book") as book:
        assert book.imports.all() == []


def test_logs_batches_and_notes_are_entered_while_a_service_holds_the_book(
    path: Path, shelf: Shelf, start: Start
) -> None:
    start(path)
    with open_book(path) as book:
        assert shelf.store(book, "a", shelf.log(3)).stored == 3
        book.batches.put(Batch(vessel="north", name="north-12", pitched_us=0))
        assert book.batches.add_event("north-12", Event(at_us=5, kind="rouse"))


def test_a_lock_that_cannot_be_had_at_all_is_told(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path.with_name("cellar.book.tend").mkdir()
    with pytest.raises(BookError, match=r"cellar\.book\.tend: cannot be written"), sole_use(path):
        pass

    def refuses(*_: object) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", refuses)
    with pytest.raises(BookError, match="must lie on a local disk"), sole_use(path.with_name("other.book")):
        pass


def test_a_holder_that_left_no_number_is_told_without(path: Path) -> None:
    with sole_use(path):
        path.with_name("cellar.book.tend").write_bytes(b"")
        with pytest.raises(BookBusyError, match="already; stop it first"), sole_use(path):
            pass
