"""The command line as a brewer meets it: with its own folder, its own book and no settings of anyone.

Starting Python and loading what a command needs takes longer than most commands do. So a command runs within the
process of the tests, from the words typed to the exit code. At a terminal, or to be killed, it is a fork of a process
that has loaded all once; it is started afresh where what a system does to a process is tested. Those do not measure
coverage, which would make them twice as long.
"""

from __future__ import annotations

import contextlib
import fcntl
import io
import json
import os
import pty
import re
import shutil
import sqlite3
import struct
import subprocess
import sys
import termios
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

from lullwort.cli import main
from lullwort.rehearsal import Invented, batches_toml, csv_text, invent, renamed

CLOCKS = {"started_us", "finished_us", "told_us"}


class Ran(NamedTuple):
    """What a command wrote."""

    stdout: str
    stderr: str


FORKS = """
import gc, json, os, signal, sys, time
import pandas, pyarrow.compute, pyarrow.csv
from lullwort.cli import backfill, batch, main, show, showwhy, verdict, why, withdraw

gc.collect()
gc.freeze()  # a fork that looked for garbage in what is loaded would copy all of it
for line in sys.stdin:
    asked = json.loads(line)
    onto = os.open(asked["onto"], os.O_RDWR | os.O_NOCTTY)
    child = os.fork()
    if not child:
        os.chdir(asked["folder"])
        os.environ.clear()
        os.environ.update(asked["environment"])
        sys.argv = ["lullwort", *asked["words"]]
        for stream in (0, 1, 2):
            os.dup2(onto, stream)
        os.close(onto)
        sys.stdout.reconfigure(line_buffering=sys.stdout.isatty())
        try:
            main()
        except SystemExit as left:  # at once, for to take down all that is loaded takes a fifth of a second
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(left.code or 0)
        os._exit(99)  # for main leaves with a code of its own
    os.close(onto)
    print("begun", flush=True)
    if asked["kill_after_s"] is not None:
        time.sleep(asked["kill_after_s"])
        os.kill(child, signal.SIGKILL)
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""


class Forks:
    """Begins the command as a process as often as it is asked to, and kills it when it is told to."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[str] | None = None

    def begin(
        self, words: Sequence[str], folder: Path, environment: Mapping[str, str], *, onto: str = os.devnull,
        kill_after_s: float | None = None,
    ) -> None:  # fmt: skip
        """Returns once it runs, with the file `onto` as all its streams."""
        if self._process is None:
            self._process = subprocess.Popen(
                [sys.executable, "-c", FORKS], env={k: v for k, v in os.environ.items() if not k.startswith("COV")},
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            )  # fmt: skip
        assert self._process.stdin is not None
        asked = {"words": words, "folder": str(folder), "environment": environment, "onto": onto}
        print(json.dumps(asked | {"kill_after_s": kill_after_s}), file=self._process.stdin, flush=True)
        assert self._told() == "begun"

    def ended(self) -> int:
        """The exit code of what was begun; -9 if it was killed."""
        return int(self._told())

    def _told(self) -> str:
        assert self._process is not None
        assert self._process.stdout is not None
        return self._process.stdout.readline().strip()

    def close(self) -> None:
        if self._process is not None:
            self._process.communicate(timeout=60)


@pytest.fixture(scope="session")
def forks() -> Iterator[Forks]:
    forks = Forks()
    yield forks
    forks.close()


