"""Values of a SenML pack put together to readings: one for each sensor and time, more where values contradict."""

from __future__ import annotations

import math

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.senmlquantities import Measured
from lullwort.collector.senmlresolve import RefusedRecordError
from lullwort.records import COMMON_UNITS, VALUE_COLUMNS, Block, ReportedUnits

__all__ = ["Gathered"]

_Values = dict[str, tuple[float, str]]
"""For each quantity its value and unit: what one reading reports."""


class Gathered:
    """Takes the records of one pack; `finish` gives its readings and the records that are in none."""

    def __init__(self) -> None:
        self._readings: dict[tuple[str, int], list[_Values]] = {}
        self._densities: dict[tuple[str, int], list[int]] = {}
        self._vessels: dict[str, dict[str, list[int]]] = {}
        self._records: dict[str, list[int]] = {}
        self._refused: dict[int, tuple[RefusedRecordError, str]] = {}

    def add(self, record: int, sensor: str, at_us: int, value: Measured) -> None:
        """What the record says of one sensor and time [µs since the epoch]."""
        key = (sensor, at_us)
        readings = self._readings.setdefault(key, [])
        reported = (value.value, value.unit)
        for reading in readings:
            if reading.setdefault(value.quantity, reported) == reported:
                break
        else:
            readings.append({value.quantity: reported})
        if value.quantity == "density":
            self._densities.setdefault(key, []).append(record)
        self._records.setdefault(sensor, []).append(record)

    def add_vessel(self, record: int, sensor: str, vessel: str) -> None:
        """The record says that the sensor floats in that vessel."""
        self._vessels.setdefault(sensor, {}).setdefault(vessel, []).append(record)

    def refuse(self, record: int, fault: RefusedRecordError, sensor: str) -> None:
        """The record is in no reading; `sensor` is empty where it is not known."""
        self._refused[record] = (fault, sensor)

    def finish(
        self, vessel: str | None
    ) -> tuple[list[Block], dict[int, tuple[RefusedRecordError, str]], dict[str, str]]:
        """Readings, a block for each set of units and at least one; records that are in none, with their sensors;
        and in which vessels sensors float of which the pack says it, the others being in `vessel`, or if that is None
        in one called as they are."""
        self._refuse_doubled_densities()
        vessels = self._settled_vessels()
        builders: dict[ReportedUnits, BlockBuilder] = {}
        for (sensor, at_us), readings in self._readings.items():
            for reading in readings:
                units = _units(reading)
                builder = builders.setdefault(units, BlockBuilder(units))
                if "density" in reading:
                    reading["gravity"] = reading["density"]
                values = [reading[column][0] if column in reading else math.nan for column in VALUE_COLUMNS]
                builder.add(sensor, vessels.get(sensor, vessel or sensor), at_us, values, 0)
        blocks = [builder.build() for builder in builders.values()] or [BlockBuilder(COMMON_UNITS).build()]
        return blocks, self._refused, vessels

    def _refuse_doubled_densities(self) -> None:
        for key, records in self._densities.items():
            readings = self._readings[key]
            if not any("gravity" in reading for reading in readings):
                continue
            self._readings[key] = [
                rest for reading in readings if (rest := {q: v for q, v in reading.items() if q != "density"})
            ]
            fault = RefusedRecordError("n", f"{key[0]}:density", "gravity or density of one sensor and time, not both")
            for record in records:
                self.refuse(record, fault, key[0])

    def _settled_vessels(self) -> dict[str, str]:
        """The vessel of each sensor for which the pack names one; sensors for which it names two have no readings."""
        settled = {}
        for sensor, named in self._vessels.items():
            if len(named) > 1:
                fault = RefusedRecordError("vs", " and ".join(named), f"one vessel for {sensor} in a pack")
                for record in [*self._records.get(sensor, ()), *(one for records in named.values() for one in records)]:
                    self.refuse(record, fault, sensor)
                self._readings = {key: values for key, values in self._readings.items() if key[0] != sensor}
                continue
            (vessel,) = named
            settled[sensor] = vessel
            if sensor not in self._records:
                fault = RefusedRecordError("n", f"{sensor}:vessel", "a value of this sensor in the same pack")
                for record in named[vessel]:
                    self.refuse(record, fault, sensor)
        return settled


def _units(reading: _Values) -> ReportedUnits:
    common = COMMON_UNITS
    return ReportedUnits(
        "kg_m3" if "density" in reading else common.gravity,
        "K" if reading.get("temperature", (0.0, ""))[1] == "K" else common.temperature,
        "%" if reading.get("battery", (0.0, ""))[1] == "%" else common.battery,
    )
