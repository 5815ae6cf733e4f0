"""Readings as the columns of a table, for formats that have one column of battery and need a value in every row."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.counting import counted
from lullwort.records import VALUE_COLUMNS, Block
from lullwort.units import BatteryUnit

__all__ = ["Tabled", "Written", "battery_unit", "column_names", "some_rows", "taken"]

_PART_ROWS = 1 << 16
"""So that the texts of a long run never lie in memory all at once."""


class Written(NamedTuple):
    """What has been written, such as `872 readings`, and sentences about what could not be."""

    says: str
    remarks: tuple[str, ...]


def column_names(battery: BatteryUnit) -> dict[str, str]:
    """What each column is called, with its unit, by what it is; in the order of the table.

    The units make sure that a file is never doubted when it is read, however odd its values are.
    """
    return {
        "time": "time",
        "vessel": "vessel",
        "gravity": "gravity [SG]",
        "temperature": "temperature [deg C]",
        "sensor": "sensor",
        "battery": f"battery [{battery}]",
        "signal": "signal [dBm]",
        "inclination": "inclination [deg]",
    }


def battery_unit(blocks: Iterable[Block]) -> BatteryUnit:
    """The unit of a table's column of battery: per cent where all batteries that were reported are, else volts."""
    unit: BatteryUnit = "V"
    for block in blocks:
        if not np.isnan(block.battery).all():
            if block.units.battery == "V":
                return "V"
            unit = "%"
    return unit


@dataclass
class Tabled:
    """Blocks made fit for a table whose column of battery is in `battery`; counts as it goes.

    Attributes:
        readings: rows of the table so far.
        left_out: batteries in the other unit so far, which the table cannot hold.
        bare:     reports so far without gravity and temperature, which are no row of a readings file.
    """

    battery: BatteryUnit
    readings: int = 0
    left_out: int = 0
    bare: int = 0

    def parts(self, blocks: Iterable[Block]) -> Iterator[Block]:
        """The rows with a gravity or a temperature, which every reading has, some ten thousand at a time."""
        for block in blocks:
            if block.units.battery != self.battery:
                self.left_out += int(np.count_nonzero(~np.isnan(block.battery)))
                block = replace(block, battery=np.full_like(block.battery, np.nan))
            rows = ~(np.isnan(block.gravity) & np.isnan(block.temperature))
            self.bare += len(block) - int(np.count_nonzero(rows))
            block = taken(block, rows)
            self.readings += len(block)
            yield from (taken(block, rows) for rows in some_rows(block))

    def written(self) -> Written:
        """What has come of it."""
        remarks = []
        if self.left_out:
            names = {"V": "volts", "%": "per cent"}
            other = names["%" if self.battery == "V" else "V"]
            remarks.append(
                f"{self.left_out} batteries in {other} are left out beside those in {names[self.battery]}; "
                "a .senml file has both"
            )
        if self.bare:
            remarks.append(f"{self.bare} reports without gravity and temperature are left out; a .senml file has them")
        return Written(counted(self.readings, "reading"), tuple(remarks))


def some_rows(block: Block) -> Iterator[slice]:
    """All rows of `block`, some ten thousand at a time."""
    for start in range(0, len(block), _PART_ROWS):
        yield slice(start, start + _PART_ROWS)


def taken(block: Block, rows: NDArray[np.bool_] | slice) -> Block:
    """Those rows of `block`."""
    columns = ("sensor_codes", "vessel_codes", "at_us", *VALUE_COLUMNS, "line")
    return replace(block, **{name: getattr(block, name)[rows] for name in columns})
