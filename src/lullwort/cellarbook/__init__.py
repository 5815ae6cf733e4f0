"""What must never be lost: readings as reported, batches, events, verdicts, and what was told."""

from __future__ import annotations

from lullwort.cellarbook.book import Book, open_book
from lullwort.cellarbook.imports import ImportCounts, Imported, ImportRun, Intake, StoredRow
from lullwort.cellarbook.newest import Newest, usual_interval_us
from lullwort.cellarbook.outbox import Delivery, DeliveryState, Outbox, Posted
from lullwort.cellarbook.reports import Contradiction, Report
from lullwort.cellarbook.soleuse import sole_use
from lullwort.cellarbook.verdicts import Told, VerdictRow

__all__ = [
    "Book",
    "Contradiction",
    "Delivery",
    "DeliveryState",
    "ImportCounts",
    "ImportRun",
    "Imported",
    "Intake",
    "Newest",
    "Outbox",
    "Posted",
    "Report",
    "StoredRow",
    "Told",
    "VerdictRow",
    "open_book",
    "sole_use",
    "usual_interval_us",
]
