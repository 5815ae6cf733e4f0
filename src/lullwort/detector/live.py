"""One batch judged as its readings arrive, in whatever order they do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from lullwort.analysis import settle
from lullwort.detector.batchjudge import BatchJudge
from lullwort.detector.judge import Judged, judged_so_far
from lullwort.records import Batch, Reading

__all__ = ["LiveJudge"]


@dataclass
class LiveJudge:
    """Gives at any moment the history that judging all readings at once would give.

    Readings in order of time cost one step each; a late one, or one that contradicts another, has the batch
    judged from its start (a month at one reading a minute takes about a second).
    """

    batch: Batch
    until_us: int | None = None
    _readings: list[Reading] = field(default_factory=list)
    _new: list[Reading] = field(default_factory=list)
    _judge: BatchJudge = field(init=False)
    _fed_to_us: int = field(init=False)
    _conflicts: int = 0

    def __post_init__(self) -> None:
        self._start_over()

    def take(self, readings: Iterable[Reading]) -> None:
        """Take readings of the batch's vessel in any order; repeats are harmless."""
        self._new += readings

    def judged(self, as_of_us: int) -> Judged:
        """The history up to `as_of_us` [µs], from all that was taken."""
        late = any(reading.at_us < self._fed_to_us for reading in self._new)
        settled = settle(self._readings + self._new) if self._new else None
        if settled is not None:
            if late or settled.conflicts != self._conflicts:
                # What was told apart as contradiction stays in hand, so that a third reading cannot revive it.
                self._start_over()
            self._readings += self._new
            self._new = []
            self._conflicts = settled.conflicts
        if as_of_us < self._fed_to_us:
            self._start_over()
        for reading in (settled or settle(self._readings)).readings:
            if self._fed_to_us <= reading.at_us < as_of_us:
                self._judge.add(reading)
        self._judge.advance(as_of_us)
        self._fed_to_us = as_of_us
        return judged_so_far(self._judge, as_of_us, self._conflicts)

    def _start_over(self) -> None:
        self._judge = BatchJudge(self.batch, self.until_us)
        self._fed_to_us = self.batch.pitched_us
