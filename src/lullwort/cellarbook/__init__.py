"""What must never be lost: readings as reported, batches, events, verdicts, and what was told."""

from __future__ import annotations

from lullwort.cellarbook.book import Book, open_book
from lullwort.cellarbook.imports import ImportCounts, Imported, ImportRun, Intake
from lullwort.cellarbook.verdicts import Told, VerdictRow

__all__ = ["Book", "ImportCounts", "ImportRun", "Imported", "Intake", "Told", "VerdictRow", "open_book"]
