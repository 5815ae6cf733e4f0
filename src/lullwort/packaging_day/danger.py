"""What of a batch that is filled or primed can hurt somebody, and what to do about it: said before all else."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import PACKAGED_UNPROVED, Judged, Units
from lullwort.packaging_day.sealing import Sealing
from lullwort.packaging_day.sheetsealing import Closed
from lullwort.records import Batch

__all__ = ["Danger", "danger_of"]

_PRIMED = (
    "Priming went in before it was proved that this beer had ended: what is left ferments on top of the sugar. Do not "
    "seal it in glass; what is filled already is kept cold, closed in and away from people, handled only with eyes and "
    "hands covered."
)
_HANDLE = (
    "Keep what is filled cold, closed in and away from people, and handle it only with eyes and hands covered: it can "
    "burst."
)


class Danger(NamedTuple):
    """What is the matter with what was filled or primed; none of it with most batches.

    Attributes:
        unproved:   it was not proved to have ended, in bottles or primed; `filled` is whether it is in bottles.
        pressed:    it was primed on top of what it made in a sealed vessel.
        overfilled: what was put in is more than its container bears, or that is one in which nothing may ferment.
    """

    unproved: bool
    filled: bool
    pressed: bool
    overfilled: bool
    closed: Closed

    @property
    def any(self) -> bool:
        """Whether there is a danger but the usual one."""
        return self.unproved or self.pressed or self.overfilled

    def says(self, units: Units) -> str:
        """What it is, and how to handle it; empty where there is none."""
        said = []
        if self.unproved:
            said.append(PACKAGED_UNPROVED if self.filled else _PRIMED)
        if self.pressed:
            said.append("It was primed on top of what it had made in its sealed vessel, which only a gauge tells.")
        if self.overfilled:
            said.append(self._overfilled(units))
        if said and not self.unproved:
            said.append(_HANDLE)
        return " ".join(said)

    def _overfilled(self, units: Units) -> str:
        limit, sealing = self.closed.limit, self.closed.sealing
        if not limit.bears:
            return f"Nothing may ferment in {limit.container.called}."
        if sealing is not None and not self.closed.too_much:
            return f"With what was put in it may come to {_over(sealing, units)}."
        if self.closed.alone is not None:
            return f"What was put in may alone come to {_over(self.closed.alone, units)}."
        return "With what was put in it may come to far more than any bottle holds."


def danger_of(batch: Batch, judged: Judged, closed: Closed, *, proved: bool) -> Danger:
    """Of a batch as it was judged, and what it is closed in.

    Args:    proved: see `Judged.proved`.
    """
    day, packaged = batch.packaging_day, judged.verdict == "packaged"
    primed = day.primed_g is not None
    return Danger(
        unproved=(packaged or primed or bool(day.filled)) and not proved,
        filled=packaged or bool(day.filled),
        pressed=bool(day.primed_g) and judged.before_packaging.now.sealed is not None,
        overfilled=primed and (closed.exceeds or not closed.limit.bears),
        closed=closed,
    )


def _over(sealing: Sealing, units: Units) -> str:
    at = sealing.at_room
    return (
        f"{units.gauge(at.at_most_bar)} at {units.temp(at.temp_c, 0)}, more than the {units.gauge(sealing.limit.bar)} "
        f"that {sealing.limit.container.called} bear"
    )
