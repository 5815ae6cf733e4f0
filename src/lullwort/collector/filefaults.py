"""What goes wrong with files, in sentences."""

from __future__ import annotations

import hashlib
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from lullwort.errors import SourceError

__all__ = ["fingerprint", "opened", "reading"]

_HASH_BYTES = 1 << 20


@contextmanager
def reading(path: Path) -> Iterator[None]:
    """Errors of the operating system become SourceError."""
    try:
        yield
    except FileNotFoundError as exc:
        raise SourceError(f"{path}: there is no such file") from exc
    except IsADirectoryError as exc:
        raise SourceError(f"{path}: is a folder, expected a log file") from exc
    except PermissionError as exc:
        raise SourceError(f"{path}: may not be read by this user") from exc
    except OSError as exc:
        raise SourceError(f"{path}: cannot be read: {exc.strerror or exc}") from exc


@contextmanager
def opened(path: Path) -> Iterator[BinaryIO]:
    """The file at `path`, which is read twice. Raises SourceError if that cannot be."""
    with reading(path):
        if not stat.S_ISDIR(mode := path.stat().st_mode) and not stat.S_ISREG(mode):
            raise SourceError(f"{path}: is a stream that cannot be read twice; save it as a file first")
        stream = path.open("rb")
    with stream:
        yield stream


def fingerprint(stream: BinaryIO) -> tuple[str, int]:
    """SHA-256 [hex] of all there is at this moment, and how many bytes that is."""
    digest, size = hashlib.sha256(), 0
    while data := stream.read(_HASH_BYTES):
        digest.update(data)
        size += len(data)
    return digest.hexdigest(), size
