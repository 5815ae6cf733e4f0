"""Values of a SenML pack put together to readings: one for each sensor and time, more where values contradict."""

from __future__ import annotations

import math
from array import array
from bisect import bisect_right
from itertools import zip_longest
from typing import NamedTuple

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.senml.quantities import Measured
from lullwort.collector.senml.resolve import RefusedRecordError
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
        vessels: the vessel of each sensor of which the pack says it, where it says several the first in time.
    """

    blocks: list[Block]
    refused: dict[int, tuple[RefusedRecordError, str]]
    vessels: dict[str, str]


class _Report:
    """What is said of one sensor and time, by records that are counted in `records`, in `vessel` if that is said."""

    __slots__ = ("records", "values", "vessel")

    def __init__(self, vessel: str | None) -> None:
        self.vessel = vessel
        self.values: list[Measured] = []
        self.records = array("q")


class Gathered:
    """Takes the records of one pack; `finish` gives its readings and the records that are in none.

    A record that names the vessel begins a report of its sensor and time; it holds for what the sensor says from that
    time on, and the first in time for what it says before as well.
    """

    def __init__(self) -> None:
        self._reports: dict[_Key, list[_Report]] = {}
        self._statements: dict[str, dict[int, set[str]]] = {}
        self._naming: dict[str, array[int]] = {}
        self._refused: dict[int, tuple[RefusedRecordError, str]] = {}

    def add(self, record: int, sensor: str, at_us: int, value: Measured) -> None:
        """What the record says of one sensor and time [µs since the epoch]."""
        reports = self._reports.setdefault((sensor, at_us), [])
        if not reports:
            reports.append(_Report(None))
        reports[-1].values.append(value)
        reports[-1].records.append(record)

    def add_vessel(self, record: int, sensor: str, at_us: int, vessel: str) -> None:
        """The record says in which vessel the sensor floats from that time on."""
        self._reports.setdefault((sensor, at_us), []).append(_Report(vessel))
        self._statements.setdefault(sensor, {}).setdefault(at_us, set()).add(vessel)
        self._naming.setdefault(sensor, array("q")).append(record)

    def refuse(self, record: int, fault: RefusedRecordError, sensor: str) -> None:
        """The record is in no reading; `sensor` is empty where it is not known."""
        self._refused[record] = (fault, sensor)

    def finish(self, vessel: str | None) -> Readings:
        """What it comes to; sensors of which the pack does not say it float in `vessel`, or if that is None in one
        called as they are."""
        builders: dict[ReportedUnits, BlockBuilder] = {}
        read = set[str]()
        times = {sensor: sorted(said) for sensor, said in self._statements.items()}
        for (sensor, at_us), reports in self._reports.items():
            if any(value.quantity == "gravity" for report in reports for value in report.values):
                self._refuse_densities(sensor, reports)
            for report in reports:
                floats_in = report.vessel or self._vessel_at(sensor, at_us, times.get(sensor, []), vessel or sensor)
                if floats_in is None:
                    fault = RefusedRecordError("n", f"{sensor}:vessel", f"one vessel for {sensor} at one time")
                    self._refuse_all(report.records, fault, sensor)
                    continue
                for reading in _readings(report.values):
                    read.add(sensor)
                    units = _units(reading)
                    builder = builders.setdefault(units, BlockBuilder(units))
                    if "density" in reading:
                        reading["gravity"] = reading["density"]
                    values = [reading[column].value if column in reading else math.nan for column in VALUE_COLUMNS]
                    builder.add(sensor, floats_in, at_us, values, 0)
        for sensor in self._naming.keys() - read:
            fault = RefusedRecordError("n", f"{sensor}:vessel", "a reading of this sensor in the same pack")
            self._refuse_all(self._naming[sensor], fault, sensor)
        blocks = [builder.build() for builder in builders.values()] or [BlockBuilder(COMMON_UNITS).build()]
        first = {sensor: min(self._statements[sensor][said[0]]) for sensor, said in times.items()}
        return Readings(blocks, self._refused, first)

    def _vessel_at(self, sensor: str, at_us: int, times: list[int], otherwise: str) -> str | None:
        """Where the sensor floats by what is said at `times`; None where two vessels are."""
        if not times:
            return otherwise
        said = self._statements[sensor][times[max(0, bisect_right(times, at_us) - 1)]]
        return next(iter(said)) if len(said) == 1 else None

    def _refuse_densities(self, sensor: str, reports: list[_Report]) -> None:
        fault = RefusedRecordError("n", f"{sensor}:density", "gravity or density of one sensor and time, not both")
        for report in reports:
            said = list(zip(report.records, report.values, strict=True))
            self._refuse_all(array("q", [of for of, value in said if value.quantity == "density"]), fault, sensor)
            report.records = array("q", [of for of, value in said if value.quantity != "density"])
            report.values = [value for value in report.values if value.quantity != "density"]

    def _refuse_all(self, records: array[int], fault: RefusedRecordError, sensor: str) -> None:
        for record in records:
            self.refuse(record, fault, sensor)


def _readings(said: list[Measured]) -> list[_Reading]:
    """Of one report: one, or where a quantity has several values as many."""
    values: dict[str, list[Measured]] = {}
    for value in dict.fromkeys(said):
        values.setdefault(value.quantity, []).append(value)
    return [{value.quantity: value for value in together if value} for together in zip_longest(*values.values())]


def _units(reading: _Reading) -> ReportedUnits:
    return ReportedUnits(
        "kg_m3" if "density" in reading else COMMON_UNITS.gravity,
        "K" if "temperature" in reading and reading["temperature"].unit == "K" else COMMON_UNITS.temperature,
        "%" if "battery" in reading and reading["battery"].unit == "%" else COMMON_UNITS.battery,
    )
