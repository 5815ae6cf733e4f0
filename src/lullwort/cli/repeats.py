"""The earlier batches of a recipe out of the book, judged, with their traits."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from typing import NamedTuple

from lullwort.analysis import CourseHour, hourly_course
from lullwort.cellarbook import Book
from lullwort.cli.judging import judge_book, owned_span
from lullwort.cli.named import Named
from lullwort.detector import Judged
from lullwort.errors import RefusedError
from lullwort.forecast import Likeness, Traits, likeness, traits
from lullwort.records import Batch, VesselReadings

__all__ = ["Beside", "Repeat", "beside_earlier", "judged_repeats", "over_before"]

_MOST = 12
"""More would be slow to judge and hard to read, and older ones tell less of today's yeast."""


class Repeat(NamedTuple):
    """One batch of a recipe, as judged, with its hours and its traits."""

    batch: Batch
    judged: Judged
    course: list[CourseHour]
    traits: Traits


class Beside(NamedTuple):
    """A batch beside the `earlier` ones of its recipe, oldest first."""

    asked: Repeat
    earlier: list[Repeat]
    likeness: Likeness


def beside_earlier(book: Book, meant: Named, as_of_us: int | None) -> Beside:
    """The batch that is meant beside the earlier ones, as of an instant [µs] or of the newest reading of each.

    Raises: RefusedError where there is no such batch by then, no recipe was entered for it, or no earlier one has it.
    """
    batch = _asked(book, meant, as_of_us)
    *earlier, asked = judged_repeats(book, [*_earlier(book, batch), batch], as_of_us)
    return Beside(asked, earlier, likeness(asked.traits, [repeat.traits for repeat in earlier]))


def over_before(batch: Batch, batches: Sequence[Batch]) -> list[Batch]:
    """The newest of `batches` that are of the same recipe and were over when `batch` was pitched, oldest first.

    What is learned from them then holds: nothing that is read later changes it.
    """
    if batch.recipe is None:
        return []
    same = [other for other in batches if other.recipe == batch.recipe and other.name != batch.name]
    over = [other for other in same if owned_span(other, batches)[1] <= batch.pitched_us]
    return sorted(over, key=_by_pitch)[-_MOST:]


def judged_repeats(book: Book, batches: Sequence[Batch], as_of_us: int | None) -> list[Repeat]:
    """Each of `batches` as judged by the book at an instant [µs], None: at its own newest reading."""
    entries = judge_book(book, None, as_of_us, only={batch.name for batch in batches})
    judged = {entry.batch.name: entry.judged for entry in entries if entry.batch is not None and entry.judged}
    return [_repeat(book, batch, judged[batch.name]) for batch in batches]


def _asked(book: Book, meant: Named, as_of_us: int | None) -> Batch:
    """The batch that was named, or the youngest of its vessel by then."""
    named = [meant.batch] if meant.batch is not None else book.batches.all(meant.vessel)
    pitched = [batch for batch in named if as_of_us is None or batch.pitched_us <= as_of_us]
    if not pitched:
        what = f"vessel {meant.vessel!r}" if meant.batch is None else f"batch {meant.batch.name!r}"
        raise RefusedError(f"nothing was pitched yet in {what} at that time; `lullwort batch list` shows when it was")
    return pitched[-1]


def _earlier(book: Book, asked: Batch) -> list[Batch]:
    """The newest batches of the same recipe that were pitched before, oldest first."""
    edit = "`lullwort batch edit {} --recipe {}`"
    if asked.recipe is None:
        raise RefusedError(
            f"batch {asked.name!r} cannot be compared yet: its recipe was not entered; "
            f"{edit.format(asked.name, 'NAME')} enters it, the same NAME for its earlier batches"
        )
    others = [batch for batch in book.batches.all() if batch.name != asked.name]
    earlier = [b for b in others if b.recipe == asked.recipe and b.pitched_us < asked.pitched_us]
    if not earlier:
        known = sorted({repr(b.recipe) for b in others if b.recipe is not None and b.recipe != asked.recipe})
        recipes = f" (recipes of other batches: {', '.join(known)})" if known else ""
        raise RefusedError(
            f"batch {asked.name!r} cannot be compared yet: the book has no earlier batch of the recipe "
            f"{asked.recipe!r}{recipes}; {edit.format('BATCH', shlex.quote(asked.recipe))} enters it for one"
        )
    return sorted(earlier, key=_by_pitch)[-_MOST:]


def _by_pitch(batch: Batch) -> tuple[int, str]:
    return batch.pitched_us, batch.name


def _repeat(book: Book, batch: Batch, judged: Judged) -> Repeat:
    readings = VesselReadings.of(book.readings.of(batch.vessel, *owned_span(batch, book.batches.all(batch.vessel))))
    course = list(hourly_course(batch, readings, judged.as_of_us))
    return Repeat(batch, judged, course, traits(judged, course))
