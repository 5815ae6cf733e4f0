"""Batches judged from files or from the cellar book: what every command that answers has in hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from lullwort.analysis import hour_end
from lullwort.cellarbook import Book
from lullwort.cli.logs import Logs
from lullwort.detector import Judged, judge
from lullwort.records import Batch, Reading

__all__ = ["Entry", "judge_book", "judge_logs"]

_EVER = (-(2**62), 2**62)


class Entry(NamedTuple):
    """One batch with what became of it; `batch` and `judged` are None for readings that belong to no batch.

    Attributes:
        vessel: id.
        newest_us: [µs] of the newest reading of the vessel; None if there is none.
        set_aside: rows that were no readings in the logs that this vessel is in.
    """

    vessel: str
    batch: Batch | None
    judged: Judged | None
    newest_us: int | None
    set_aside: int


def judge_logs(logs: Logs, batches: Sequence[Batch], as_of_us: int | None) -> list[Entry]:
    """Every batch of every vessel judged from log files alone.

    Args:    as_of_us: [µs] judge as if it were this instant; None: each batch's newest reading.
    """
    vessels = sorted({*logs.readings, *(b.vessel for b in batches)})
    return [
        entry
        for vessel in vessels
        for entry in _judge_vessel(
            vessel, batches, logs.readings.get(vessel, []), logs.set_aside_beside.get(vessel, 0), as_of_us
        )
    ]


def judge_book(book: Book, vessel: str | None, as_of_us: int | None) -> list[Entry]:
    """Every batch on record judged from its stored readings; those of one vessel if it is named."""
    batches = book.batches.all()
    vessels = sorted({*book.readings.vessels(), *(b.vessel for b in batches)})
    entries = []
    for name in vessels:
        if vessel not in (None, name):
            continue
        readings = list(book.readings.of(name, *_EVER))
        set_aside = book.readings.set_aside_count(name)
        entries += [_with_conflicts(book, e) for e in _judge_vessel(name, batches, readings, set_aside, as_of_us)]
    return entries


def _judge_vessel(
    vessel: str, batches: Sequence[Batch], readings: Sequence[Reading], set_aside: int, as_of_us: int | None
) -> list[Entry]:
    """Every batch of one vessel, oldest first; a vessel without a batch gives one entry without."""
    newest = max((r.at_us for r in readings), default=None)
    own = sorted((b for b in batches if b.vessel == vessel), key=lambda b: b.pitched_us)
    if not own:
        return [Entry(vessel, None, None, newest, set_aside)]
    entries = []
    for batch in own:
        until_us = _owned_until(batch, own)
        ends = [t for t in (until_us, batch.packaged_us) if t is not None]
        mine = [r for r in readings if r.at_us >= batch.pitched_us and all(r.at_us < end for end in ends)]
        instant = as_of_us
        if instant is None and batch.packaged_us is not None:
            # A packaged batch is judged up to the end of the hour of its packaging, not to its newest reading.
            instant = hour_end(batch.packaged_us)
        judged = judge(batch, mine, as_of_us=instant, until_us=until_us)
        entries.append(Entry(vessel, batch, judged, newest, set_aside))
    return entries


def _owned_until(batch: Batch, own: Iterable[Batch]) -> int | None:
    """When the next batch in this batch's vessel was pitched [µs]; None if none was."""
    return min((b.pitched_us for b in own if b.pitched_us > batch.pitched_us), default=None)


def _with_conflicts(book: Book, entry: Entry) -> Entry:
    """The book leaves contradicting readings out before judging, so it must be asked how many there were."""
    if entry.judged is None or entry.batch is None:
        return entry
    conflicts = book.readings.conflicts(entry.vessel, entry.batch.pitched_us, entry.judged.as_of_us + 1)
    return entry._replace(judged=entry.judged._replace(conflicts=conflicts))
