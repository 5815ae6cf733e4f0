"""Log files that somebody has handed in, held until they are stored, or for an hour."""

from __future__ import annotations

import asyncio
import secrets
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from lullwort.card.files.filenames import safe_name
from lullwort.card.files.workroom import Workroom

__all__ = ["HELD_S", "MOST_HELD", "TooManyHeldError", "Upload", "Uploads"]

HELD_S = 3600.0
MOST_HELD = 4
_PIECE_BYTES = 1 << 20


class TooManyHeldError(Exception):
    """So many files are being read or stored that there is no room for another."""


@dataclass
class Upload:
    """A file on its way into the book.

    Attributes:
        called:  a random name, by which its pages are asked for.
        name:    what it was called where it came from, made safe; its name in `folder`, too.
        size:    [bytes]
        stated:  what a person has said of it, by field.
        checks:  how often it has been read on trial; what is stored is what was shown last.
        checked: the document of the dry run; None while there is none.
        stored:  the document of the import; None while there is none.
        faults:  why there is no document, by the field that it is about; "" where it is about none.
        work:    that is under way, and what it is called.
        coming:  whether it is still being copied.
    """

    called: str
    name: str
    folder: Path
    size: int
    until_s: float
    stated: Mapping[str, str] = field(default_factory=dict)
    checks: int = 0
    checked: dict[str, Any] | None = None
    stored: dict[str, Any] | None = None
    faults: Mapping[str, str] = field(default_factory=dict)
    work: asyncio.Task[None] | None = None
    doing: str = ""
    coming: bool = False

    @property
    def busy(self) -> bool:
        """Whether it is being copied, read or stored now."""
        return self.coming or (self.work is not None and not self.work.done())


class Uploads:
    """Holds a few of them, and no more bytes than `most_bytes`; the oldest that nobody works at goes first."""

    def __init__(self, workroom: Workroom, most_bytes: int, clock_s: Callable[[], float] = time.monotonic) -> None:
        self._workroom, self._most_bytes, self._clock_s = workroom, most_bytes, clock_s
        self._held: dict[str, Upload] = {}

    async def take(self, file: UploadFile) -> Upload:
        """Put it into a private folder. Raises TooManyHeldError, and OSError where the disk does not take it."""
        self._make_room(file.size or 0)
        folder = self._workroom.folder()
        name = safe_name(file.filename or "", "log")
        called, until_s = secrets.token_urlsafe(16), self._clock_s() + HELD_S
        # Held from now on, so that others who come while it is copied find its place taken.
        upload = self._held[called] = Upload(called, name, folder, file.size or 0, until_s, coming=True)
        try:
            upload.size = await run_in_threadpool(_copied, file, folder / name)
        except BaseException:
            self._forget(upload)
            raise
        finally:
            upload.coming = False
        asyncio.get_running_loop().call_later(HELD_S + 1.0, self.forget_old)
        return upload

    def find(self, called: str) -> Upload | None:
        """The one of this name; None where there is none, or no longer."""
        self.forget_old()
        return self._held.get(called)

    def let_go(self, upload: Upload) -> None:
        """Its file is needed no longer; what came of it is still known for a while."""
        self._workroom.remove(upload.folder)
        upload.size = 0

    def forget_old(self) -> None:
        """Remove those that have been held for an hour, and are not being stored right now."""
        for upload in list(self._held.values()):
            if upload.until_s <= self._clock_s() and not upload.busy:
                self._forget(upload)

    def _forget(self, upload: Upload) -> None:
        del self._held[upload.called]
        self._workroom.remove(upload.folder)

    def _make_room(self, size: int) -> None:
        self.forget_old()
        while len(self._held) >= MOST_HELD or size + sum(one.size for one in self._held.values()) > self._most_bytes:
            idle = next((one for one in self._held.values() if not one.busy), None)
            if idle is None:
                raise TooManyHeldError
            self._forget(idle)


def _copied(file: UploadFile, path: Path) -> int:
    """Copy it piece by piece; its size [bytes]."""
    file.file.seek(0)
    with path.open("xb") as onto:
        while piece := file.file.read(_PIECE_BYTES):
            onto.write(piece)
        return onto.tell()
