"""What a source hands on: readings as reported, column by column, and the rows it could not take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from lullwort.units import BatteryUnit, GravityUnit, TemperatureUnit

__all__ = ["COMMON_UNITS", "VALUE_COLUMNS", "Block", "ReportedUnits", "SetAside"]

VALUE_COLUMNS = ("gravity", "temperature", "inclination", "battery", "signal")
"""What a sensor may report at one instant, in the order in which it is kept."""


class ReportedUnits(NamedTuple):
    """Units of what a source reports; inclination is in degrees and signal in dBm always."""

    gravity: GravityUnit = "sg"
    temperature: TemperatureUnit = "C"
    battery: BatteryUnit = "V"


COMMON_UNITS = ReportedUnits()
"""SG, °C and volts: what a readings file has where nothing else is stated."""


@dataclass(frozen=True, eq=False)
class Block:
    """A run of readings as one source reported them, in its units and its order; columns of one length.

    Attributes:
        sensors, vessels: the ids that occur, each once.
        sensor_codes, vessel_codes: for each reading its place in those.
        at_us:   [µs since 1970-01-01 UTC].
        gravity, temperature, inclination, battery, signal: NaN where not given.
        line:    line of the file on which the reading begins, the first being 1; 0 where there is no such thing.
        units:   of all values in it.
    """

    sensors: tuple[str, ...]
    vessels: tuple[str, ...]
    sensor_codes: NDArray[np.int32]
    vessel_codes: NDArray[np.int32]
    at_us: NDArray[np.int64]
    gravity: NDArray[np.float64]
    temperature: NDArray[np.float64]
    inclination: NDArray[np.float64]
    battery: NDArray[np.float64]
    signal: NDArray[np.float64]
    line: NDArray[np.int64]
    units: ReportedUnits = COMMON_UNITS

    def __len__(self) -> int:
        return len(self.at_us)


class SetAside(msgspec.Struct, frozen=True):
    """A row that is not a reading, kept for a person to look at.

    Attributes:
        place:    file or other source; where it has no lines, with the part of it that is meant.
        line:     on which the row begins, the first being 1; 0 where there are no lines.
        column:   the source's own name of the column at fault, "row" where it is the row as a whole.
        seen, expected: what stood there, and what should have.
        raw_text: the row itself, shortened if it is very long.
        vessel:   id, where the row says so much; empty where it does not.
    """

    place: str
    line: int
    column: str
    seen: str
    expected: str
    raw_text: str
    vessel: str = ""

    def __str__(self) -> str:
        at = f"{self.place}:{self.line}" if self.line else self.place
        return f"{at}: {self.column} is {self.seen!r}, expected {self.expected}"
