"""The one thread that writes: takes what the sources hand over, stores it, judges, and puts what is to be told away."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from lullwort.cellarbook import Book
from lullwort.collector import Arrival
from lullwort.detector import Judged
from lullwort.errors import BookError
from lullwort.records import NOT_BEFORE_US, Alert, Block, SetAside, Subject
from lullwort.tend.boardclock import BoardClock
from lullwort.tend.inbox import Inbox
from lullwort.tend.judging import Judging
from lullwort.tend.storing import Storing

__all__ = ["Keeper", "Watch"]

_LOG = logging.getLogger("lullwort.tend")

_GROUP = 1000
"""Messages stored at once at most: some 50 ms of work."""
_LOAD, _GATHER_S = 20, 0.01
"""After a group of so many the next is given that time to gather: one commit then does for many messages."""
_MOST_SENSORS = 1000
"""Of which ages are told; more are names that somebody makes up."""
_TICK_S = 1.0
_LONGEST_PAUSE_S = 30.0
_LOOK_EVERY_US = 20 * 1_000_000
_TIDY_EVERY_US = 3600 * 1_000_000
_VOID = "the clock of this machine shows a time that is past"


class Watch(Protocol):
    """What is to be told now of what was seen."""

    def hear(self, blocks: Sequence[Block], set_aside: Sequence[SetAside], now_us: int) -> None:
        """This has arrived now."""

    def clock_set(self, by_us: int, now_us: int) -> None:
        """The clock of this machine was set by so much [µs] and shows `now_us` now."""

    def look(self, judged: list[Judged], standing: Mapping[Subject, Alert], now_us: int) -> list[Alert]:
        """What is to be told that is not told yet."""


@dataclass
class Keeper:
    """Runs until `stop` is set and everything handed over is settled. It alone uses the book that it was given."""

    book: Book
    storing: Storing
    judging: Judging
    watch: Watch
    targets: Callable[[], list[str]]
    inbox: Inbox
    stop: threading.Event
    clock: BoardClock
    on_verdicts: Callable[[list[Judged]], None]
    """Told in every round of the batches that were judged anew, after that is on record."""
    on_alerts: Callable[[], None]
    """Told that there is something to deliver."""
    alive: Callable[[], None] = lambda: None
    """Called in every round, for a watchdog."""
    on_news: Callable[[frozenset[str]], None] = lambda _: None
    """Told of vessels of which something is new on record: a reading, a verdict or its hour, an entry of anybody, an
    alert; of "" for all, also where the book begins to fail or does so no longer."""
    failing: str = ""
    """Why nothing can be stored; empty while it can."""
    reading_us: dict[str, int] = field(default_factory=dict)
    """[µs] of the newest reading of each sensor."""
    _unheard: list[tuple[list[Block], list[SetAside]]] = field(default_factory=list)
    """What is on disk, and judging and watch have not been told of yet."""
    _last_group: int = 0
    _pause_s: float = 0.0
    _tidied_us: int = 0
    _looked_us: int = 0
    _again: bool = True
    """Whether messages that were set aside for their time may be of a time that can be."""
    _hasten: bool = False
    _logged: set[tuple[str, str]] = field(default_factory=set)
    _logged_since_us: int = 0
    _unsaved: dict[str, Judged] = field(default_factory=dict)
    _new: set[str] = field(default_factory=set)
    """Vessels of which it is to be told that something is new."""
    _by_others: int | None = None
    """What `book.changes` said of others when the last round began."""

    def run(self) -> None:
        """Until told to stop; what was handed over before is still settled."""
        while True:
            stopping = self.stop.is_set()
            self.alive()
            if self._clock_is_void():
                if stopping:
                    return
                self.stop.wait(_TICK_S)
                continue
            group = self._group(0.0 if stopping else _TICK_S)
            try:
                self.round(group)
                self._pause_s = 0.0
                self._failing("")
            except BookError as exc:
                self._fail(exc)
            if stopping and (not group or self.failing):
                return

    def round(self, group: list[Arrival]) -> None:
        """Take a group of messages, which may be empty, and see to all that follows from it and from the time.

        Raises: BookError where the book could not be written; all that is left undone is done in a later round.
        """
        now_us, set_by_us = self.clock.now_us(), self.clock.set_by_us()
        if set_by_us:
            self._clock_set(set_by_us, now_us)
        self._note_entries()
        if group:  # first: whatever else fails, what was handed over is settled
            self._unheard.append(self.storing.take(group, now_us))
        self._catch_up(now_us)
        while self._unheard:
            blocks, set_aside = self._unheard[0]
            self.judging.take(blocks, now_us)
            self._note_newest(blocks)
            self._new.update(vessel for block in blocks for vessel in block.vessels)
            self.watch.hear(blocks, set_aside, now_us)
            self._log_set_aside(set_aside, now_us)
            del self._unheard[0]
        changed = self.judging.judge(now_us)
        self._unsaved.update((judged.batch.name, judged) for judged in changed)
        self._new.update(judged.batch.vessel for judged in changed)
        for name, judged in list(self._unsaved.items()):
            self.book.verdicts.keep(judged)
            del self._unsaved[name]
        self.on_verdicts([judged for judged in changed if self.judging.is_youngest(judged.batch)])
        if changed or abs(now_us - self._looked_us) >= _LOOK_EVERY_US:
            self._looked_us = now_us
            self._tell(now_us)
        self._tell_news()
        self._tidy(now_us)

    def _note_entries(self) -> None:
        """What another process has entered shows by this alone."""
        by_others, _ = self.book.changes()
        if self._by_others not in (None, by_others):
            self._new.add("")
        self._by_others = by_others

    def _tell_news(self) -> None:
        if self._new:
            self.on_news(frozenset(self._new))
            self._new.clear()

    def _failing(self, why: str) -> None:
        if why != self.failing:
            self.failing = why
            self._new.add("")
            self._tell_news()

    def _clock_set(self, by_us: int, now_us: int) -> None:
        _LOG.warning("the clock of this machine was set", extra={"by_s": by_us // 1_000_000})
        self.judging.clock_set(by_us)
        self.watch.clock_set(by_us, now_us)
        self._again = self._hasten = True

    def _catch_up(self, now_us: int) -> None:
        """What had to wait for the right time."""
        if self._hasten:
            self.book.outbox.hasten(now_us)
            self._hasten = False
            self.on_alerts()
        while self._again:
            taken = self.storing.take_again(now_us)
            if taken is None:
                self._again = False
            else:
                self._unheard.append(taken)

    def _log_set_aside(self, set_aside: Sequence[SetAside], now_us: int) -> None:
        """The first of each place and field in an hour: a sensor that is read wrongly sends nothing else."""
        if abs(now_us - self._logged_since_us) >= _TIDY_EVERY_US:
            self._logged, self._logged_since_us = set(), now_us
        for row in set_aside:
            if (row.place, row.column) not in self._logged and len(self._logged) < _MOST_SENSORS:
                self._logged.add((row.place, row.column))
                _LOG.warning("set aside", extra={"place": row.place, "why": str(row)})

    def _note_newest(self, blocks: list[Block]) -> None:
        newest = dict(self.reading_us)
        for block in blocks:
            for code, sensor in enumerate(block.sensors):
                times = block.at_us[block.sensor_codes == code]
                if len(times) and (sensor in newest or len(newest) < _MOST_SENSORS):
                    newest[sensor] = max(newest.get(sensor, 0), int(times.max()))
        self.reading_us = newest  # another one, for other threads read it

    def _clock_is_void(self) -> bool:
        """Whether this machine has no notion of the time: nothing is taken or judged, all stays with its senders."""
        void = self.clock.now_us() < NOT_BEFORE_US
        if void and self.failing != _VOID:
            _LOG.error("nothing is taken", extra={"why": _VOID})
            self._failing(_VOID)
        return void

    def _group(self, wait_s: float) -> list[Arrival]:
        if self._last_group >= _LOAD:
            self.stop.wait(_GATHER_S)
        group = self.inbox.take(_GROUP, wait_s)
        self._last_group = len(group)
        return group

    def _tell(self, now_us: int) -> None:
        fresh = self.watch.look(self.judging.now(), self.book.outbox.standing(), now_us)
        if fresh and self.book.outbox.put(fresh, self.targets(), now_us):
            for alert in fresh:
                _LOG.warning("alert", extra={"kind": alert.kind, "about": alert.about, "on": alert.on})
                self._new.add(alert.vessel)
            self.on_alerts()

    def _tidy(self, now_us: int) -> None:
        """Merge what came message by message once an hour, when nothing waits."""
        if abs(now_us - self._tidied_us) >= _TIDY_EVERY_US and not len(self.inbox):
            for name in self.storing.names():
                self.book.imports.tidy(name, now_us)
            self._tidied_us = now_us
            self._again = True

    def _fail(self, exc: BookError) -> None:
        if not self.failing:
            _LOG.error("the cellar book fails; messages stay with their senders", extra={"why": str(exc)})
        self._failing(str(exc))
        self._pause_s = min(max(1.0, 2.0 * self._pause_s), _LONGEST_PAUSE_S)
        give_up = time.monotonic() + self._pause_s
        while time.monotonic() < give_up and not self.stop.wait(0.5):
            self.alive()
