"""The cellar book: the one durable record, opened as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from lullwort.cellarbook.batches import Batches
from lullwort.cellarbook.database import Database
from lullwort.cellarbook.equipment import Equipment
from lullwort.cellarbook.imports import Imports
from lullwort.cellarbook.outbox import Outbox
from lullwort.cellarbook.readings import Readings
from lullwort.cellarbook.revision import Revision
from lullwort.cellarbook.verdicts import Verdicts

__all__ = ["Book", "open_book"]


@dataclass(frozen=True)
class Book:
    """An open cellar book. Each part keeps one thing; all of them write through one transaction at a time."""

    imports: Imports
    readings: Readings
    batches: Batches
    equipment: Equipment
    verdicts: Verdicts
    outbox: Outbox
    _revision: Revision
    _database: Database

    def changes(self) -> tuple[int, int]:
        """Two numbers: the first differs from before when another process or connection wrote, the second when this
        one did."""
        return self._database.changes()

    def revision(self) -> int:
        """A number that changes with the imports in use, the batches, their events and the equipment, whoever changes
        them.

        What a service writes all day leaves it as it is: readings of an open-ended import, verdicts, alerts. It costs
        next to nothing while nobody writes.
        """
        return self._revision.number()

    def record_revision(self) -> int:
        """The same of the imports in use and the equipment alone: what is entered of a batch leaves it as it is."""
        return self._revision.of_record()

    def newest_us(self, vessel: str) -> int | None:
        """[µs] of the newest reading in use of a vessel; None if it has none."""
        return max(self.readings.sensors(vessel).values(), default=None)

    def free_bytes(self) -> int:
        """[bytes] that the disk of the book still takes."""
        return self._database.free_bytes()

    def copy_to(self, path: Path) -> None:
        """Copy the book as it stands to a new file and check the copy; others may read and write meanwhile.

        Raises: RefusedError if there is something at `path` already; BookDamagedError if the copy is not sound;
                BookError if it cannot be written. In no case is anything left at `path` that is not a sound copy.
        """
        self._database.copy_to(path)


@contextmanager
def open_book(path: Path, *, wait_s: float = 60.0, create: bool = True, cache_kib: int = 2000) -> Iterator[Book]:
    """The book at `path`, made if there is none and `create` is true.

    Args:    wait_s: [s] how long to wait for another process that is writing.
             cache_kib: [KiB] of the file that are kept in memory at most.
    Raises:  BookError, or its branches BookBusyError, BookDamagedError and BookTooNewError; then and later.
    """
    db = Database(path, wait_s=wait_s, create=create, cache_kib=cache_kib)
    try:
        equipment = Equipment(db)
        yield Book(
            Imports(db), Readings(db), Batches(db, equipment), equipment, Verdicts(db), Outbox(db), Revision(db), db
        )
    finally:
        db.close()
