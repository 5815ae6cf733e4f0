"""Batches and what was done to them, as the brewer entered it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

import msgspec

from lullwort.cellarbook.database import Database
from lullwort.cellarbook.equipment import Equipment, Shown, as_kept
from lullwort.errors import RefusedError
from lullwort.records import BESIDE_A_BATCH, Batch, Event, PackagingDay, key64

__all__ = ["Batches"]

_Entry = TypeVar("_Entry", Batch, Event)


class Batches:
    """The batches of a book; a name is unique in it."""

    def __init__(self, db: Database, equipment: Equipment) -> None:
        self._db = db
        self._equipment = equipment

    def put(self, batch: Batch, *, update: bool = False, whole: bool = False, shown: Shown = as_kept) -> bool:
        """Enter a batch with its events; tells whether that changed the book.

        Events already on record stay: only new ones are added. Raises RefusedError where the entry contradicts what
        is on record and `update` is not given, or where another batch was pitched into the vessel at that moment.

        Args:
            whole: what the entry leaves out of packaging day is taken back. Otherwise that stays as it is on record:
                a batches file is written before that day, and says nothing of what was done on it.
            shown: how the error shows the value of a field, in the units of whoever reads it.
        """
        bare = msgspec.structs.replace(batch, **dict.fromkeys(BESIDE_A_BATCH, ()))
        with self._db.write():
            known = self._find(batch.name)
            if known is not None and not whole:
                bare = msgspec.structs.replace(
                    bare, packaging_day=_with_unsaid(bare.packaging_day, known.packaging_day)
                )
            if known is None or known != bare:
                if known is not None and not update:
                    raise RefusedError(_contradiction(known, bare, shown))
                self._refuse_same_pitch(batch)
                self._db.run(
                    "INSERT INTO batch VALUES (?, ?, ?, ?, ?) ON CONFLICT (key) DO UPDATE SET "
                    "vessel = excluded.vessel, pitched_us = excluded.pitched_us, entered = excluded.entered",
                    (
                        key64(batch.name), batch.name, batch.vessel, batch.pitched_us,
                        msgspec.json.encode(bare).decode(),
                    ),
                )  # fmt: skip
            added = [event for event in batch.events if not self._has(batch.name, event)]
            for event in added:
                self._insert(batch.name, event)
        return known != bare or bool(added)

    def all(self, vessel: str | None = None) -> list[Batch]:
        """Batches with their events and the equipment on record, by pitch; of one vessel if it is named."""
        rows = self._db.rows("SELECT entered FROM batch ORDER BY pitched_us, name")
        batches = [self._decoded(row[0], Batch) for row in rows]
        return [self._with_events(b) for b in batches if vessel is None or b.vessel == vessel]

    def get(self, name: str) -> Batch:
        """The batch of this name with its events. Raises RefusedError if there is none."""
        batch = self._find(name)
        if batch is None:
            raise RefusedError(f"no batch is called {name!r}; `lullwort batch list` shows them")
        return self._with_events(batch)

    def add_event(self, name: str, event: Event) -> bool:
        """Note an event of a batch; False if exactly this one is on record. Raises RefusedError for no such batch."""
        self.get(name)
        with self._db.write():
            if self._has(name, event):
                return False
            self._insert(name, event)
        return True

    def remove_event(self, name: str, event: Event) -> None:
        """Take an event back. Raises RefusedError if it is not on record."""
        with self._db.write():
            if not self._has(name, event):
                raise RefusedError(f"batch {name!r} has no such event on record")
            self._db.run("DELETE FROM event WHERE batch = ? AND key = ?", (key64(name), _event_key(event)))

    def _find(self, name: str) -> Batch | None:
        rows = self._db.rows("SELECT entered FROM batch WHERE key = ?", (key64(name),))
        return self._decoded(rows[0][0], Batch) if rows else None

    def _with_events(self, batch: Batch) -> Batch:
        rows = self._db.rows("SELECT entered FROM event WHERE batch = ? ORDER BY at_us, key", (key64(batch.name),))
        return msgspec.structs.replace(
            batch,
            events=tuple(self._decoded(row[0], Event) for row in rows),
            instruments=self._equipment.instruments(),
            sensors=self._equipment.sensors(),
        )

    def _decoded(self, text: str, kind: type[_Entry]) -> _Entry:
        try:
            return msgspec.json.decode(text, type=kind)
        except msgspec.DecodeError as exc:
            raise self._db.damage(exc) from exc

    def _has(self, name: str, event: Event) -> bool:
        return bool(self._db.rows("SELECT 1 FROM event WHERE batch = ? AND key = ?", (key64(name), _event_key(event))))

    def _insert(self, name: str, event: Event) -> None:
        self._db.run(
            "INSERT INTO event VALUES (?, ?, ?, ?)",
            (key64(name), event.at_us, _event_key(event), msgspec.json.encode(event).decode()),
        )

    def _refuse_same_pitch(self, batch: Batch) -> None:
        for (name,) in self._db.rows(
            "SELECT name FROM batch WHERE vessel = ? AND pitched_us = ? AND name <> ?",
            (batch.vessel, batch.pitched_us, batch.name),
        ):
            raise RefusedError(f"batch {name!r} was pitched into vessel {batch.vessel!r} at that very moment already")


def _event_key(event: Event) -> int:
    """What was done and when; the words beside it do not make it another event, unless they are all there is of it."""
    entered = msgspec.structs.asdict(event if event.kind == "remark" else msgspec.structs.replace(event, note=""))
    # Fields that joined later count only where they are given: an event of an older book keeps its key.
    given = {name: value for name, value in entered.items() if name not in _JOINED_LATER or value is not None}
    return key64(msgspec.json.encode(given).decode())


_JOINED_LATER = ("original_points", "instrument", "calibrated_c", "brix")

_WAY_OUT = "(`lullwort batch edit` changes the book; `backfill --update` lets a batches file win)"


def _with_unsaid(entered: PackagingDay, known: PackagingDay) -> PackagingDay:
    """What is entered of packaging day, with what is known where nothing is."""
    said = {
        field.name: getattr(entered, field.name)
        for field in msgspec.structs.fields(entered)
        if getattr(entered, field.name) != field.default
    }
    return msgspec.structs.replace(known, **said)


def _contradiction(known: Batch, entered: Batch, shown: Shown) -> str:
    differing = [
        *_differing(known, entered, shown),
        *_differing(known.packaging_day, entered.packaging_day, shown),
    ]
    return f"batch {known.name!r} contradicts the book: {'; '.join(differing)} {_WAY_OUT}"


def _differing(known: Batch | PackagingDay, entered: Batch | PackagingDay, shown: Shown) -> Iterator[str]:
    def said(field: str, of: Batch | PackagingDay) -> str:
        value = getattr(of, field)
        return "not given" if value is None or value == () else shown(field, value)

    for field in known.__struct_fields__:
        if field != "packaging_day" and getattr(known, field) != getattr(entered, field):
            yield f"{field.removesuffix('_us')} is {said(field, known)} on record, {said(field, entered)} now"
