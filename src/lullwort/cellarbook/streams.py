"""What is on record of one sensor, from whatever imports: the only place that reads and adds runs of readings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lullwort.cellarbook.agreement import Agreement, Reports, agree
from lullwort.cellarbook.comparable import TOLERANCES, comparable
from lullwort.cellarbook.database import Database
from lullwort.cellarbook.segments import Packed, Segment, pack, segments_of, unpack
from lullwort.records import VALUE_COLUMNS, Block, ReportedUnits, key64
from lullwort.units import FloatArray

__all__ = ["Origin", "SensorRecord", "add_block", "add_run", "runs", "sensor_record"]

_PACKED = f"key, at_us, {', '.join(VALUE_COLUMNS)}"


@dataclass(frozen=True)
class Origin:
    """Where some reports are from: key and place of the import, and the vessel."""

    imported: int
    place: str
    vessel: str


@dataclass(frozen=True)
class SensorRecord:
    """All reports of one sensor in some time, from all imports in use.

    Attributes:
        origins: where they are from; `origin` gives for each report its place there, shape (n,).
        vessels: those named in it, sorted; a vessel's number is its place here.
        agreement: of the reports, their values being those of QUANTITIES in common units.
    """

    sensor: str
    origins: list[Origin]
    origin: NDArray[np.int64]
    vessels: list[str]
    agreement: Agreement

    def brought_by(self, imported: int) -> NDArray[np.bool_]:
        """For each report whether it is of this import."""
        return np.array([origin.imported == imported for origin in self.origins])[self.origin]

    def in_vessel(self, vessel: str) -> NDArray[np.bool_]:
        """For each report whether it places the sensor in this vessel."""
        return np.array([origin.vessel == vessel for origin in self.origins])[self.origin]


def add_block(db: Database, imported: int, block: Block) -> None:
    """Write the readings of `block` as part of an import, inside `db.write()`; again does no harm."""
    for segment in segments_of(block):
        stream = key64(f"{imported}", segment.sensor, segment.vessel, *block.units)
        first_us, last_us = int(segment.at_us[0]), int(segment.at_us[-1])
        db.run(
            "INSERT INTO stream VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET "
            "first_us = min(first_us, excluded.first_us), last_us = max(last_us, excluded.last_us)",
            (stream, imported, segment.sensor, segment.vessel, *block.units, first_us, last_us),
        )
        add_run(db, stream, segment)


def add_run(db: Database, stream: int, segment: Segment) -> None:
    """Write readings of a stream that is on record, inside `db.write()`; again does no harm."""
    key, *columns = pack(stream, segment)
    db.run(
        f"INSERT OR IGNORE INTO segment VALUES ({', '.join('?' * (6 + len(VALUE_COLUMNS)))})",
        (key, stream, int(segment.at_us[0]), int(segment.at_us[-1]), len(segment.at_us), *columns),
    )


def runs(db: Database, stream: int, keys: Iterable[int]) -> Iterator[tuple[NDArray[np.int64], FloatArray]]:
    """Times and values of these runs of a stream. Raises BookDamagedError where one is not what was written."""
    for key in keys:
        for packed in db.rows(f"SELECT {_PACKED} FROM segment WHERE key = ?", (key,)):
            yield _unpacked(db, stream, packed)


def sensor_record(db: Database, sensor: str, from_us: int, to_us: int) -> SensorRecord | None:
    """What imports in use have of `sensor` with from_us ≤ at_us < to_us [µs]; None if that is nothing.

    Raises: BookDamagedError where what is read is not what was written.
    """
    origins: list[Origin] = []
    units: list[ReportedUnits] = []
    parts: list[tuple[NDArray[np.int64], FloatArray]] = []
    counts: list[int] = []
    for stream, brought_by, place, vessel, *reported in db.rows(
        "SELECT s.key, s.import, i.place, s.vessel, s.gravity_unit, s.temperature_unit, s.battery_unit FROM stream s "
        "JOIN import_in_use i ON i.key = s.import "
        "WHERE s.sensor = ? AND s.first_us < ? AND s.last_us >= ? "
        "ORDER BY s.key",
        (sensor, to_us, from_us),
    ):
        origins.append(Origin(brought_by, place, vessel))
        units.append(ReportedUnits(*reported))
        found = list(_columns(db, stream, from_us, to_us))
        parts += found
        counts.append(sum(len(at_us) for at_us, _ in found))
    if not sum(counts):
        return None
    origin = np.repeat(np.arange(len(origins)), counts)
    vessels = sorted({o.vessel for o in origins})
    vessel = np.array([vessels.index(o.vessel) for o in origins], dtype=np.int64)[origin]
    at_us = np.concatenate([times for times, _ in parts])
    values = comparable(np.concatenate([columns for _, columns in parts], axis=1), units, origin)
    return SensorRecord(sensor, origins, origin, vessels, agree(Reports(at_us, vessel, values, TOLERANCES)))


def _columns(db: Database, stream: int, from_us: int, to_us: int) -> Iterator[tuple[NDArray[np.int64], FloatArray]]:
    for packed in db.rows(
        f"SELECT {_PACKED} FROM segment WHERE stream = ? AND first_us < ? AND last_us >= ? ORDER BY first_us, key",
        (stream, to_us, from_us),
    ):
        at_us, values = _unpacked(db, stream, packed)
        inside = slice(*np.searchsorted(at_us, (from_us, to_us)).tolist())
        yield at_us[inside], values[:, inside]


def _unpacked(db: Database, stream: int, packed: Packed) -> tuple[NDArray[np.int64], FloatArray]:
    try:
        return unpack(stream, packed)
    except ValueError as exc:
        raise db.damage(exc) from exc
