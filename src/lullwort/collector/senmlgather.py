"""Values of a SenML pack put together to readings: one for each sensor and time, more where values contradict."""

from __future__ import annotations

import math
from array import array
from itertools import zip_longest
from typing import NamedTuple

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.senmlquantities import Measured
from lullwort.collector.senmlresolve import RefusedRecordError
from lullwort.records import COMMON_UNITS, VALUE_COLUMNS, Block, ReportedUnits

__all__ = ["Gathered", "Readings"]

_Key = tuple[str, int]
_Reading = dict[str, Measured]
"""For each quantity what one reading reports of it."""


class Readings(NamedTuple):
    """What a pack comes to.

    Attributes:
        blocks:  a block for each set of units, and at least one.
        refused: records that are in no reading, why, and of which sensor; that is empty where it is not known.
        vessels: in which vessels those sensors float of which the pack says it.
    """

    blocks: list[Block]
    refused: dict[int, tuple[RefusedRecordError, str]]
    vessels: dict[str, str]


class Gathered:
    """Takes the records of one pack; `finish` gives its readings and the records that are in none."""

    def __init__(self) -> None:
        self._said: dict[_Key, list[Measured]] = {}
        self._densities: dict[_Key, list[int]] = {}
        self._vessels: dict[str, dict[str, list[int]]] = {}
        self._records: dict[str, array[int]] = {}
        self._refused: dict[int, tuple[RefusedRecordError, str]] = {}

    def add(self, record: int, sensor: str, at_us: int, value: Measured) -> None:
        """What the record says of one sensor and time [µs since the epoch]."""
        key = (sensor, at_us)
        self._said.setdefault(key, []).append(value)
        if value.quantity == "density":
            self._densities.setdefault(key, []).append(record)
        self._records.setdefault(sensor, array("q")).append(record)

    def add_vessel(self, record: int, sensor: str, vessel: str) -> None:
        """The record says that the sensor floats in that vessel."""
        self._vessels.setdefault(sensor, {}).setdefault(vessel, []).append(record)

    def refuse(self, record: int, fault: RefusedRecordError, sensor: str) -> None:
        """The record is in no reading; `sensor` is empty where it is not known."""
        self._refused[record] = (fault, sensor)

    def finish(self, vessel: str | None) -> Readings:
        """What it comes to; sensors of which the pack does not say it float in `vessel`, or if that is None in one
        called as they are."""
        vessels, moved = self._settled_vessels()
        builders: dict[ReportedUnits, BlockBuilder] = {}
        for (sensor, at_us), said in self._said.items():
            if sensor in moved:
                continue
            for reading in self._readings((sensor, at_us), said):
                units = _units(reading)
                builder = builders.setdefault(units, BlockBuilder(units))
                if "density" in reading:
                    reading["gravity"] = reading["density"]
                values = [reading[column].value if column in reading else math.nan for column in VALUE_COLUMNS]
                builder.add(sensor, vessels.get(sensor, vessel or sensor), at_us, values, 0)
        blocks = [builder.build() for builder in builders.values()] or [BlockBuilder(COMMON_UNITS).build()]
        return Readings(blocks, self._refused, vessels)

    def _readings(self, key: _Key, said: list[Measured]) -> list[_Reading]:
        """Of one sensor and time: one, or where a quantity has several values as many."""
        values: dict[str, list[Measured]] = {}
        for value in dict.fromkeys(said):
            values.setdefault(value.quantity, []).append(value)
        if "gravity" in values and values.pop("density", []):
            fault = RefusedRecordError("n", f"{key[0]}:density", "gravity or density of one sensor and time, not both")
            for record in self._densities[key]:
                self.refuse(record, fault, key[0])
        return [{value.quantity: value for value in together if value} for together in zip_longest(*values.values())]

    def _settled_vessels(self) -> tuple[dict[str, str], set[str]]:
        """The vessel of each sensor for which the pack names one; sensors for which it names two."""
        settled, moved = dict[str, str](), set[str]()
        for sensor, named in self._vessels.items():
            statements = [record for records in named.values() for record in records]
            if len(named) > 1:
                moved.add(sensor)
                fault = RefusedRecordError("vs", " and ".join(named), f"one vessel for {sensor} in a pack")
                self._refuse_all([*statements, *self._records.get(sensor, ())], fault, sensor)
                continue
            (settled[sensor],) = named
            if sensor not in self._records:
                fault = RefusedRecordError("n", f"{sensor}:vessel", "a value of this sensor in the same pack")
                self._refuse_all(statements, fault, sensor)
        return settled, moved

    def _refuse_all(self, records: list[int], fault: RefusedRecordError, sensor: str) -> None:
        for record in records:
            self.refuse(record, fault, sensor)


def _units(reading: _Reading) -> ReportedUnits:
    return ReportedUnits(
        "kg_m3" if "density" in reading else COMMON_UNITS.gravity,
        "K" if "temperature" in reading and reading["temperature"].unit == "K" else COMMON_UNITS.temperature,
        "%" if "battery" in reading and reading["battery"].unit == "%" else COMMON_UNITS.battery,
    )
