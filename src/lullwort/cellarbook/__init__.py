"""What must never be lost: readings as reported, batches, events, verdicts, and what was told."""

from __future__ import annotations

from lullwort.cellarbook.book import Book, open_book
from lullwort.cellarbook.imports import ImportCounts, Imported, ImportRun, Intake
from lullwort.cellarbook.reports import Contradiction, Report
from lullwort.cellarbook.verdicts import Told, VerdictRow

__all__ = [
    "Book",
    "Contradiction",
    "ImportCounts",
    "ImportRun",
    "Imported",
    "Intake",
    "Report",
    "Told",
    "VerdictRow",
    "open_book",
]
