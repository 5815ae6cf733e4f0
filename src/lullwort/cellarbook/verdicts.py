"""The verdicts of each batch as last judged, and, apart from them, what the brewer was told and when."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec

from lullwort.cellarbook.database import Database
from lullwort.detector import Judged, evidence, reason
from lullwort.records import key64

__all__ = ["Told", "VerdictRow", "Verdicts"]


class VerdictRow(NamedTuple):
    """One change of verdict: `evidence` is JSON, the checks behind it."""

    at_us: int
    verdict: str
    reason: str
    evidence: str


class Told(NamedTuple):
    """What the brewer was told at `told_us` [µs] of a verdict that stood since `verdict_us` [µs]."""

    told_us: int
    verdict: str
    verdict_us: int
    says: str


class Verdicts:
    """Histories are replaced when a batch is judged anew; what was told is only ever added to."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def keep(self, judged: Judged) -> None:
        """Replace the history of a batch by that of a fresh judgement; writes nothing if it is as on record."""
        rows = [
            VerdictRow(
                change.at_us, change.verdict, reason(change.verdict, change.seen),
                msgspec.json.encode(evidence(change.seen)).decode(),
            )
            for change in judged.history
        ]  # fmt: skip
        self.save(judged.batch.name, rows)

    def save(self, batch: str, history: Sequence[VerdictRow]) -> None:
        """Replace the history of a batch; writes nothing if it is as on record."""
        if self.of(batch) == list(history):
            return
        with self._db.write():
            self._db.run("DELETE FROM verdict WHERE batch = ?", (key64(batch),))
            self._db.run_many("INSERT INTO verdict VALUES (?, ?, ?, ?, ?)", [(key64(batch), *row) for row in history])

    def of(self, batch: str) -> list[VerdictRow]:
        """The history of a batch as last judged, in order of time."""
        rows = self._db.rows(
            "SELECT at_us, verdict, reason, evidence FROM verdict WHERE batch = ? ORDER BY at_us",
            (key64(batch),),
        )
        return [VerdictRow(*row) for row in rows]

    def tell(self, batch: str, told: Told) -> None:
        """Put on record that the brewer was told."""
        with self._db.write():
            self._db.run("INSERT OR IGNORE INTO told VALUES (?, ?, ?, ?, ?)", (key64(batch), *told))

    def told(self, batch: str) -> list[Told]:
        """All that was told of a batch, in order of time."""
        rows = self._db.rows(
            "SELECT told_us, verdict, verdict_us, says FROM told WHERE batch = ? ORDER BY told_us",
            (key64(batch),),
        )
        return [Told(*row) for row in rows]
