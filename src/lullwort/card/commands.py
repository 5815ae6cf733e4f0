"""What the card changes, a command changes: one way to enter a thing, with one set of checks and sentences.

Each runs as a process of its own, so that what it needs never stays in the service's memory.
"""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from lullwort.settings import SETTINGS, Settings, settings_path

__all__ = ["Commands", "Ran"]

_WIDE = "10000"
"""[columns] No line is broken."""


class Ran(NamedTuple):
    """How a command ended: its exit code, and what it wrote."""

    code: int
    out: str
    err: str

    @property
    def done(self) -> bool:
        """Whether it did what was asked."""
        return self.code == 0


class Commands:
    """Runs `lullwort` on one book, one command after the other."""

    def __init__(self, book: Path, environment: Mapping[str, str] | None = None) -> None:
        self._environment = {
            **(os.environ if environment is None else environment),
            "COLUMNS": _WIDE, "LULLWORT_BOOK": str(book.absolute()),
        }  # fmt: skip
        if "LULLWORT_SETTINGS" in self._environment:  # of which a command in another folder knows nothing otherwise
            self._environment["LULLWORT_SETTINGS"] = str(settings_path(self._environment).absolute())
        self._turn = asyncio.Semaphore(1)

    async def run(
        self, *words: str, within_s: float = 60.0, shown: Settings | None = None, folder: Path | None = None
    ) -> Ran:
        """Run it; `words` are its name, options and arguments. A value that was typed goes in as `--option=value`.

        Args:   shown:  by which it shows values; as the service's settings have them if there are none.
                folder: where it runs, so that a file there goes by its bare name. Nothing in it is taken for a program.
        Raises: TimeoutError where it takes longer; it is ended then.
        """
        safely = [] if folder is None else ["-P"]  # else a log called numpy.py would be loaded and run
        async with self._turn:
            process = await asyncio.create_subprocess_exec(
                sys.executable, *safely, "-m", "lullwort", *words, env=self._environment | _variables(shown), cwd=folder,
                stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
            )  # fmt: skip
            try:
                out, err = await asyncio.wait_for(process.communicate(), within_s)
            except BaseException:
                process.kill()
                await process.wait()
                raise
        return Ran(process.returncode or 0, out.decode(errors="replace"), err.decode(errors="replace"))


def _variables(shown: Settings | None) -> dict[str, str]:
    """The settings by which values are shown, for any command, whatever options it has."""
    if shown is None:
        return {}
    values = {s.variable: getattr(shown, s.name) for s in SETTINGS if s.name != "book"}
    return {name: str(value).replace(" ", "-") for name, value in values.items() if value is not None}
