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
        self._book = book
        self._environment = {**(os.environ if environment is None else environment), "COLUMNS": _WIDE}
        self._turn = asyncio.Semaphore(1)

    async def run(self, *words: str, within_s: float = 60.0) -> Ran:
        """Run it; `words` are its name, options and arguments. A value that was typed goes in as `--option=value`.

        Raises: TimeoutError where it takes longer; it is ended then.
        """
        async with self._turn:
            process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "lullwort", *words, env={**self._environment, "LULLWORT_BOOK": str(self._book)},
                stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
            )  # fmt: skip
            try:
                out, err = await asyncio.wait_for(process.communicate(), within_s)
            except BaseException:
                process.kill()
                await process.wait()
                raise
        return Ran(process.returncode or 0, out.decode(errors="replace"), err.decode(errors="replace"))
