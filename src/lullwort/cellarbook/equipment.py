"""What outlasts a batch: the brewer's own instruments, and what is known of each sensor."""

from __future__ import annotations

from typing import TypeVar

import msgspec

from lullwort.cellarbook.database import Database
from lullwort.records import Instrument, SensorTraits, key64

__all__ = ["Equipment"]

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
