"""The folder into which files come, and what of its disk is spoken for by those that are on their way."""

from __future__ import annotations

import errno
import shutil
from collections.abc import AsyncGenerator
from pathlib import Path

from starlette.exceptions import HTTPException

__all__ = ["OnItsWay", "UploadRoom", "disk_fault"]

_ROOM_LEFT_BYTES = 200 << 20
"""On that disk: readings come first."""
_FULL = (errno.ENOSPC, errno.EDQUOT)


class UploadRoom:
    """One for all that come at the same time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.spoken_for = 0
        """[bytes] of those on their way, what has come of them included: it is copied once more."""

    def begin(self, length: int) -> OnItsWay:
        """A file of so many bytes, or of 0 where that is not stated, begins to come. Errors as of `OnItsWay.grow`."""
        coming = OnItsWay(self)
        coming.grow(length)
        return coming


class OnItsWay:
    """One file that comes, or a form with it."""

    def __init__(self, room: UploadRoom) -> None:
        self._room, self._bytes = room, 0

    def grow(self, length: int) -> None:
        """It is at least so long [bytes]. Raises HTTPException 507 where there is no room, and OSError."""
        more = max(0, length - self._bytes)
        room = self._room
        if more and shutil.disk_usage(room.folder).free - room.spoken_for - more < _ROOM_LEFT_BYTES:
            raise HTTPException(507)
        self._bytes += more
        room.spoken_for += more

    async def counted(self, stream: AsyncGenerator[bytes, None]) -> AsyncGenerator[bytes, None]:
        """`stream`, of which each piece is counted: its length may not have been stated."""
        came = 0
        async for piece in stream:
            came += len(piece)
            self.grow(came)
            yield piece

    def end(self) -> None:
        """It is here, or comes no more; what it took is for others."""
        self._room.spoken_for -= self._bytes
        self._bytes = 0


def disk_fault(exc: OSError) -> HTTPException:
    """What is answered where the disk does not take a file: only a full one is told as that."""
    if exc.errno in _FULL:
        return HTTPException(507)
    return HTTPException(503, "The file could not be kept: the disk beside the cellar book does not take it.")
