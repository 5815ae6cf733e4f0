"""What is meant by the name that a command was given: a vessel, or one batch."""

from __future__ import annotations

import difflib
from typing import NamedTuple

from lullwort.cellarbook import Book
from lullwort.errors import RefusedError
from lullwort.records import Batch

__all__ = ["NAME", "Named", "batch_at", "named"]

NAME = "VESSEL|BATCH"
"""How such a name is called in the help of a command."""

_NEAR = 3


class Named(NamedTuple):
    """A vessel, or the one `batch` in it that was named; None where the vessel as such was."""

    vessel: str
    batch: Batch | None


def named(book: Book, text: str) -> Named:
    """The vessel or the batch that is called so; `vessel:` or `batch:` before a name tells which of the two is meant.

    A vessel that has but one batch, called as itself, is that vessel.
    Raises: RefusedError for an unknown name, with those that are near, and for one that may be both.
    """
    kind, _, name = text.rpartition(":")
    if kind not in ("", "vessel", "batch"):
        raise RefusedError(f"{text!r} is no name: expected one, or vessel:NAME or batch:NAME")
    batches = {batch.name: batch for batch in book.batches.all()}
    vessels = {*book.readings.vessels(), *(batch.vessel for batch in batches.values())}
    batch = batches.get(name) if kind in ("", "batch") else None
    vessel = name if name in vessels and kind in ("", "vessel") else None
    if vessel is None and batch is None:
        known = {"vessel": vessels, "batch": batches.keys(), "": vessels | batches.keys()}[kind]
        raise RefusedError(f"the book knows no {kind or 'vessel or batch'} {name!r}{_near(name, sorted(known))}")
    if vessel is None:
        assert batch is not None
        return Named(batch.vessel, batch)
    inside = [b.name for b in batches.values() if b.vessel == vessel]
    if batch is not None and inside != [name]:
        raise RefusedError(
            f"{name!r} is a vessel, and a batch in vessel {batch.vessel!r}: write vessel:{name} or batch:{name}"
        )
    return Named(vessel, None)


def batch_at(book: Book, meant: Named, at_us: int) -> Batch:
    """The batch that is meant, which was in its vessel at that instant [µs]. Raises RefusedError if it was not."""
    pitched = [b for b in book.batches.all(meant.vessel) if b.pitched_us <= at_us]
    newest = pitched[-1] if pitched else None
    inside = None if newest is None or (newest.packaged_us or at_us + 1) <= at_us else newest
    shown = "; `lullwort batch list` shows what was"
    if meant.batch is not None and (inside is None or meant.batch.name != inside.name):
        raise RefusedError(f"batch {meant.batch.name!r} was not in vessel {meant.vessel!r} at that time{shown}")
    if inside is None:
        raise RefusedError(f"no batch was in vessel {meant.vessel!r} at that time{shown}")
    return inside


def _near(name: str, known: list[str]) -> str:
    near = difflib.get_close_matches(name.lower(), known, n=_NEAR, cutoff=0.5)
    return f"; did you mean {' or '.join(map(repr, near))}?" if near else "; `lullwort batch list` shows them"
