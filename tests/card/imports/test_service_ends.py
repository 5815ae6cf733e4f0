"""The service as a process, ended in each way while a log is being stored and a file of a batch is being written."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Batch

Guest = Any  # the class lives in conftest.py
LOG = "time,vessel,gravity,temperature\n" + "".join(f"2026-03-09T{hour:02d}:00Z,west,1.05,20\n" for hour in range(24))


class Tending:
    """`lullwort tend` on one book, begun again and again; of its commands none is measured."""

    def __init__(self, book: Path, guest_at: Callable[[str], Guest], comes_true: Callable[..., bool]) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.book, self.room, self._comes_true = book, book.with_name(f"{book.name}.card"), comes_true
        self.guest = guest_at(f"http://127.0.0.1:{self.port}")
        self._settings, self._other = book.with_name("settings.toml"), book.with_name("other")
        self._text = f'book = "{book}"\nzone = "UTC"\n[http]\nlisten = "127.0.0.1:{self.port}"\n'
        self._settings.write_text(self._text)
        here = {name: value for name, value in os.environ.items() if not name.startswith(("LULLWORT_", "COV"))}
        self._environment = {**here, "LULLWORT_SETTINGS": str(self._settings), "HOME": str(book.parent)}
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def log(self) -> str:
        return self.book.with_name("tend.log").read_text()

    def start(self) -> None:
        with self.book.with_name("tend.log").open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "lullwort", "tend"], env=self._environment, stderr=log, stdout=log
            )
        assert self.answers()

    def answers(self) -> bool:
        def asked() -> bool:
            try:
                return bool(self.guest.get("/import").status == 200)
            except (OSError, http.client.HTTPException):
                return False

        return self._comes_true(asked, 30.0)

    def hand_in(self) -> Any:
        """A log; the page of how it would be read."""
        seen = self.guest.hand_in("/import", "log.csv", LOG.encode())
        return self.comes_to_say(seen.path, "/store/1")

    def comes_to_say(self, path: str, says: str) -> Any:
        assert self._comes_true(lambda: says in self.guest.get(path).text, 20.0)
        return self.guest.get(path)

    def store_without_end(self) -> str:
        """A log is handed in and stored, by a command that waits for ever for its settings; the address of its page."""
        seen = self.hand_in()
        os.mkfifo(self._other)
        self._other.replace(self._settings)
        assert "It is being stored." in self.guest.post(seen.action("/store/1")).words
        return str(seen.path)

    def ask_for_a_file(self) -> socket.socket:
        asked = socket.create_connection(("127.0.0.1", self.port), timeout=20.0)
        asked.sendall(f"GET /batch/loft-1/readings.csv HTTP/1.1\r\nHost: 127.0.0.1:{self.port}\r\n\r\n".encode())
        return asked

    @contextmanager
    def held_up(self, processes: list[int]) -> Iterator[None]:
        """All of them wait for their settings, to which nothing is written; who begins afterwards finds some."""
        writer = -1

        def opened() -> bool:
            nonlocal writer
            with suppress(OSError):  # nobody reads there yet
                writer = os.open(self._settings, os.O_WRONLY | os.O_NONBLOCK)
            return writer >= 0

        def read(pid: int) -> bool:
            with suppress(OSError):  # a file was closed again meanwhile
                return self._settings in [one.readlink() for one in Path(f"/proc/{pid}/fd").iterdir()]
            return False

        assert self._comes_true(opened)
        try:
            assert self._comes_true(lambda: all(map(read, processes)))
            self._other.write_text(self._text)
            self._other.replace(self._settings)
            yield
        finally:
            os.close(writer)

    def end(self, how: signal.Signals) -> int:
        assert self.process is not None
        self.process.send_signal(how)
        code = self.process.wait(timeout=20.0)
        self.process = None
        return code


@pytest.fixture
def tending(small_cellar: Path, guest_at: Callable[[str], Guest], comes_true: Callable[..., bool]) -> Iterator[Tending]:
    with open_book(small_cellar) as book:
        book.batches.put(Batch(vessel="loft", name="loft-1", pitched_us=1_699_999_999_000_000))
    service = Tending(small_cellar, guest_at, comes_true)
    yield service
    if service.process is not None:
        service.process.kill()
        service.process.wait()


@pytest.mark.no_cover
def test_however_the_service_ends_no_command_and_no_folder_is_left_and_the_next_one_works(
    tending: Tending, running: Callable[[Path], list[int]], comes_true: Callable[..., bool]
) -> None:
    book = tending.book
    tending.start()
    for how in (signal.SIGHUP, signal.SIGKILL, signal.SIGTERM):
        page = tending.store_without_end()
        with tending.ask_for_a_file():
            assert comes_true(lambda: len(running(book)) == 2)
            with tending.held_up(running(book)):
                if how is signal.SIGHUP:
                    assert tending.process is not None
                    tending.process.send_signal(how)
                    assert comes_true(lambda: tending.log.count("lullwort.tend tending") == 2)
                else:
                    assert tending.end(how) == (0 if how is signal.SIGTERM else -how)
                assert comes_true(lambda: running(book) == [], 2.0)
        if how is not signal.SIGHUP:
            assert how is signal.SIGKILL or not tending.room.exists()
            tending.start()
        assert tending.answers()
        assert not tending.room.exists()
        gone = tending.guest.get(page)
        assert (gone.status, "has taken up changed settings" in gone.words) == (404, True)
    seen = tending.guest.post(tending.hand_in().action("/store/1"))
    tending.comes_to_say(seen.path, "<b>24 stored</b>")
    assert tending.end(signal.SIGTERM) == 0
    assert "Traceback" not in tending.log
