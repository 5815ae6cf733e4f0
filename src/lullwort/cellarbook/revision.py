"""Whether anything changed that judging rests on, live readings apart."""

from __future__ import annotations

from lullwort.cellarbook.database import Database
from lullwort.records import key64

__all__ = ["Revision"]


class Revision:
    """A number for what stands in the book, worked out anew only after something was written."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self._seen: tuple[int, int] | None = None
        self._number = self._record = 0

    def number(self) -> int:
        """Signed 64-bit number of the imports in use, batches, events and equipment, equal where these are equal.

        Readings of an open-ended import, verdicts, alerts and deliveries leave it as it is.
        """
        self._look()
        return self._number

    def of_record(self) -> int:
        """The same of the imports in use and the equipment alone."""
        self._look()
        return self._record

    def _look(self) -> None:
        # Asked before the tables are read: what is written in between shows the next time.
        seen = self._db.changes()
        if seen == self._seen:
            return
        record = (
            self._db.rows("SELECT key FROM import_in_use ORDER BY key"),
            self._db.rows("SELECT entered FROM instrument ORDER BY key"),
            self._db.rows("SELECT entered FROM sensor ORDER BY key"),
        )
        entries = (
            self._db.rows("SELECT entered FROM batch ORDER BY key"),
            self._db.rows("SELECT batch, entered FROM event ORDER BY batch, at_us, key"),
        )
        self._seen, self._record, self._number = seen, key64(repr(record)), key64(repr((record, entries)))
