"""What the card changes, a command changes: one way to enter a thing, with one set of checks and sentences.

Each runs as a process of its own, so that what it needs never stays in the service's memory.
"""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import time
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import NamedTuple

from lullwort.leash import leashed
from lullwort.settings import SETTINGS, Settings, settings_path

__all__ = ["BusyError", "Commands", "Ran"]

_WIDE = "10000"
"""[columns] No line is broken."""
_MOST_WAITING = 8
"""For their turn. Each takes a second to three, so that the last one waits for as long as anybody would."""
_DEAD_WITHIN_S = 1.0
_TRACE = "Traceback (most recent call last)"


class BusyError(Exception):
    """So much is being done already that this was not begun."""


class Ran(NamedTuple):
    """How a command ended: its exit code, and what it wrote."""

    code: int
    out: str
    err: str

    @property
    def done(self) -> bool:
        """Whether it did what was asked."""
        return self.code == 0

    @property
    def failed(self) -> bool:
        """Whether it fell over, or something that it needs did: nothing that is entered otherwise would mend it."""
        return self.code not in (0, 1, 2) or _TRACE in self.err


class Commands:
    """Runs `lullwort` on one book, one command after the other."""

    def __init__(
        self, book: Path, environment: Mapping[str, str] | None = None, *, most_mib: int | None = None
    ) -> None:
        """
        Args:   most_mib: [MiB] of memory that each may take; None: as much as there is.
        """
        # All that is typed and said is UTF-8, whatever the locale of whoever started the service.
        self._environment = {
            **(os.environ if environment is None else environment), **leashed(most_mib),
            "COLUMNS": _WIDE, "PYTHONUTF8": "1", "LULLWORT_BOOK": str(book.absolute()),
        }  # fmt: skip
        # What is meant from here has to mean the same in another folder.
        if "LULLWORT_SETTINGS" in self._environment:
            self._environment["LULLWORT_SETTINGS"] = str(settings_path(self._environment).absolute())
        if "PYTHONPATH" in self._environment:
            parts = filter(None, self._environment["PYTHONPATH"].split(os.pathsep))
            self._environment["PYTHONPATH"] = os.pathsep.join(str(Path(part).absolute()) for part in parts)
        self._one = asyncio.Semaphore(1)
        self._waiting = 0
        self._running: asyncio.subprocess.Process | None = None
        self._at_work = self._ended = False

    async def run(
        self,
        *words: str,
        within_s: float = 60.0,
        patient: bool = False,
        shown: Settings | None = None,
        folder: Path | None = None,
    ) -> Ran:
        """Run it; `words` are its name, options and arguments. A value that was typed goes in as `--option=value`.

        Who is cancelled while it runs ends it.

        Args:   within_s: [s] that it may take, with the wait for its turn.
                patient:  nobody stands there waiting for it: its time begins with its turn, whenever that is.
                shown:    by which it shows values; as the service's settings have them if there are none.
                folder:   where it runs, so that a file there goes by its bare name. Nothing in it is taken for a
                          program.
        Raises: BusyError where its turn does not come in that time, or too many wait for theirs: nothing was begun.
                TimeoutError where it takes longer; it is ended then. ValueError for a word that holds NUL.
        """
        until_s = time.monotonic() + within_s
        async with self._turn(None if patient else within_s):
            return await self._run(words, within_s if patient else until_s - time.monotonic(), shown, folder)

    def end(self) -> None:
        """End the one that runs, and begin none any more; from any thread."""
        self._ended = True
        give_up = time.monotonic() + _DEAD_WITHIN_S
        while self._at_work and time.monotonic() < give_up:
            process = self._running  # none while it is only being begun
            if process is not None and process.returncode is None:
                _kill(process)
            time.sleep(0.01)

    @asynccontextmanager
    async def _turn(self, within_s: float | None) -> AsyncIterator[None]:
        if within_s is not None and self._waiting >= _MOST_WAITING:
            raise BusyError
        self._waiting += 1
        try:
            async with asyncio.timeout(within_s):
                await self._one.acquire()
        except TimeoutError as exc:
            raise BusyError from exc
        finally:
            self._waiting -= 1
        try:
            self._at_work = True
            if self._ended:
                raise BusyError
            yield
        finally:
            self._at_work = False
            self._one.release()

    async def _run(self, words: tuple[str, ...], within_s: float, shown: Settings | None, folder: Path | None) -> Ran:
        safely = [] if folder is None else ["-P"]  # else a log called numpy.py would be loaded and run
        process = self._running = await asyncio.create_subprocess_exec(
            sys.executable, *safely, "-m", "lullwort", *(word.encode() for word in words),
            env=self._environment | _variables(shown), cwd=folder,
            stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
            start_new_session=True,
        )  # fmt: skip
        try:
            if self._ended:
                raise BusyError
            out, err = await asyncio.wait_for(process.communicate(), within_s)
        except BaseException:
            _kill(process)
            await process.wait()
            raise
        finally:
            self._running = None
        return Ran(process.returncode or 0, out.decode(errors="replace"), err.decode(errors="replace"))


def _kill(process: asyncio.subprocess.Process) -> None:
    """With all that it began for itself."""
    with suppress(ProcessLookupError, PermissionError):  # of one that has ended another system may say either
        os.killpg(process.pid, signal.SIGKILL)


def _variables(shown: Settings | None) -> dict[str, str]:
    """The settings by which values are shown, for any command, whatever options it has."""
    if shown is None:
        return {}
    values = {s.variable: getattr(shown, s.name) for s in SETTINGS if s.name != "book"}
    return {name: str(value).replace(" ", "-") for name, value in values.items() if value is not None}
