"""Whether what was proved as of an earlier time is so still, by all that is on record since."""

from __future__ import annotations

from typing import Any

from lullwort.cellarbook import Book
from lullwort.cli.judging import judge_book
from lullwort.detector import Judged
from lullwort.records import format_utc
from lullwort.standing import Entry

__all__ = ["no_longer_document", "no_longer_of"]


def no_longer_of(book: Book, entry: Entry, as_of_us: int | None) -> Judged | None:
    """The batch by all that is known now, where it was proved as of `as_of_us` [µs] and is not any more.

    A verdict of the past may be told as such; grams are weighed today. Judges a second time only what was proved then.
    """
    batch, judged = entry.batch, entry.judged
    if as_of_us is None or batch is None or judged is None or not judged.proved:
        return None
    for newest in judge_book(book, batch.vessel, None, only={batch.name}):
        if newest.judged is not None and newest.judged.as_of_us > as_of_us and not newest.judged.proved:
            return newest.judged
    return None


def no_longer_document(now: Judged | None) -> dict[str, Any] | None:
    """The verdict that holds instead, for programs; null where what was proved is so still."""
    return None if now is None else {"as_of": format_utc(now.as_of_us), "verdict": now.verdict}
