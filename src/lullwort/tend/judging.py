"""The batches of a cellar judged while it goes on, each as soon as one of its hours has closed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from lullwort.cellarbook import Book
from lullwort.detector import Judged, LiveJudge
from lullwort.records import HOUR_US, Batch, Block, VesselReadings

__all__ = ["Judging", "VesselClock"]

_LATE_US = 5 * 60_000_000
"""How long after its end an hour waits for the last of its readings, where no later reading has closed it."""
_WAKING_US = 10 * 60_000_000
"""How long after the start silence means nothing yet: what was sent meanwhile may be waiting at the broker."""
_BETWEEN_STARTS_US = 5_000_000
_AHEAD_US, _AHEAD_ARRIVALS = 10 * 60_000_000, 3
_JUDGED_AFTER_END_US = 7 * 24 * HOUR_US
"""A batch is left alone when it has been over for so long; the commands still judge it."""


@dataclass
class VesselClock:
    """What time it is in a vessel: that of its newest reading, and from there on as time passes here.

    A backlog that comes in at once is so judged as if it had come day by day, and a sensor whose clock is wrong
    by a while does not seem silent.
    """

    started_us: int
    newest_us: int | None
    heard_us: int | None = None
    """[µs] when a newest reading last arrived here."""

    _behind: int = 0
    """Arrivals in a row that lie behind a newest reading which is ahead of the time here."""

    def hear(self, at_us: int, now_us: int) -> None:
        """A reading of `at_us` arrived, or came to be on record."""
        if self.newest_us is None or at_us >= self.newest_us:
            self.newest_us, self.heard_us, self._behind = at_us, now_us, 0
        elif self.newest_us > now_us + _AHEAD_US:
            self._behind += 1
            if self._behind >= _AHEAD_ARRIVALS:  # it was one of a wrong clock, and time runs on without it
                self.newest_us, self.heard_us, self._behind = at_us, now_us, 0

    def clock_set(self, by_us: int) -> None:
        """The clock here was set by so much [µs]; no time has passed in the vessel over that."""
        self.started_us += by_us
        if self.heard_us is not None:
            self.heard_us += by_us

    def now_in_vessel(self, now_us: int) -> int | None:
        """[µs] None where nothing was ever heard."""
        if self.newest_us is None:
            return None
        if self.heard_us is not None:
            return self.newest_us + max(0, now_us - self.heard_us)
        return self.newest_us if now_us - self.started_us < _WAKING_US else max(now_us, self.newest_us)

    def closed_to(self, now_us: int) -> int | None:
        """[µs] The end of the last hour that has closed."""
        now_there = self.now_in_vessel(now_us)
        if now_there is None or self.newest_us is None:
            return None
        return max(self.newest_us, now_there - _LATE_US) // HOUR_US * HOUR_US


@dataclass
class Judging:
    """All batches that are not long over. `take` what was stored, then `judge`: each gives the same as a replay."""

    book: Book
    started_us: int
    clocks: dict[str, VesselClock] = field(default_factory=dict)
    _live: dict[str, LiveJudge] = field(default_factory=dict)
    _judged: dict[str, Judged] = field(default_factory=dict)
    revision: int | None = None
    """Of the book, on which all that `now` gives rests; None before anything was judged."""
    _revision: int | None = None
    _stale: set[str] = field(default_factory=set)
    """Batches of which something changed in what was judged already."""
    _started_over_us: dict[str, int] = field(default_factory=dict)

    def take(self, blocks: Iterable[Block], now_us: int) -> None:
        """These readings are on record now."""
        self._take_up_entries(now_us)  # a batch may have been opened for them a moment ago
        for block in blocks:
            pairs = block.vessel_codes
            for code in np.unique(pairs).tolist():
                times = block.at_us[pairs == code]
                self._hear(block.vessels[code], int(times.min()), int(times.max()), now_us)

    def _hear(self, vessel: str, first_us: int, last_us: int, now_us: int) -> None:
        there = [(name, live) for name, live in self._live.items() if live.batch.vessel == vessel]
        if there or vessel in self.clocks:  # not for every name that somebody makes up
            self._clock(vessel).hear(last_us, now_us)
        for name, live in there:
            if live.heard(first_us):
                self._stale.add(name)

    def clock_set(self, by_us: int) -> None:
        """The clock of this machine was set by so much [µs]."""
        self.started_us += by_us
        for clock in self.clocks.values():
            clock.clock_set(by_us)

    def judge(self, now_us: int) -> list[Judged]:
        """Judge what may have changed; gives those of which an entry, the history or the state is another one now."""
        self._take_up_entries(now_us)
        changed = []
        for name, live in self._live.items():
            closed_us = self._clock(live.batch.vessel).closed_to(now_us)
            before = self._judged.get(name)
            if closed_us is None or not self._is_due(name, before, closed_us, now_us):
                continue
            judged = live.judged(closed_us)
            self._stale.discard(name)
            if before is None or judged != before:
                self._judged = {**self._judged, name: judged}  # another one, for other threads read it
            if before is None or _shown(judged) != _shown(before):
                changed.append(judged)
        self.revision = self._revision
        return changed

    def _is_due(self, name: str, before: Judged | None, closed_us: int, now_us: int) -> bool:
        if name in self._stale:
            # A sensor that sends what it had kept sends it piece by piece: not judged from the pitch for each.
            if abs(now_us - self._started_over_us.get(name, 0)) < _BETWEEN_STARTS_US:
                return False
            self._started_over_us[name] = now_us
            return True
        return before is None or before.as_of_us != closed_us

    def now(self) -> list[Judged]:
        """Every batch as last judged."""
        return list(self._judged.values())

    def by_name(self) -> Mapping[str, Judged]:
        """The same by name of the batch; what is judged later is in another one."""
        return self._judged

    def open_vessels(self) -> set[str]:
        """In which a batch is, as far as anybody said, judged or not."""
        return {live.batch.vessel for live in self._live.values() if live.batch.packaged_us is None}

    def pitched_us(self, vessel: str) -> int:
        """[µs] when the youngest batch of a vessel was pitched; far in the past where there is none."""
        return max((live.batch.pitched_us for live in self._live.values() if live.batch.vessel == vessel), default=0)

    def is_youngest(self, batch: Batch) -> bool:
        """Whether no later one is in its vessel: what is shown of the vessel is shown of that."""
        return batch.pitched_us >= self.pitched_us(batch.vessel)

    def verdicts(self) -> dict[str, str]:
        """By batch."""
        return {name: judged.verdict for name, judged in self._judged.items()}

    def _take_up_entries(self, now_us: int) -> None:
        """What was entered, imported or withdrawn by somebody else since the last time has all judged anew."""
        revision = self.book.revision()
        if revision == self._revision:
            return
        batches = self.book.batches.all()
        self._live = {
            batch.name: self._live_judge(batch, until_us)
            for batch, until_us in _with_end(batches)
            if (ended := _ended_us(batch, until_us)) is None or ended > now_us - _JUDGED_AFTER_END_US
        }
        self._judged = {name: judged for name, judged in self._judged.items() if name in self._live}
        for vessel in self.book.readings.vessels():
            newest_us = self.book.newest_us(vessel)
            clock = self._clock(vessel)
            if newest_us is None or (clock.newest_us is not None and newest_us <= clock.newest_us):
                continue
            if clock.heard_us is not None:
                clock.hear(newest_us, now_us)  # as time passes there from now on, not from the last arrival
            else:
                clock.newest_us = newest_us
        self._stale.update(self._live)
        self._started_over_us.clear()
        self._revision = revision  # only now: what failed over the reading is taken up again

    def _clock(self, vessel: str) -> VesselClock:
        if vessel not in self.clocks:
            self.clocks[vessel] = VesselClock(self.started_us, self.book.newest_us(vessel))
        return self.clocks[vessel]

    def _live_judge(self, batch: Batch, until_us: int | None) -> LiveJudge:
        def recall(from_us: int, before_us: int) -> VesselReadings:
            return self.book.readings.together(batch.vessel, from_us, before_us)

        return LiveJudge(batch, recall, until_us)


def _shown(judged: Judged) -> tuple[object, ...]:
    return judged.batch, judged.as_of_us, judged.history


def _with_end(batches: list[Batch]) -> list[tuple[Batch, int | None]]:
    """Each with the pitch [µs] of the next in its vessel."""
    pitches: dict[str, list[int]] = {}
    for batch in batches:
        pitches.setdefault(batch.vessel, []).append(batch.pitched_us)
    return [
        (batch, min((us for us in pitches[batch.vessel] if us > batch.pitched_us), default=None)) for batch in batches
    ]


def _ended_us(batch: Batch, until_us: int | None) -> int | None:
    return min((us for us in (batch.packaged_us, until_us) if us is not None), default=None)
