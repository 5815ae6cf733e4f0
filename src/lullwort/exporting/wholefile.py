"""A file that is there as a whole or not at all, whatever happens while it is written."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lullwort.errors import RefusedError, SourceError, UsageError

__all__ = ["whole_file", "write_text"]


@contextmanager
def whole_file(path: Path, *, overwrite: bool) -> Iterator[Path]:
    """A name beside `path` under which to write; when the context ends well, the file lies on disk under `path`.

    Until then whatever was at `path` stays as it was, and if anything fails nothing is left of the new file.

    Raises: RefusedError if there is a file already and `overwrite` is false; UsageError if what is there is no file;
            SourceError if it cannot be written.
    """
    _refuse_what_is_there(path, overwrite=overwrite)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        part.unlink(missing_ok=True)  # of a process with our id that was cut off, so that nobody is writing it
        yield part
        _to_disk(part, os.O_RDWR)
        _refuse_what_is_there(path, overwrite=overwrite)
        part.replace(path)
        if os.name == "posix":  # elsewhere a folder cannot be opened
            _to_disk(path.parent, os.O_RDONLY)
    except OSError as exc:
        raise SourceError(f"{path}: cannot be written: {exc.strerror or exc}") from exc
    finally:
        _remove(part)


def write_text(path: Path, text: str, *, overwrite: bool) -> None:
    """Write a small text in UTF-8. Raises as `whole_file` does."""
    with whole_file(path, overwrite=overwrite) as part:
        part.write_text(text, encoding="utf-8", newline="")


def _to_disk(path: Path, how: int) -> None:
    handle = os.open(path, how)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _refuse_what_is_there(path: Path, *, overwrite: bool) -> None:
    if not os.path.lexists(path):
        return
    if not path.is_file():
        raise UsageError(f"{path}: is there already and is not a file")
    if not overwrite:
        raise RefusedError(f"{path}: is there already; --overwrite writes over it")


def _remove(part: Path) -> None:
    try:
        part.unlink(missing_ok=True)
    except OSError:
        return  # what made writing fail may forbid this too, and is what must be told