class Shell:
    """Runs `lullwort` in an empty folder."""

    def __init__(self, folder: Path, forks: Forks) -> None:
        self.folder, self.forks = folder, forks
        self.program = [sys.executable, "-m", "lullwort"]
        self.environment = {
            **{k: v for k, v in os.environ.items() if not k.startswith(("LULLWORT_", "COV"))},
            "HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "XDG_DATA_HOME": str(folder),
            "LULLWORT_BOOK": str(folder / "cellar.book"), "COLUMNS": "100",
        }  # fmt: skip

    def __call__(self, *words: str, exits: int | None = 0, env: Mapping[str, str] | None = None) -> Ran:
        """Within this process: what it wrote, once it has left with this exit code, or with any."""
        out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in range(2))
        with pytest.MonkeyPatch.context() as here:
            here.chdir(self.folder)
            for name in os.environ.keys() - self.environment.keys():
                here.delenv(name)
            for name, value in (self.environment | dict(env or {})).items():
                here.setenv(name, value)
            here.setattr(sys, "argv", ["lullwort", *words])
            here.setattr(sys, "stdout", out)
            here.setattr(sys, "stderr", err)
            with pytest.raises(SystemExit) as left:
                main()
        ran = Ran(*(_written(stream) for stream in (out, err)))
        assert exits is None or (left.value.code or 0) == exits, (left.value.code, *ran)
        return ran

    def process(self, *words: str, exits: int = 0) -> Ran:
        """As a process of its own: what it wrote, once it has ended with this exit code."""
        run = subprocess.run(
            [*self.program, *words],
            cwd=self.folder, env=self.environment, capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip
        assert run.returncode == exits, (run.returncode, run.stdout, run.stderr)
        assert "Traceback" not in run.stderr
        return Ran(run.stdout, run.stderr)

    def at_terminal(self, width: int, *words: str) -> list[str]:
        """The lines that a terminal of `width` columns shows, both streams together, without colours."""
        terminal, program_s = pty.openpty()
        fcntl.ioctl(program_s, termios.TIOCSWINSZ, struct.pack("HHHH", 40, width, 0, 0))
        environment = {k: v for k, v in self.environment.items() if k != "COLUMNS"} | {"TERM": "xterm"}
        self.forks.begin(words, self.folder, environment, onto=os.ttyname(program_s))
        os.close(program_s)
        shown = b""
        # Linux tells by an error that nobody writes to the terminal any more, other systems by an empty read.
        with contextlib.suppress(OSError):
            while part := os.read(terminal, 65_536):
                shown += part
        os.close(terminal)
        self.forks.ended()
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


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    stream.seek(0)
    return stream.read()


@pytest.fixture(scope="session")
def shell_in(forks: Forks) -> Callable[[Path], Shell]:
    """The command line in a folder, for what many tests begin with: made once, and copied for each of them."""
    return lambda folder: Shell(folder, forks)


@pytest.fixture
def lullwort(tmp_path: Path, shell_in: Callable[[Path], Shell]) -> Shell:
    return shell_in(tmp_path)


@pytest.fixture
def settings(lullwort: Shell) -> Path:
    """A file, empty yet, that its commands take their settings from."""
    path = lullwort.folder / "settings.toml"
    lullwort.environment["LULLWORT_SETTINGS"] = str(path)
    path.write_text("")
    return path


@pytest.fixture(scope="session")
def north() -> Invented:
    return renamed(invent("plain ale", 6), "north", "north-12")


@pytest.fixture(scope="session")
def logged_north(shell_in: Callable[[Path], Shell], tmp_path_factory: pytest.TempPathFactory, north: Invented) -> Path:
    """A folder with the log and the batches file of one ale."""
    shell = shell_in(tmp_path_factory.mktemp("logged"))
    shell.write("north.csv", csv_text(north))
    shell.write("north.toml", batches_toml(north))
    return shell.folder


@pytest.fixture(scope="session")
def stored_north(
    shell_in: Callable[[Path], Shell], tmp_path_factory: pytest.TempPathFactory, logged_north: Path
) -> Path:
    """The same, and the book in which both are stored, unjudged."""
    shell = shell_in(tmp_path_factory.mktemp("stored"))
    shutil.copytree(logged_north, shell.folder, dirs_exist_ok=True)
    shell("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    return shell.folder


@pytest.fixture
def logged(lullwort: Shell, logged_north: Path) -> Shell:
    """A folder of one's own with the log and the batches file of one ale."""
    shutil.copytree(logged_north, lullwort.folder, dirs_exist_ok=True)
    return lullwort


@pytest.fixture
def stored(lullwort: Shell, stored_north: Path) -> Shell:
    """The same, and the book in which both are stored, unjudged."""
    shutil.copytree(stored_north, lullwort.folder, dirs_exist_ok=True)
    return lullwort
