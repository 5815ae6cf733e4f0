"""A batch beside the earlier ones of its recipe out of the book."""

from __future__ import annotations

import shlex
from typing import NamedTuple

from lullwort.cellarbook import Book
from lullwort.cli.named import Named
from lullwort.cli.values import now_us
from lullwort.errors import RefusedError
from lullwort.forecast import Likeness, likeness
from lullwort.records import Batch
from lullwort.standing import MOST_REPEATS, Repeat, by_pitch, judged_repeats

__all__ = ["Beside", "beside_earlier"]


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
    *earlier, asked = judged_repeats(book, [*_earlier(book, batch), batch], as_of_us, now_us=now_us())
    return Beside(asked, earlier, likeness(asked.traits, [repeat.traits for repeat in earlier]))


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
    return sorted(earlier, key=by_pitch)[-MOST_REPEATS:]
