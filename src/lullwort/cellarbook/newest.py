"""The newest readings of a sensor: how it does, found without reading all that it ever sent."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import median_low
from typing import NamedTuple

from lullwort.cellarbook.comparable import QUANTITIES
from lullwort.cellarbook.database import Database
from lullwort.cellarbook.streams import SensorRecord, sensor_record
from lullwort.records import HOUR_US

__all__ = ["Newest", "newest_of", "usual_interval_us"]


class Newest(NamedTuple):
    """A reading with all that tells how its sensor does; None where it was not given.

    Attributes:
        vessel: id of the vessel it floated in.
        at_us:  [µs]
        gravity: [SG] temperature_c: [°C] battery_v: [V] battery_percent: [%] signal: [dBm]
    """

    vessel: str
    at_us: int
    gravity: float | None
    temperature_c: float | None
    battery_v: float | None
    battery_percent: float | None
    signal: float | None


def newest_of(db: Database, sensor: str, count: int) -> list[Newest]:
    """Its newest `count` readings in use that are not contradicted, or as many as there are, in order of time."""
    ((first_us, last_us),) = db.rows(
        "SELECT min(s.first_us), max(s.last_us) FROM stream s JOIN import_in_use i ON i.key = s.import "
        "WHERE s.sensor = ?",
        (sensor,),
    )
    if last_us is None:
        return []
    back_us = HOUR_US
    while True:
        record = sensor_record(db, sensor, last_us - back_us, last_us + 1)
        found = [] if record is None else _readings(record)
        if len(found) >= count or last_us - back_us <= first_us:
            return found[-count:] if count else []
        back_us *= 4


def usual_interval_us(at_us: Sequence[int]) -> int | None:
    """[µs] from one reading to the next, as half of the steps or more do not exceed; None for fewer than two steps.

    Args:    at_us: [µs] in order of time.

    >>> usual_interval_us([0, 10, 20, 500, 510]), usual_interval_us([0, 10])
    (10, None)
    """
    steps = [later - earlier for earlier, later in pairwise(at_us)]
    return median_low(steps) if len(steps) > 1 else None


def _readings(record: SensorRecord) -> list[Newest]:
    agreement = record.agreement
    used = ~agreement.contradicted
    values = agreement.together()[:, used]
    columns = [
        [None if value != value else value for value in values[QUANTITIES.index(quantity)].tolist()]  # NaN: not given
        for quantity in ("gravity", "temperature", "battery V", "battery %", "signal")
    ]
    vessels = [record.vessels[code] for code in agreement.vessel()[used].tolist()]
    return [Newest(*row) for row in zip(vessels, agreement.at_us()[used].tolist(), *columns, strict=True)]
