"""One unattended service a book: a lock that the system takes back when its holder dies, however it dies."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lullwort.errors import BookBusyError, BookError

__all__ = ["sole_use"]


@contextmanager
def sole_use(path: Path) -> Iterator[None]:
    """Be the only service on the book at `path`; commands that read it or write to it are not kept out.

    The lock is on a file beside the book, which stays: whoever removed it could take it from under another's hand.

    Raises: BookBusyError, which names the other process, if there is one; BookError if no lock can be had at all.
    """
    import fcntl  # not on every system; whoever only looks at logs needs no lock

    beside = path.resolve().with_name(f"{path.resolve().name}.tend")  # by whatever name, it is the same book
    try:
        beside.parent.mkdir(parents=True, exist_ok=True)
        lock = os.open(beside, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
    except OSError as exc:
        raise BookError(f"{beside}: cannot be written, so that nothing keeps a second service off the book") from exc
    try:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise BookBusyError(f"{path}: another service tends this cellar book already{_holder(lock)}") from None
        except OSError as exc:
            raise BookError(f"{beside}: cannot be locked ({exc.strerror}); the book must lie on a local disk") from exc
        os.ftruncate(lock, 0)
        os.write(lock, b"%d\n" % os.getpid())
        yield
    finally:
        os.close(lock)


def _holder(lock: int) -> str:
    said = os.pread(lock, 32, 0).decode("ascii", errors="replace").strip()
    return f" (process {said}); stop it first" if said.isdigit() else "; stop it first"
