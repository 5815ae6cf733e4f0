"""Which of the judged batches a command was asked for."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.cli.judging import Entry
from lullwort.cli.named import Named
from lullwort.errors import RefusedError

__all__ = ["asked"]


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
