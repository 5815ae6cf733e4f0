"""One batch judged as its readings arrive, in whatever order they do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from lullwort.analysis import settled_gravities
from lullwort.detector.batchjudge import BatchJudge
from lullwort.detector.judge import Judged, judged_so_far
from lullwort.records import Batch, VesselReadings

__all__ = ["LiveJudge"]


@dataclass
class LiveJudge:
    """Gives at any moment the history that judging all readings at once would give.

    Readings in order of time cost one step each; a late one has the batch judged from its start. It keeps none of
    them: `recall(from_us, before_us)` gives those of the batch's vessel that are on record with
    from_us ≤ at_us < before_us [µs], in any order, so memory does not grow with the weeks.
    """

    batch: Batch
    recall: Callable[[int, int], VesselReadings]
    until_us: int | None = None
    _judge: BatchJudge = field(init=False)
    _fed_to_us: int = field(init=False)
    _conflicts: int = 0

    def __post_init__(self) -> None:
        self.start_over()

    def heard(self, at_us: int) -> bool:
        """A reading of this instant [µs] came on record; tells whether that changes what was judged already."""
        late = self.batch.pitched_us <= at_us < self._fed_to_us
        if late:
            self.start_over()
        return late

    def start_over(self) -> None:
        """Judge from the pitch when next asked, as after a change to what is on record."""
        self._judge = BatchJudge(self.batch, self.until_us)
        self._fed_to_us = self.batch.pitched_us
        self._conflicts = 0

    def judged(self, as_of_us: int) -> Judged:
        """The history up to `as_of_us` [µs]."""
        if as_of_us < self._fed_to_us:
            self.start_over()
        settled = settled_gravities(self.batch, self.recall(self._fed_to_us, as_of_us))
        self._judge.add(settled.readings)
        self._judge.advance(as_of_us)
        self._conflicts += settled.conflicts
        self._fed_to_us = max(self._fed_to_us, as_of_us)
        return judged_so_far(self._judge, as_of_us, self._conflicts)
