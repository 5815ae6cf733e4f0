"""Readings as a CSV file that a spreadsheet opens and that reads back to the very same numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np

from lullwort.exporting.columns import Tabled, Written, column_names
from lullwort.exporting.wholefile import whole_file
from lullwort.records import Block
from lullwort.units import BatteryUnit, FloatArray

__all__ = ["write_csv"]


def write_csv(path: Path, blocks: Iterable[Block], battery: BatteryUnit, *, overwrite: bool = False) -> Written:
    """Write readings: times in ISO 8601 UTC, numbers in the fewest digits that read back the same, nothing for NaN.

    Args:    blocks: in common units, but for battery.
             battery: unit of that column, as `battery_unit` finds it; batteries in the other are left out.
    Raises:  RefusedError, UsageError or SourceError as `whole_file` does.
    """
    table = Tabled(battery)
    with whole_file(path, overwrite=overwrite) as part, part.open("x", encoding="utf-8", newline="") as file:
        file.write(",".join(column_names(battery).values()) + "\n")
        for block in table.parts(blocks):
            file.writelines(_lines(block))
    return table.written()


def _lines(block: Block) -> Iterator[str]:
    for cells in zip(
        _times(block),
        (block.vessels[code] for code in block.vessel_codes.tolist()),
        _numbers(block.gravity),
        _numbers(block.temperature),
        (block.sensors[code] for code in block.sensor_codes.tolist()),
        _numbers(block.battery),
        _numbers(block.signal),
        _numbers(block.inclination),
        strict=True,
    ):
        yield ",".join(cells) + "\n"


def _times(block: Block) -> Iterator[str]:
    fractions = bool((block.at_us % 1_000_000).any())
    texts = np.datetime_as_string(block.at_us.astype("datetime64[us]"), unit="us" if fractions else "s")
    return (f"{text}Z" for text in texts.tolist())


def _numbers(values: FloatArray) -> Iterator[str]:
    return ("" if value != value else repr(value) for value in values.tolist())  # NaN: not given
