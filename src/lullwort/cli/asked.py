"""Which of the judged batches a command was asked for."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.cellarbook import Book
from lullwort.cli.judging import judge_book
from lullwort.cli.named import Named, named
from lullwort.errors import RefusedError
from lullwort.standing import Entry

__all__ = ["asked", "asked_or_only"]


def asked(entries: Sequence[Entry], meant: Named, as_of_us: int | None) -> Entry:
    """The batch that was named, or the youngest of its vessel; the vessel itself where it has none.

    Raises: RefusedError where nothing had been pitched by `as_of_us` [µs].
    """
    pitched = [
        entry
        for entry in entries
        if entry.batch is None
        or (
            (meant.batch is None or entry.batch.name == meant.batch.name)
            and (as_of_us is None or entry.batch.pitched_us <= as_of_us)
        )
    ]
    if not pitched:
        what = f"vessel {meant.vessel!r}" if meant.batch is None else f"batch {meant.batch.name!r}"
        raise RefusedError(f"nothing was pitched yet in {what} at that time; `lullwort batch list` shows when it was")
    return pitched[-1]


def asked_or_only(book: Book, name: str | None, as_of_us: int | None, *, or_packaged: bool = False) -> Entry:
    """The batch that is called so, or the youngest in the vessel; without a name the only one under way.

    Args:   or_packaged: without a name, and where none is under way, the one that was packaged last.

    Raises: RefusedError where there is none, or more than one is under way.
    """
    if name is not None:
        meant = named(book, name)
        return asked(judge_book(book, meant.vessel, as_of_us), meant, as_of_us)
    entries = judge_book(book, None, as_of_us)
    under_way = [entry for entry in entries if _under_way(entry, as_of_us)]
    if len(under_way) == 1:
        return under_way[0]
    if not under_way and or_packaged and (packaged := [entry for entry in entries if _packaged_us(entry) is not None]):
        return max(packaged, key=lambda entry: _packaged_us(entry) or 0)
    if not under_way:
        raise RefusedError("no batch is under way: name the one that is meant; `lullwort batch list` shows all")
    names = ", ".join(entry.batch.name for entry in under_way if entry.batch is not None)
    raise RefusedError(f"{len(under_way)} batches are under way: name one of {names}")


def _under_way(entry: Entry, as_of_us: int | None) -> bool:
    if entry.batch is None or entry.judged is None or entry.refilled:
        return False
    return entry.judged.verdict != "packaged" and (as_of_us is None or entry.batch.pitched_us <= as_of_us)


def _packaged_us(entry: Entry) -> int | None:
    """[µs] When it was packaged; None where it was not by then."""
    if entry.batch is None or entry.judged is None or entry.judged.verdict != "packaged":
        return None
    return entry.batch.packaged_us
