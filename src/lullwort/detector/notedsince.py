"""What was done to a beer after the last hour that was judged: the answer that stands does not know of it yet."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.analysis import hour_end
from lullwort.detector.brewerunits import Units
from lullwort.detector.judge import Judged
from lullwort.detector.watch import BEGINS_ANEW
from lullwort.records import Event

__all__ = ["BEGUN_ANEW", "NotedSince", "noted_since"]

BEGUN_ANEW = "Wait, and package nothing: the proof begins anew with what was noted since."
"""What to do next where that undoes a `ready`."""


class NotedSince(NamedTuple):
    """It, at `told_us` [µs].

    Attributes:
        events: in order of time; none where all that was noted counts.
        ready:  whether `ready` stands.
    """

    events: tuple[Event, ...]
    ready: bool
    told_us: int

    @property
    def undoes(self) -> bool:
        """Whether `ready` stands that will not stand any more, since the proof begins anew."""
        return self.ready and self._anew

    @property
    def _anew(self) -> bool:
        return any(event.kind in BEGINS_ANEW for event in self.events)

    def says(self, units: Units) -> str:
        """A sentence or two; empty where there is nothing."""
        if not self.events:
            return ""
        noted = ", ".join(f"{event.kind} at {units.time_near(event.at_us, self.told_us)}" for event in self.events)
        it, counts, them = ("it", "counts", "it") if len(self.events) == 1 else ("they", "count", "them")
        from_us = hour_end(self.events[-1].at_us)
        when = f"{it} {counts} from {units.time_near(from_us, self.told_us)} on"
        if from_us <= self.told_us:
            when = f"this answer does not know of {them} yet"
        then = "Do not package on this answer." if self.undoes else "The proof then begins anew." if self._anew else ""
        return f"Noted since: {noted}; {when}. {then}".rstrip()


def noted_since(judged: Judged, now_us: int) -> NotedSince:
    """What does not count yet of the notes of a batch; a remark is nothing that was done.

    Args:    now_us: [µs] what is dated later has not been done yet.
    """
    closed = judged.verdict == "packaged"
    events = tuple(
        event
        for event in sorted(judged.batch.events, key=lambda event: event.order)
        if not closed and event.kind != "remark" and judged.now.at_us <= event.at_us <= now_us
    )
    return NotedSince(events, judged.verdict == "ready", now_us)
