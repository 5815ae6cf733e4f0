"""The service as a process, with its own folder, book, settings and broker."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import Book, open_book

SETTINGS = """
book = "{book}"
[broker]
port = {port}
user = "lullwort"
password_file = "{password}"
keepalive_s = 5
"""


class Tended:
    """Starts, kills and asks after `lullwort tend`."""

    def __init__(self, folder: Path, broker: Any) -> None:
        self.folder, self.broker = folder, broker
        self.book = folder / "cellar.book"
        self.settings = folder / "settings.toml"
        (folder / "password").write_text("lullwort-word\n")
        self.settings.write_text(SETTINGS.format(book=self.book, port=broker.port, password=folder / "password"))
        self.environment = {
            **{k: v for k, v in os.environ.items() if not k.startswith("LULLWORT_")},
            "LULLWORT_SETTINGS": str(self.settings), "HOME": str(folder),
        }  # fmt: skip
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with (self.folder / "tend.log").open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "lullwort", "tend"], env=self.environment, stderr=log, stdout=log
            )

    def end(self, how: signal.Signals = signal.SIGTERM) -> int:
        assert self.process is not None
        self.process.send_signal(how)
        code = self.process.wait(timeout=20.0)
        self.process = None
        return code

    @property
    def log(self) -> str:
        return (self.folder / "tend.log").read_text()

    def command(self, *words: str) -> str:
        run = subprocess.run(
            [sys.executable, "-m", "lullwort", *words], env=self.environment, capture_output=True, text=True,
            timeout=120, check=False, cwd=self.folder,
        )  # fmt: skip
        assert run.returncode == 0, run.stderr
        return run.stdout

    def eventually(self, holds: Callable[[Book], bool], within_s: float = 30.0) -> bool:
        """Whether that comes to be true of the book."""
        give_up = time.monotonic() + within_s
        while True:
            if self.book.exists():
                with open_book(self.book, create=False) as book:
                    if holds(book):
                        return True
            if time.monotonic() > give_up:
                return False
            time.sleep(0.1)


@pytest.fixture
def tended(tmp_path: Path, cellar_broker: Any) -> Iterator[Tended]:
    """Nothing runs yet but the broker."""
    service = Tended(tmp_path, cellar_broker)
    yield service
    if service.process is not None:
        service.process.kill()
        service.process.wait()
