"""Batches judged from files or from the cellar book: what every command that answers has in hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from lullwort.detector import Judged, judge
from lullwort.records import Batch, Reading

__all__ = ["Entry", "judge_vessel", "owned_until"]


class Entry(NamedTuple):
    """One batch with what became of it; `batch` and `judged` are None for readings that belong to no batch.

    Attributes:
        vessel: id.
        newest_us: [µs] of the newest reading of the vessel; None if there is none.
        set_aside: rows of the vessel's sources that were not readings.
    """

    vessel: str
    batch: Batch | None
    judged: Judged | None
    newest_us: int | None
    set_aside: int


def owned_until(batch: Batch, batches: Iterable[Batch]) -> int | None:
    """When the next batch in this batch's vessel was pitched [µs]; None if none was."""
    later = [b.pitched_us for b in batches if b.vessel == batch.vessel and b.pitched_us > batch.pitched_us]
    return min(later, default=None)


def judge_vessel(
    vessel: str, batches: Sequence[Batch], readings: Sequence[Reading], set_aside: int, as_of_us: int | None
) -> list[Entry]:
    """Every batch of one vessel judged, oldest first; a vessel without a batch gives one entry without.

    Args:
        readings: of this vessel, in any order.
        as_of_us: [µs] judge as if it were this instant; None: each batch's newest reading.
    """
    newest = max((r.at_us for r in readings), default=None)
    own = sorted((b for b in batches if b.vessel == vessel), key=lambda b: b.pitched_us)
    if not own:
        return [Entry(vessel, None, None, newest, set_aside)]
    entries = []
    for batch in own:
        until = owned_until(batch, own)
        ends = [t for t in (until, batch.packaged_us) if t is not None]
        mine = [r for r in readings if r.at_us >= batch.pitched_us and all(r.at_us < end for end in ends)]
        judged = judge(batch, mine, as_of_us=_as_of(batch, mine, until, as_of_us), until_us=until)
        entries.append(Entry(vessel, batch, judged, newest, set_aside))
    return entries


def _as_of(batch: Batch, mine: Sequence[Reading], until: int | None, as_of_us: int | None) -> int | None:
    if as_of_us is not None or batch.packaged_us is None:
        return as_of_us
    # A packaged batch is judged up to the end of the hour in which it was packaged, not to its newest reading.
    hour = 3_600_000_000
    return (batch.packaged_us // hour + 1) * hour


def judge_all(
    batches: Sequence[Batch],
    readings: Mapping[str, Sequence[Reading]],
    set_aside: Mapping[str, int],
    as_of_us: int | None,
) -> list[Entry]:
    """Every batch of every vessel, vessels in the order of their ids."""
    vessels = sorted({*readings, *(b.vessel for b in batches)})
    return [
        entry
        for vessel in vessels
        for entry in judge_vessel(vessel, batches, readings.get(vessel, ()), set_aside.get(vessel, 0), as_of_us)
    ]
