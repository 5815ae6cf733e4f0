"""What the card knows of the cellar: facts made from the book once, and made anew when something of it has changed.

Used by one thread alone, which has opened the book for itself.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from operator import is_not
from typing import NamedTuple

from lullwort.card.known.facts import NO_READINGS, BatchFacts, VesselFacts, batch_facts, readings_one_by_one
from lullwort.card.known.heldreadings import HeldReadings
from lullwort.card.known.tended import Tended
from lullwort.cellarbook import Book, Posted
from lullwort.detector import Judged
from lullwort.records import HOUR_US, Batch
from lullwort.standing import entered_to_us, over_before, owned_span, owned_until, standing_alerts

__all__ = ["Cellar"]

_MOST_OTHERS = 40
"""Batches beside the youngest of each vessel of which facts are held: 60 kB each of a fortnight."""
_MINUTE_US = 60_000_000
_NEVER_US = 2**62
_UNMEASURED_SHARE, _UNMEASURED_LONGEST_US = 0.01, 24 * HOUR_US
"""Of its age, after which a batch of which nothing was measured is judged anew: each takes a quarter of a second for a
year of age, and says less and less that is new."""


class _Known(NamedTuple):
    """Facts without readings one by one, what they were made from, and when [µs] time alone makes others of it."""

    tended: Judged | None
    rests_on: Hashable
    until_us: int
    facts: BatchFacts


@dataclass
class _AsEntered:
    """What was read from the book while it had one revision, and what of it the facts of each batch rest on."""

    revision: int | None = None
    batches: list[Batch] = field(default_factory=list)
    of: dict[str, Hashable] = field(default_factory=dict)


@dataclass
class _AsWritten:
    """By vessel: the newest reading [µs], and the number of rows set aside, while nothing at all was written."""

    changes: tuple[int, int] | None = None
    newest_us: dict[str, int | None] = field(default_factory=dict)
    set_aside: dict[str, int] = field(default_factory=dict)


@dataclass
class Cellar:
    """Vessels and batches as they stand at the moment they are asked for."""

    book: Book
    tended: Callable[[], Tended]
    now_us: Callable[[], int]
    _known: dict[str, _Known] = field(default_factory=dict)
    _each: HeldReadings = field(default_factory=HeldReadings)
    _entered: _AsEntered = field(default_factory=_AsEntered)
    _written: _AsWritten = field(default_factory=_AsWritten)
    _seen: list[Judged] = field(default_factory=list)
    _turns: int = 0

    def state(self) -> Hashable:
        """Equal as long as nothing has changed of what a page tells, and no minute has passed."""
        tended = self.tended()
        judged = list(tended.judged.values())
        if len(judged) != len(self._seen) or any(map(is_not, judged, self._seen)):
            self._seen, self._turns = judged, self._turns + 1
        return self.book.changes(), self._turns, tended.failing, self.now_us() // _MINUTE_US

    def failing(self) -> str:
        """Why the service cannot store anything; empty while it can."""
        return self.tended().failing

    def make_ahead(self) -> bool:
        """Make the facts of one batch of which something is new, before anybody asks; False where all are made."""
        stale = next((batch for batch in self._looked_for() if not self._is_known(batch)), None)
        if stale is not None:
            self._facts(stale)
        return stale is not None

    def vessels(self) -> list[VesselFacts]:
        """All that have readings or a batch, by id; of their batches without the readings one by one."""
        batches = self._batches()
        names = sorted({*self.book.readings.vessels(), *(batch.vessel for batch in batches)})
        standing = self._standing()
        inside: dict[str, list[Batch]] = {name: [] for name in names}
        for batch in batches:
            inside[batch.vessel].append(batch)
        return [self._vessel(name, inside[name], standing, self._facts) for name in names]

    def vessel(self, name: str) -> VesselFacts | None:
        """One of them, with its readings; None where there is no such vessel."""
        batches = [batch for batch in self._batches() if batch.vessel == name]
        if not batches and name not in self.book.readings.vessels():
            return None
        return self._vessel(name, batches, self._standing(), self._whole_facts)

    def batch(self, name: str) -> BatchFacts | None:
        """Any batch on record, over or not; None where there is none of this name."""
        found = next((batch for batch in self._batches() if batch.name == name), None)
        return None if found is None else self._whole_facts(found)

    def _standing(self) -> list[Posted]:
        return standing_alerts(self.book)

    def _vessel(
        self, name: str, batches: list[Batch], standing: list[Posted], facts: Callable[[Batch], BatchFacts]
    ) -> VesselFacts:
        by_age = sorted(batches, key=lambda batch: batch.pitched_us, reverse=True)
        youngest = facts(by_age[0]) if by_age else None
        about = tuple(posted for posted in standing if posted.alert.vessel == name)
        return VesselFacts(name, youngest, tuple(by_age[1:]), self._newest_us(name), about)

    def _looked_for(self) -> Iterator[Batch]:
        """The youngest batch of each vessel, which is on the overview, and others that the service judges."""
        youngest: dict[str, Batch] = {}
        for batch in self._batches():
            if batch.vessel not in youngest or batch.pitched_us > youngest[batch.vessel].pitched_us:
                youngest[batch.vessel] = batch
        yield from youngest.values()
        judged = self.tended().judged
        others = (batch for batch in self._batches() if batch.name in judged and batch != youngest[batch.vessel])
        yield from islice(others, _MOST_OTHERS)

    # -- facts, held while they are true -------------------------------------------------------------------------------

    def _whole_facts(self, batch: Batch) -> BatchFacts:
        facts = self._facts(batch)
        each = self._each.get(batch.name)
        if each is None:
            each = readings_one_by_one(self.book, batch, facts.judged.as_of_us)
            self._each.put(batch.name, each)
        return facts._replace(each=each)

    def _facts(self, batch: Batch) -> BatchFacts:
        if not self._is_known(batch):
            self._make(batch)
        known = self._known[batch.name] = self._known.pop(batch.name)
        most = _MOST_OTHERS + len({each.vessel for each in self._batches()})
        while len(self._known) > most:
            dropped = next(iter(self._known))
            del self._known[dropped]
            self._each.drop(dropped)
        return known.facts

    def _is_known(self, batch: Batch) -> bool:
        known = self._known.get(batch.name)
        return (
            known is not None
            and known.tended is self.tended().judged.get(batch.name)
            and known.rests_on == self._rests_on(batch)
            and self.now_us() < known.until_us
        )

    def _make(self, batch: Batch) -> None:
        now_us, rests_on, tended = self.now_us(), self._rests_on(batch), self.tended()
        judged = tended.judged.get(batch.name)
        held = judged if self._holds(judged, batch, tended) else None
        facts = batch_facts(self.book, batch, held, now_us)
        self._each.put(batch.name, facts.each)
        until_us = _true_until_us(facts, now_us, here=held is None)
        self._known[batch.name] = _Known(judged, rests_on, until_us, facts._replace(each=NO_READINGS))

    def _holds(self, judged: Judged | None, batch: Batch, tended: Tended) -> bool:
        """Whether the service has judged all that is on record now; if not, it is judged here as the commands do."""
        if judged is None or judged.batch != batch or tended.revision not in (None, self.book.revision()):
            return False
        newest_us = self._newest_us(batch.vessel)
        read_us = batch.pitched_us if newest_us is None else max(newest_us, batch.pitched_us)
        entered_us = entered_to_us(batch, read_us, self.now_us())
        return entered_us is None or entered_us <= judged.as_of_us

    def _rests_on(self, batch: Batch) -> Hashable:
        """Equal as long as what the facts of a batch are made of is, but for what the service has judged."""
        if batch.name in self.tended().judged:
            newest_us = None  # what is read is judged by the service
        else:
            newest_us = self._newest_us(batch.vessel) or 0
            newest_us = min(newest_us, owned_span(batch, self._batches())[1])
        return self._entries_of(batch), newest_us, self._set_aside_count(batch.vessel)

    # -- the book, read once while it stays as it is -------------------------------------------------------------------

    def _batches(self) -> list[Batch]:
        revision = self.book.revision()
        if revision != self._entered.revision:
            self._entered = _AsEntered(revision, self.book.batches.all())
        return self._entered.batches

    def _entries_of(self, batch: Batch) -> Hashable:
        batches = self._batches()
        if batch.name not in self._entered.of:
            earlier = [] if batch.packaged_us is not None else over_before(batch, batches)
            self._entered.of[batch.name] = (
                batch,
                owned_until(batch, batches),
                tuple((other, owned_until(other, batches)) for other in earlier),
                self.book.record_revision(),
            )
        return self._entered.of[batch.name]

    def _newest_us(self, vessel: str) -> int | None:
        found = self._as_written().newest_us
        if vessel not in found:
            found[vessel] = self.book.newest_us(vessel)
        return found[vessel]

    def _set_aside_count(self, vessel: str) -> int:
        found = self._as_written().set_aside
        if vessel not in found:
            found[vessel] = self.book.readings.set_aside_count(vessel)
        return found[vessel]

    def _as_written(self) -> _AsWritten:
        changes = self.book.changes()
        if changes != self._written.changes:
            self._written = _AsWritten(changes)
        return self._written


def _true_until_us(facts: BatchFacts, now_us: int, *, here: bool) -> int:
    """[µs] When time alone makes others of them: with what is dated ahead, or as what was never measured grows old.

    Args:    here: whether they were judged here; as time passes, the service judges by itself.
    """
    ahead = [event.at_us for event in facts.batch.events if event.at_us > now_us]
    if here and facts.unmeasured:
        age_us = now_us - facts.batch.pitched_us
        ahead.append(now_us + min(max(HOUR_US, int(age_us * _UNMEASURED_SHARE)), _UNMEASURED_LONGEST_US))
    return min(ahead, default=_NEVER_US)
