"""Batches judged from files or from the cellar book, as of now where no moment is named."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lullwort import standing
from lullwort.cellarbook import Book
from lullwort.cli.logs import Logs
from lullwort.cli.values import now_us
from lullwort.records import Batch
from lullwort.standing import Entry

__all__ = ["judge_book", "judge_logs"]


def judge_logs(logs: Logs, batches: Sequence[Batch], as_of_us: int | None) -> list[Entry]:
    """See `judge_readings`."""
    return standing.judge_readings(logs.readings, logs.set_aside_beside, batches, as_of_us, now_us=now_us())


def judge_book(
    book: Book, vessel: str | None, as_of_us: int | None, *, only: Collection[str] | None = None
) -> list[Entry]:
    """See `standing.judge_book`."""
    return standing.judge_book(book, vessel, as_of_us, now_us=now_us(), only=only)
