"""What is meant by the name that a command was given: a vessel, or one batch."""

from __future__ import annotations

import difflib
from typing import NamedTuple

from lullwort.analysis import WORT_SAMPLE_US
from lullwort.cellarbook import Book
from lullwort.detector import Units
from lullwort.errors import RefusedError
from lullwort.records import Batch

__all__ = ["NAME", "Named", "batch_at", "batch_sampled", "named"]

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


def batch_sampled(book: Book, meant: Named, at_us: int, units: Units) -> Batch:
    """As `batch_at`, of a sample: one of the wort is drawn before it is pitched, up to a day.

    Raises: RefusedError that says of one drawn too early what was probably meant.
    """
    chosen = [b for b in book.batches.all(meant.vessel) if meant.batch is None or b.name == meant.batch.name]
    coming = next((b for b in chosen if b.pitched_us > at_us), None)
    early_us = 0 if coming is None else coming.pitched_us - at_us
    if coming is not None and meant.batch is not None and early_us <= WORT_SAMPLE_US:
        return coming
    try:
        return batch_at(book, meant, at_us)
    except RefusedError:
        if coming is None:
            raise
    if early_us <= WORT_SAMPLE_US:
        return coming
    raise RefusedError(
        f"{coming.name} was pitched {units.moment(coming.pitched_us)}, {units.number(early_us / WORT_SAMPLE_US, 1)} "
        "days after that sample: is its time (--at) right? One of the wort counts as the original gravity up to 24 h "
        "before the pitch"
    )


def _near(name: str, known: list[str]) -> str:
    near = difflib.get_close_matches(name.lower(), known, n=_NEAR, cutoff=0.5)
    return f"; did you mean {' or '.join(map(repr, near))}?" if near else "; `lullwort batch list` shows them"
