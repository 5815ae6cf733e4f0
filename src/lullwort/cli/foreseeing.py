"""Forecasts for the batches that a command answers for, as of now."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort import standing
from lullwort.cellarbook import Book
from lullwort.cli.values import now_us
from lullwort.standing import Entry

__all__ = ["foreseen_by_book"]


def foreseen_by_book(entries: Sequence[Entry], book: Book) -> list[Entry]:
    """See `standing.foreseen_by_book`."""
    return standing.foreseen_by_book(entries, book, now_us=now_us())
