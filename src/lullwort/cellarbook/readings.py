"""Readings found again: of one vessel, in order of time, each once, those that contradict each other left out."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from operator import attrgetter

import numpy as np

from lullwort.cellarbook.comparable import QUANTITIES
from lullwort.cellarbook.database import Database
from lullwort.cellarbook.newest import Newest, newest_of
from lullwort.cellarbook.reports import Contradiction, contradictions_in, distinct_reports
from lullwort.cellarbook.streams import SensorRecord, sensor_record
from lullwort.records import Block, Reading, SetAside, VesselReadings

__all__ = ["Readings"]

_STREAMS_IN_USE = "stream s JOIN import_in_use i ON i.key = s.import"


class Readings:
    """What the sensors reported, out of all imports in use."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def vessels(self) -> list[str]:
        """Ids of vessels with readings in use, sorted."""
        return [v for (v,) in self._db.rows(f"SELECT DISTINCT s.vessel FROM {_STREAMS_IN_USE} ORDER BY s.vessel")]

    def sensors(self, vessel: str) -> dict[str, int]:
        """Ids of the sensors with readings in use in a vessel, sorted, and when each has its newest there [µs]."""
        return dict(
            self._db.rows(
                f"SELECT s.sensor, max(s.last_us) FROM {_STREAMS_IN_USE} WHERE s.vessel = ? GROUP BY s.sensor "
                "ORDER BY s.sensor",
                (vessel,),
            )
        )

    def heard(self) -> list[tuple[str, str, int, int]]:
        """(sensor, vessel, from, to) [µs] of every run of readings in use, by sensor and time."""
        return self._db.rows(
            f"SELECT DISTINCT s.sensor, s.vessel, s.first_us, s.last_us FROM {_STREAMS_IN_USE} "
            "ORDER BY s.sensor, s.first_us, s.last_us, s.vessel"
        )

    def newest(self, sensor: str, count: int) -> list[Newest]:
        """The newest readings of a sensor, at most `count`, in order of time, contradicted ones left out."""
        return newest_of(self._db, sensor, count)

    def of(self, vessel: str, from_us: int, to_us: int) -> Iterator[Reading]:
        """Readings of `vessel` with from_us ≤ at_us < to_us [µs], by (time, sensor), in SG, °C and degrees."""
        streams = [_readings(record, vessel) for record in self._records(vessel, from_us, to_us)]
        return heapq.merge(*streams, key=attrgetter("at_us", "sensor"))

    def together(self, vessel: str, from_us: int, to_us: int) -> VesselReadings:
        """The same as columns, without an object each; sensors in the order in which they are first heard."""
        parts = [_columns(record, vessel) for record in self._records(vessel, from_us, to_us)]
        heard = sorted((part for part in parts if len(part)), key=lambda part: (part.at_us[0], part.sensors))
        joined = VesselReadings.joined(heard)
        return joined[np.lexsort((np.array(joined.sensors)[joined.sensor_codes], joined.at_us))]

    def conflicts(self, vessel: str, from_us: int, to_us: int) -> int:
        """Instants in that time at which a sensor is on record with different values, one of them in this vessel."""
        return sum(
            int(np.count_nonzero(record.agreement.contradicted & record.agreement.with_any(record.in_vessel(vessel))))
            for record in self._records(vessel, from_us, to_us)
        )

    def contradictions(self, vessel: str, from_us: int, to_us: int) -> Iterator[Contradiction]:
        """Those instants one by one with all that is said of them, by (time, sensor)."""
        found = [contradictions_in(record, vessel) for record in self._records(vessel, from_us, to_us)]
        return heapq.merge(*found, key=attrgetter("at_us", "sensor"))

    def reports(self, vessel: str | None, from_us: int, to_us: int) -> Iterator[Block]:
        """Everything reported that is in use with from_us ≤ at_us < to_us [µs], in order of sensor and time.

        Reports that agree are one; of those that contradict each other each is given, so that a book into which it is
        imported comes to the same readings and the same contradictions.

        Args:    vessel: id; None: all of them.
        Returns: Blocks in SG, °C, degrees and dBm, of one sensor and one unit of battery each.
        """
        for record in self._records(vessel, from_us, to_us):
            yield from distinct_reports(record, vessel)

    def set_aside_count(self, vessel: str) -> int:
        """Rows set aside in imports in use: of this vessel, or of no known one but beside readings of this vessel."""
        ((count,),) = self._db.rows(
            "SELECT (SELECT count(*) FROM set_aside WHERE vessel = ? AND import IN (SELECT key FROM import_in_use)) + "
            "(SELECT count(*) FROM set_aside WHERE vessel = '' AND import IN "
            f"(SELECT s.import FROM {_STREAMS_IN_USE} WHERE s.vessel = ?))",
            (vessel, vessel),
        )
        return int(count)

    def set_aside(self, vessel: str, limit: int) -> list[SetAside]:
        """Those rows, at most `limit` of them."""
        in_use = "import IN (SELECT key FROM import_in_use)"
        rows = self._db.rows(
            'SELECT place, line, "column", seen, expected, raw_text, vessel FROM set_aside WHERE '
            f"(vessel = ? AND {in_use}) OR (vessel = '' AND import IN "
            f"(SELECT s.import FROM {_STREAMS_IN_USE} WHERE s.vessel = ?)) ORDER BY place, line, key LIMIT ?",
            (vessel, vessel, limit),
        )
        return [SetAside(*row) for row in rows]

    def _records(self, vessel: str | None, from_us: int, to_us: int) -> Iterator[SensorRecord]:
        for (sensor,) in self._db.rows(
            f"SELECT DISTINCT s.sensor FROM {_STREAMS_IN_USE} "
            "WHERE (? IS NULL OR s.vessel = ?) AND s.last_us >= ? AND s.first_us < ? ORDER BY s.sensor",
            (vessel, vessel, from_us, to_us),
        ):
            record = sensor_record(self._db, sensor, from_us, to_us)
            if record is not None:
                yield record


def _readings(record: SensorRecord, vessel: str) -> Iterator[Reading]:
    columns = _columns(record, vessel)
    given = (columns.gravity, columns.temperature_c, columns.inclination)
    gravity, temp_c, inclination = (
        [None] * len(columns)
        if column is None
        else [None if value != value else value for value in column.tolist()]  # NaN: not given
        for column in given
    )
    for at_us, g, t, i in zip(columns.at_us.tolist(), gravity, temp_c, inclination, strict=True):
        yield Reading(record.sensor, vessel, at_us, g, t, i)


def _columns(record: SensorRecord, vessel: str) -> VesselReadings:
    agreement = record.agreement
    used = ~agreement.contradicted & agreement.with_any(record.in_vessel(vessel))
    values = agreement.together()[:, used]
    gravity, temp_c, inclination = (values[QUANTITIES.index(q)] for q in ("gravity", "temperature", "inclination"))
    at_us = agreement.at_us()[used]
    return VesselReadings(
        (record.sensor,),
        np.zeros(len(at_us), dtype=np.int32),
        at_us,
        gravity,
        temp_c,
        None if np.isnan(inclination).all() else inclination,
    )
