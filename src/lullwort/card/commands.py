"""What the card changes, a command changes: one way to enter a thing, with one set of checks and sentences.

Each runs as a process of its own, so that what it needs never stays in the service's memory.
"""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from lullwort.settings import SETTINGS, Settings, settings_path

__all__ = ["Commands", "Ran"]

_WIDE = "10000"
"""[columns] No line is broken."""
_TRACE = "Traceback (most recent call last)"


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

    def __init__(self, book: Path, environment: Mapping[str, str] | None = None) -> None:
        # All that is typed and said is UTF-8, whatever the locale of whoever started the service.
        self._environment = {
            **(os.environ if environment is None else environment),
            "COLUMNS": _WIDE, "PYTHONUTF8": "1", "LULLWORT_BOOK": str(book.absolute()),
        }  # fmt: skip
        # What is meant from here has to mean the same in another folder.
        if "LULLWORT_SETTINGS" in self._environment:
            self._environment["LULLWORT_SETTINGS"] = str(settings_path(self._environment).absolute())
        if "PYTHONPATH" in self._environment:
            parts = filter(None, self._environment["PYTHONPATH"].split(os.pathsep))
            self._environment["PYTHONPATH"] = os.pathsep.join(str(Path(part).absolute()) for part in parts)
        self._turn = asyncio.Semaphore(1)

    async def run(
        self, *words: str, within_s: float = 60.0, shown: Settings | None = None, folder: Path | None = None
    ) -> Ran:
        """Run it; `words` are its name, options and arguments. A value that was typed goes in as `--option=value`.

        Args:   shown:  by which it shows values; as the service's settings have them if there are none.
                folder: where it runs, so that a file there goes by its bare name. Nothing in it is taken for a program.
        Raises: TimeoutError where it takes longer; it is ended then. ValueError for a word that holds NUL.
        """
        safely = [] if folder is None else ["-P"]  # else a log called numpy.py would be loaded and run
        async with self._turn:
            process = await asyncio.create_subprocess_exec(
                sys.executable, *safely, "-m", "lullwort", *(word.encode() for word in words),
                env=self._environment | _variables(shown), cwd=folder,
                stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
                start_new_session=True,
            )  # fmt: skip
            try:
                out, err = await asyncio.wait_for(process.communicate(), within_s)
            except BaseException:
                with suppress(ProcessLookupError):  # those that it began for itself, too
                    os.killpg(process.pid, signal.SIGKILL)
                await process.wait()
                raise
        return Ran(process.returncode or 0, out.decode(errors="replace"), err.decode(errors="replace"))


def _variables(shown: Settings | None) -> dict[str, str]:
    """The settings by which values are shown, for any command, whatever options it has."""
    if shown is None:
        return {}
    values = {s.variable: getattr(shown, s.name) for s in SETTINGS if s.name != "book"}
    return {name: str(value).replace(" ", "-") for name, value in values.items() if value is not None}
