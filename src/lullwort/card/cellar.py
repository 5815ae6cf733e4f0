"""What the card knows of the cellar: facts made from the book once, and made anew when something of it has changed.

Used by one thread alone, which has opened the book for itself.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from itertools import islice
from operator import is_not
from typing import NamedTuple

from lullwort.card.facts import BatchFacts, VesselFacts, batch_facts
from lullwort.card.tended import Tended
from lullwort.cellarbook import Book, Posted
from lullwort.detector import Judged
from lullwort.records import HOUR_US, Batch
from lullwort.standing import standing_alerts

__all__ = ["Cellar"]

_MOST_BATCHES = 40
"""Of which facts are held: 60 kB each of a fortnight."""
_MINUTE_US = 60_000_000


class _Known(NamedTuple):
    """Facts, and what they were made from: entries and imports change the book's revision, readings what is judged."""

    judged: Judged | None
    revision: int
    facts: BatchFacts


@dataclass
class Cellar:
    """Vessels and batches as they stand at the moment they are asked for."""

    book: Book
    tended: Callable[[], Tended]
    now_us: Callable[[], int]
    _known: dict[str, _Known] = field(default_factory=dict)
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
        """Make the facts of one batch that was judged anew, before anybody asks; False where all are made."""
        revision = self.book.revision()
        for judged in islice(self.tended().judged.values(), _MOST_BATCHES):
            known = self._known.get(judged.batch.name)
            if known is None or known.judged is not judged or known.revision != revision:
                self._facts(judged.batch)
                return True
        return False

    def vessels(self) -> list[VesselFacts]:
        """All that have readings or a batch, by id."""
        batches = self.book.batches.all()
        names = sorted({*self.book.readings.vessels(), *(batch.vessel for batch in batches)})
        standing = self._standing()
        return [self._vessel(name, [b for b in batches if b.vessel == name], standing) for name in names]

    def vessel(self, name: str) -> VesselFacts | None:
        """One of them; None where there is no such vessel."""
        batches = self.book.batches.all(name)
        if not batches and name not in self.book.readings.vessels():
            return None
        return self._vessel(name, batches, self._standing())

    def batch(self, name: str) -> BatchFacts | None:
        """Any batch on record, over or not; None where there is none of this name."""
        found = next((batch for batch in self.book.batches.all() if batch.name == name), None)
        return None if found is None else self._facts(found)

    def _standing(self) -> list[Posted]:
        return standing_alerts(self.book)

    def _vessel(self, name: str, batches: list[Batch], standing: list[Posted]) -> VesselFacts:
        by_age = sorted(batches, key=lambda batch: batch.pitched_us, reverse=True)
        youngest = self._facts(by_age[0]) if by_age else None
        about = tuple(posted for posted in standing if posted.alert.vessel == name)
        return VesselFacts(name, youngest, tuple(by_age[1:]), self.book.newest_us(name), about)

    def _facts(self, batch: Batch) -> BatchFacts:
        judged = self.tended().judged.get(batch.name)
        if judged is not None and judged.batch != batch:
            judged = None  # it was edited a moment ago
        revision, known = self.book.revision(), self._known.pop(batch.name, None)
        if known is not None and known.facts.unmeasured and self.now_us() - known.facts.judged.as_of_us > HOUR_US:
            known = None
        if known is None or known.judged is not judged or known.revision != revision:
            known = _Known(judged, revision, batch_facts(self.book, batch, judged, self.now_us()))
        self._known[batch.name] = known
        while len(self._known) > _MOST_BATCHES:
            del self._known[next(iter(self._known))]
        return known.facts
