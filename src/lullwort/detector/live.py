"""One batch judged as its readings arrive, in whatever order they do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from lullwort.analysis import settle
from lullwort.detector.batchjudge import BatchJudge
from lullwort.detector.judge import Judged, judged_so_far
from lullwort.records import Batch, Reading, VesselReadings

__all__ = ["LiveJudge"]

_BEFORE_ALL_US = -(2**62)


@dataclass
class LiveJudge:
    """Gives at any moment the history that judging all readings at once would give.

    Readings in order of time cost one step each; a late one has the batch judged from its start.
    """

    batch: Batch
    until_us: int | None = None
    _new: list[Reading] = field(default_factory=list)
    _judged: list[VesselReadings] = field(default_factory=list)
    """Dated before `_fed_to_us`, in pieces; kept as they came, so that a late one finds what it contradicts."""
    _waiting: list[VesselReadings] = field(default_factory=list)
    _judge: BatchJudge = field(init=False)
    _fed_to_us: int = _BEFORE_ALL_US
    _conflicts: int = 0
    """Of what was judged."""

    def __post_init__(self) -> None:
        self._judge = BatchJudge(self.batch, self.until_us)

    def take(self, readings: Iterable[Reading]) -> None:
        """Take readings of the batch's vessel in any order; repeats are harmless."""
        self._new += readings

    def judged(self, as_of_us: int) -> Judged:
        """The history up to `as_of_us` [µs], from all that was taken."""
        new, self._new = VesselReadings.of(self._new), []
        self._waiting.append(new)
        if as_of_us < self._fed_to_us or (len(new) and new.at_us.min() < self._fed_to_us):
            self._start_over()
        waiting = VesselReadings.joined(self._waiting)
        due, later = waiting.within(_BEFORE_ALL_US, as_of_us), waiting.within(as_of_us, None)
        settled = settle(due)
        self._judge.add(settled.readings)
        self._judge.advance(as_of_us)
        self._conflicts += settled.conflicts
        self._judged.append(due)
        self._waiting = [later]
        self._fed_to_us = as_of_us
        return judged_so_far(self._judge, as_of_us, self._conflicts + settle(later).conflicts)

    def _start_over(self) -> None:
        self._judge = BatchJudge(self.batch, self.until_us)
        self._waiting = [*self._judged, *self._waiting]
        self._judged = []
        self._conflicts = 0
