"""Readings found again: of one vessel, in order of time, each once, those that contradict each other left out."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from operator import attrgetter

import numpy as np

from lullwort.analysis import gravities_sg
from lullwort.cellarbook.database import Database
from lullwort.cellarbook.keys import key64
from lullwort.records import Reading
from lullwort.units import to_celsius

__all__ = ["Readings"]

_IN_USE = "import IN (SELECT key FROM import WHERE withdrawn_us IS NULL)"


class Readings:
    """What the sensors reported, out of all imports in use."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def vessels(self) -> list[str]:
        """Ids of vessels with readings in use, sorted."""
        return [
            text
            for (text,) in self._db.rows(
                f"SELECT DISTINCT n.text FROM import_span s JOIN name n ON n.key = s.vessel WHERE s.{_IN_USE} "
                "ORDER BY n.text"
            )
        ]

    def of(self, vessel: str, from_us: int, to_us: int) -> Iterator[Reading]:
        """Readings of `vessel` with from_us ≤ at_us < to_us [µs], by (time, sensor), in SG and °C."""
        streams = [
            self._of_sensor(key, sensor, vessel, from_us, to_us)
            for key, sensor in self._sensors(vessel, from_us, to_us)
        ]
        return heapq.merge(*streams, key=attrgetter("at_us", "sensor"))

    def conflicts(self, vessel: str, from_us: int, to_us: int) -> int:
        """Instants in that time at which a sensor is on record with different values, one of them in this vessel."""
        return sum(
            self._db.rows(
                "SELECT count(*) FROM (SELECT 1 FROM reading WHERE sensor = ? AND at_us >= ? AND at_us < ? "
                f"AND {_IN_USE} GROUP BY at_us HAVING min(digest) <> max(digest) AND max(vessel = ?))",
                (key, from_us, to_us, key64(vessel)),
            )[0][0]
            for key, _ in self._sensors(vessel, from_us, to_us)
        )

    def set_aside_count(self, vessel: str) -> int:
        """Rows set aside in the imports in use that hold readings of this vessel."""
        ((count,),) = self._db.rows(
            "SELECT count(*) FROM set_aside WHERE import IN (SELECT s.import FROM import_span s "
            f"WHERE s.vessel = ? AND s.{_IN_USE})",
            (key64(vessel),),
        )
        return int(count)

    def _sensors(self, vessel: str, from_us: int, to_us: int) -> list[tuple[int, str]]:
        return self._db.rows(
            "SELECT DISTINCT s.sensor, n.text FROM import_span s JOIN name n ON n.key = s.sensor "
            f"WHERE s.vessel = ? AND s.last_us >= ? AND s.first_us < ? AND s.{_IN_USE} ORDER BY n.text",
            (key64(vessel), from_us, to_us),
        )

    def _of_sensor(self, key: int, sensor: str, vessel: str, from_us: int, to_us: int) -> Iterator[Reading]:
        vessel_key = key64(vessel)
        # One row an instant: where digests differ the instant is a contradiction, and is left out. Units come with
        # the row: another import may land at any moment, and two queries would not see the same book.
        query = (
            "SELECT r.at_us, min(r.digest), max(r.digest), r.vessel, r.gravity, r.temperature, i.gravity_unit, "
            "i.temperature_unit FROM reading r CROSS JOIN import i ON i.key = r.import "
            "WHERE r.sensor = ? AND r.at_us >= ? AND r.at_us < ? AND i.withdrawn_us IS NULL "
            "GROUP BY r.at_us ORDER BY r.at_us"
        )
        for rows in self._db.stream(query, (key, from_us, to_us)):
            kept = [row for row in rows if row[1] == row[2] and row[3] == vessel_key]
            gravity = np.array([np.nan if row[4] is None else row[4] for row in kept])
            temp_c = np.array([np.nan if row[5] is None else row[5] for row in kept])
            for units in {row[6:] for row in kept}:
                here = np.array([row[6:] == units for row in kept])
                gravity[here] = gravities_sg(gravity[here], units[0])
                temp_c[here] = to_celsius(temp_c[here], units[1])
            for row, g, t in zip(kept, gravity.tolist(), temp_c.tolist(), strict=True):
                yield Reading(sensor, vessel, row[0], None if g != g else g, None if t != t else t)
