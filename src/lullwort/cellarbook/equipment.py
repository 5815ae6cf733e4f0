"""What outlasts a batch: the brewer's own instruments, and what is known of each sensor."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, TypeVar

import msgspec

from lullwort.cellarbook.database import Database
from lullwort.errors import RefusedError
from lullwort.records import Instrument, SensorTraits, key64

__all__ = ["Equipment", "Shown", "as_kept"]

_CHECKED = ("error", "checked_us")
"""Fields of an instrument that a check in plain water tells."""


Shown = Callable[[str, Any], str]
"""Shows the value of a field of a batch or an instrument to a person."""


def as_kept(_field: str, value: object) -> str:
    return repr(value)


_Kept = TypeVar("_Kept", Instrument, SensorTraits)


class Equipment:
    """The instruments and sensors of a book; a name is unique among each of the two."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def instruments(self) -> tuple[Instrument, ...]:
        """All, by name."""
        return self._all("instrument", Instrument)

    def sensors(self) -> tuple[SensorTraits, ...]:
        """All of which something is known, by name."""
        return self._all("sensor", SensorTraits)

    def put_instrument(self, instrument: Instrument) -> bool:
        """Keep an instrument as it is now; tells whether that changed the book."""
        return self._put("instrument", instrument)

    def enter_instrument(self, instrument: Instrument, *, update: bool = False, shown: Shown = as_kept) -> bool:
        """As `put_instrument`, but of two checks in water the later one stays.

        Args:   shown: makes the name of a field and its value into what a person reads.
        Raises: RefusedError where the book has something else otherwise and `update` is not given.
        """
        known = next((known for known in self.instruments() if known.name == instrument.name), None)
        if known is None or update:
            return self.put_instrument(instrument)
        differing = [
            f"{field} is {shown(field, getattr(known, field))} on record, "
            f"{shown(field, getattr(instrument, field))} now"
            for field in Instrument.__struct_fields__
            if field not in _CHECKED and getattr(known, field) != getattr(instrument, field)
        ]
        if differing:
            raise RefusedError(
                f"instrument {known.name!r} contradicts the book: {'; '.join(differing)} (`lullwort instrument edit` "
                "changes the book; `backfill --update` lets a batches file win)"
            )
        return self.put_instrument(max(known, instrument, key=lambda one: one.checked_us or -math.inf))

    def put_sensor(self, traits: SensorTraits) -> bool:
        """Keep what is known of a sensor now; tells whether that changed the book."""
        return self._put("sensor", traits)

    def _put(self, table: str, kept: Instrument | SensorTraits) -> bool:
        entered = msgspec.json.encode(kept).decode()
        with self._db.write():
            known = self._db.rows(f"SELECT entered FROM {table} WHERE key = ?", (key64(kept.name),))
            if known == [(entered,)]:
                return False
            self._db.run(
                f"INSERT INTO {table} VALUES (?, ?, ?) ON CONFLICT (key) DO UPDATE SET entered = excluded.entered",
                (key64(kept.name), kept.name, entered),
            )
        return True

    def _all(self, table: str, kind: type[_Kept]) -> tuple[_Kept, ...]:
        rows = self._db.rows(f"SELECT entered FROM {table} ORDER BY name")
        try:
            return tuple(msgspec.json.decode(row[0], type=kind) for row in rows)
        except msgspec.DecodeError as exc:
            raise self._db.damage(exc) from exc
