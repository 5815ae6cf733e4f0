"""What a source hands on: readings as reported, column by column, and the rows it could not take."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

__all__ = ["VALUE_COLUMNS", "Block", "SetAside"]

VALUE_COLUMNS = ("gravity", "temperature", "inclination", "battery", "signal")
"""What a sensor may report at one instant, in the order in which it is kept."""


@dataclass(frozen=True, eq=False)
class Block:
    """A run of readings as one source reported them, in its units and its order; columns of one length.

    Attributes:
        sensors, vessels: the ids that occur, each once.
        sensor_codes, vessel_codes: for each reading its place in those.
        at_us:   [µs since 1970-01-01 UTC].
        gravity, temperature, inclination, battery, signal: NaN where not given.
        line:    line of the file on which the reading begins, the first being 1; 0 where there is no file.
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

    def __len__(self) -> int:
        return len(self.at_us)


class SetAside(msgspec.Struct, frozen=True):
    """A row that is not a reading, kept for a person to look at.

    Attributes:
        place:    file or other source.
        line:     on which the row begins, the first being 1.
        column:   the file's own name of the column at fault, "row" where it is the row as a whole.
        seen, expected: what stood there, and what should have.
        raw_text: the row itself, shortened if it is very long.
    """

    place: str
    line: int
    column: str
    seen: str
    expected: str
    raw_text: str

    def __str__(self) -> str:
        return f"{self.place}:{self.line}: {self.column} is {self.seen!r}, expected {self.expected}"
