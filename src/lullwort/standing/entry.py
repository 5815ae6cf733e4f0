"""One batch with what became of it, and from when to when its vessel's readings are its own."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lullwort.detector import Judged, Units
from lullwort.forecast import Forecast
from lullwort.packaging_day import Doubts, advised
from lullwort.records import Batch

__all__ = ["Entry", "owned_span", "owned_until"]

_EVER = (-(2**62), 2**62)


class Entry(NamedTuple):
    """One batch with what became of it; `batch` and `judged` are None for readings that belong to no batch.

    Attributes:
        vessel: id.
        newest_us: [µs] of the newest reading of the vessel; None if there is none.
        set_aside: rows that were no readings in the logs that this vessel is in.
        without_batch_after_us: [µs] when the last batch of the vessel was packaged, if the log goes on for a day
            after it; None otherwise.
        refilled: whether another batch had been pitched into its vessel by then: this one is over.
        forecast: what is foreseen of the batch; None where that was not asked for, and once it is ready or over.
        doubts: what may have shifted the sensor of a ready batch; of others None.
    """

    vessel: str
    batch: Batch | None
    judged: Judged | None
    newest_us: int | None
    set_aside: int
    without_batch_after_us: int | None = None
    refilled: bool = False
    forecast: Forecast | None = None
    doubts: Doubts | None = None

    def next_says(self, units: Units) -> str:
        """What to do next with its batch; empty without one. A command to be copied has an indented line of its own."""
        if self.judged is None:
            return ""
        return advised(self.judged.verdict, self.judged.now, self.doubts, units, proved=self.judged.proved)

    def told_by(self, now_us: int) -> Entry:
        """The same for people, see `Judged.told_by`."""
        return self if self.judged is None else self._replace(judged=self.judged.told_by(now_us))


def owned_span(batch: Batch, own: Iterable[Batch]) -> tuple[int, int]:
    """From when to when [µs] `batch` owns its vessel's readings: to its packaging, or to the next pitch there.

    Args:    own: the batches of its vessel, as for `owned_until`.
    """
    ends = [owned_until(batch, own), batch.packaged_us]
    return batch.pitched_us, min((end_us for end_us in ends if end_us is not None), default=_EVER[1])


def owned_until(batch: Batch, own: Iterable[Batch]) -> int | None:
    """When the next batch in this batch's vessel was pitched [µs]; None if none was. Others of `own` count nothing."""
    later = (b.pitched_us for b in own if b.vessel == batch.vessel and b.pitched_us > batch.pitched_us)
    return min(later, default=None)
