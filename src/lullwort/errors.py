"""The one tree of errors, branched by what the catcher does about it.

::

    LullwortError
    ├── OutOfRangeError          a formula was asked beyond where its source holds (also a ValueError)
    ├── OutOfOrderError          a streaming estimator was given an earlier hour than its last
    ├── ReadingError             one row, packet or reading is bad      → set it aside, go on
    ├── SourceError              a file or another source cannot be read → exit 3 (a service backs off, retries)
    ├── BookError                the cellar book failed                  → stop, exit 3
    │   ├── BookBusyError        another process holds the book too long
    │   ├── BookDamagedError     the file is not a sound cellar book
    │   └── BookTooNewError      written by a later version
    ├── HelperError              work spread over processes failed, or one of them died → stop, exit 3
    ├── UsageError               settings, options or a batches file are wrong → refuse to start, exit 2
    │   └── SeveralFaultsError   several of them at once (in `faults`)
    └── RefusedError             understood, but contradicts what is on record → exit 1
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the command line loads this file before all others, and needs no paths to show its help
    from pathlib import Path

__all__ = [
    "BookBusyError",
    "BookDamagedError",
    "BookError",
    "BookTooNewError",
    "HelperError",
    "LullwortError",
    "OutOfOrderError",
    "OutOfRangeError",
    "ReadingError",
    "RefusedError",
    "SourceError",
    "UsageError",
]


class LullwortError(Exception):
    """Root of every error that Lullwort raises on purpose."""


class OutOfRangeError(LullwortError, ValueError):
    """A formula was asked for a value outside the range in which its source holds.

    >>> print(OutOfRangeError("temp_c", 41.0, "0 to 40 °C", source="Tanaka2001"))
    temp_c is 41.0, expected 0 to 40 °C (Tanaka2001 is not extrapolated)
    """

    def __init__(self, name: str, seen: object, expected: str, *, source: str) -> None:
        self.name, self.seen, self.expected, self.source = name, seen, expected, source
        super().__init__(f"{name} is {seen}, expected {expected} ({source} is not extrapolated)")


class OutOfOrderError(LullwortError):
    """A streaming estimator was given a moment before the one it has already taken."""


class ReadingError(LullwortError):
    """One reading is not usable as it stands. Those around it are still good.

    >>> print(ReadingError("cellar.csv", 418, "gravity", "1,012", "SG with a decimal point"))
    cellar.csv:418: gravity is '1,012', expected SG with a decimal point
    """

    def __init__(self, place: Path | str, line: int, column: str, seen: str, expected: str) -> None:
        self.place, self.line, self.column, self.seen, self.expected = place, line, column, seen, expected
        super().__init__(f"{place}:{line}: {column} is {seen!r}, expected {expected}")


class SourceError(LullwortError):
    """A file or another source of readings cannot be read at all."""


class BookError(LullwortError):
    """The cellar book could not be read or written. Nothing that was promised is lost."""


class BookBusyError(BookError):
    """Another process held the cellar book for longer than we wait."""


class BookDamagedError(BookError):
    """The file is not a sound cellar book. It is left as it is."""


class BookTooNewError(BookError):
    """The cellar book was written by a later version of Lullwort. It is left as it is."""


class HelperError(LullwortError):
    """Work that was spread over processes could not be done. Nothing of it has taken effect."""


class UsageError(LullwortError):
    """Settings, options or a batches file are wrong; nothing has been started."""


class RefusedError(LullwortError):
    """What was asked is understood but contradicts what is on record."""
