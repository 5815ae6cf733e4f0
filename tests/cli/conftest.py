"""The command line as a brewer meets it: a process with its own folder, its own book and no settings of anyone."""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import re
import sqlite3
import struct
import subprocess
import sys
import termios
from collections.abc import Mapping
from pathlib import Path

import pytest

from lullwort.rehearsal import Invented, batches_toml, csv_text, invent, renamed

CLOCKS = {"started_us", "finished_us", "told_us"}


class Shell:
    """Runs `lullwort` in an empty folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.program = [sys.executable, "-m", "lullwort"]
        self.environment = {
            **{k: v for k, v in os.environ.items() if not k.startswith("LULLWORT_")},
            "HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "XDG_DATA_HOME": str(folder),
            "LULLWORT_BOOK": str(folder / "cellar.book"), "COLUMNS": "100",
        }  # fmt: skip

    def __call__(
        self, *words: str, exits: int = 0, env: Mapping[str, str] | None = None
    ) -> subprocess.CompletedProcess[str]:
        run = subprocess.run(
            [*self.program, *words],
            cwd=self.folder, env=self.environment | dict(env or {}),
            capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip
        assert run.returncode == exits, (run.returncode, run.stdout, run.stderr)
        assert "Traceback" not in run.stderr
        return run

    def unmeasured(self) -> Shell:
        """Itself, from now on without measuring coverage, which makes long runs twice as long."""
        self.environment = {k: v for k, v in self.environment.items() if not k.startswith("COV")}
        return self

    def at_terminal(self, width: int, *words: str) -> list[str]:
        """The lines that a terminal of `width` columns shows, both streams together, without colours."""
        terminal, program_s = pty.openpty()
        fcntl.ioctl(program_s, termios.TIOCSWINSZ, struct.pack("HHHH", 40, width, 0, 0))
        environment = {k: v for k, v in self.environment.items() if k != "COLUMNS"} | {"TERM": "xterm"}
        run = subprocess.Popen(
            [*self.program, *words], cwd=self.folder, env=environment, stdin=program_s, stdout=program_s,
            stderr=program_s,
        )  # fmt: skip
        os.close(program_s)
        shown = b""
        # Linux tells by an error that nobody writes to the terminal any more, other systems by an empty read.
        with contextlib.suppress(OSError):
            while part := os.read(terminal, 65_536):
                shown += part
        os.close(terminal)
        run.wait(timeout=120)
        return re.sub(r"\x1b\[[0-9;]*m", "", shown.decode()).splitlines()

    @staticmethod
    def everything(book: Path) -> dict[str, list[str]]:
        """Every row of every table as text, wall-clock columns left out."""
        connection = sqlite3.connect(book)
        rows = {}
        for (table,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
            kept = [c[1] for c in connection.execute(f"PRAGMA table_info({table})") if c[1] not in CLOCKS]
            listed = ", ".join(f'"{column}"' for column in kept)
            rows[table] = sorted(map(repr, connection.execute(f"SELECT {listed} FROM {table}")))
        connection.close()
        return rows

    def write(self, name: str, text: str) -> str:
        (self.folder / name).write_text(text, encoding="utf-8")
        return name


@pytest.fixture
def lullwort(tmp_path: Path) -> Shell:
    return Shell(tmp_path)


@pytest.fixture(scope="session")
def north() -> Invented:
    return renamed(invent("plain ale", 6), "north", "north-12")


@pytest.fixture
def logged(lullwort: Shell, north: Invented) -> Shell:
    """A folder with the log and the batches file of one ale."""
    lullwort.write("north.csv", csv_text(north))
    lullwort.write("north.toml", batches_toml(north))
    return lullwort
