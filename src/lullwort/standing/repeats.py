"""Earlier batches of a recipe out of the book, judged, with their traits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lullwort.analysis import CourseHour, hourly_course
from lullwort.cellarbook import Book
from lullwort.detector import Judged
from lullwort.forecast import Traits, traits
from lullwort.records import Batch
from lullwort.standing.entry import owned_span
from lullwort.standing.judging import judge_book

__all__ = ["MOST_REPEATS", "Repeat", "by_pitch", "judged_repeats", "over_before"]

MOST_REPEATS = 12
"""More would be slow to judge and hard to read, and older ones tell less of today's yeast."""


class Repeat(NamedTuple):
    """One batch of a recipe, as judged, with its hours and its traits."""

    batch: Batch
    judged: Judged
    course: list[CourseHour]
    traits: Traits


def over_before(batch: Batch, batches: Sequence[Batch]) -> list[Batch]:
    """The newest of `batches` that are of the same recipe and were over when `batch` was pitched, oldest first.

    What is learned from them then holds: nothing that is read later changes it.
    """
    if batch.recipe is None:
        return []
    same = [other for other in batches if other.recipe == batch.recipe and other.name != batch.name]
    over = [other for other in same if owned_span(other, batches)[1] <= batch.pitched_us]
    return sorted(over, key=by_pitch)[-MOST_REPEATS:]


def judged_repeats(book: Book, batches: Sequence[Batch], as_of_us: int | None, *, now_us: int) -> list[Repeat]:
    """Each of `batches` as judged by the book at an instant [µs], None: at its own newest reading.

    Args:    now_us: as of `judge_book`.
    """
    entries = judge_book(book, None, as_of_us, now_us=now_us, only={batch.name for batch in batches})
    judged = {entry.batch.name: entry.judged for entry in entries if entry.batch is not None and entry.judged}
    return [_repeat(book, batch, judged[batch.name]) for batch in batches]


def by_pitch(batch: Batch) -> tuple[int, str]:
    """What puts batches in order of their pitch."""
    return batch.pitched_us, batch.name


def _repeat(book: Book, batch: Batch, judged: Judged) -> Repeat:
    readings = book.readings.together(batch.vessel, *owned_span(batch, book.batches.all(batch.vessel)))
    course = list(hourly_course(batch, readings, judged.as_of_us))
    return Repeat(batch, judged, course, traits(judged, course))
