"""Readings as one SenML pack (RFC 8428): registered units only, times exact to the microsecond."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from lullwort.counting import counted
from lullwort.exporting.columns import Written, some_rows, taken
from lullwort.exporting.wholefile import whole_file
from lullwort.records import Block
from lullwort.units import FloatArray

__all__ = ["EARLIEST_US", "write_senml"]

EARLIEST_US = 2**28 * 1_000_000
"""[µs] 4 July 1978: a smaller time is one relative to now (RFC 8428, section 4.5.3) and cannot be written."""


def write_senml(path: Path, blocks: Iterable[Block], *, overwrite: bool = False) -> Written:
    """Write readings, the records of each next to each other, under the base name `SENSOR:`.

    `gravity` is SG in `/`, `temperature` in `Cel`, `inclination` in `rad`, `battery` in `V` or `%EL`, `signal` in
    `dBW`.
    A record of our own, `vessel` with the vessel's id as a string, comes first where the vessel is not called like
    the sensor, and wherever a sensor has several reports of one instant, so that each of those begins with one.

    Args:    blocks: in common units, of one sensor each; battery in either unit.
    Raises:  RefusedError, UsageError or SourceError as `whole_file` does.
    """
    pack = _Pack()
    with whole_file(path, overwrite=overwrite) as part, part.open("x", encoding="utf-8", newline="") as file:
        between = "["
        for record in pack.records(blocks):
            file.write(f"{between}\n{record}")
            between = ","
        file.write("[]\n" if between == "[" else "\n]\n")
    says = counted(pack.readings, "reading")
    if not pack.left_out:
        return Written(says, ())
    before = "from before 4 July 1978"
    left_out = counted(pack.left_out, f"reading {before} is", f"readings {before} are")
    return Written(
        says,
        (f"{left_out} left out: SenML has no way to write such times",),
    )


class _Pack:
    def __init__(self) -> None:
        self.readings = self.left_out = 0
        self._sensor = ""

    def records(self, blocks: Iterable[Block]) -> Iterator[str]:
        for block, percent in _with_percent(blocks):
            late = block.at_us >= EARLIEST_US
            self.left_out += int(np.count_nonzero(~late))
            self.readings += int(np.count_nonzero(late))
            block, percent = taken(block, late), percent[late]
            same = np.diff(block.at_us) == 0
            repeated = np.append(False, same) | np.append(same, False)
            for rows in some_rows(block):
                yield from self._of(taken(block, rows), percent[rows], repeated[rows])

    def _of(self, block: Block, percent: FloatArray, repeated: NDArray[np.bool_]) -> Iterator[str]:
        (sensor,) = block.sensors
        start = "{" if sensor == self._sensor else f'{{"bn":"{sensor}:",'
        self._sensor = sensor
        volts = block.battery if block.units.battery == "V" else np.full_like(percent, np.nan)
        for at_us, code, again, *values in zip(
            block.at_us.tolist(), block.vessel_codes.tolist(), repeated.tolist(), block.gravity.tolist(),
            block.temperature.tolist(), block.inclination.tolist(), volts.tolist(), percent.tolist(),
            block.signal.tolist(), strict=True,
        ):  # fmt: skip
            end = f'"t":{_seconds(at_us)}}}'
            if again or block.vessels[code] != sensor:
                yield f'{start}"n":"vessel","vs":"{block.vessels[code]}",{end}'
                start = "{"
            for (name, unit), value in zip(_QUANTITIES, values, strict=True):
                if value == value:  # NaN: not given
                    yield f'{start}"n":"{name}","u":"{unit}","v":{_number(unit, value)},{end}'
                    start = "{"


_QUANTITIES = (
    ("gravity", "/"), ("temperature", "Cel"), ("inclination", "rad"), ("battery", "V"), ("battery", "%EL"),
    ("signal", "dBW"),
)  # fmt: skip


def _number(unit: str, value: float) -> str:
    if unit == "rad":  # degrees are registered, but not recommended to produce
        return repr(math.radians(value))
    # One watt is 30 dBm. Decimals, for -71.3 dBm is -101.3 dBW and nothing near it.
    return f"{Decimal(repr(value)) - 30:f}" if unit == "dBW" else repr(value)


def _seconds(at_us: int) -> str:
    whole, fraction = divmod(at_us, 1_000_000)
    return f"{whole}.{fraction:06d}".rstrip("0") if fraction else str(whole)


def _with_percent(blocks: Iterable[Block]) -> Iterator[tuple[Block, FloatArray]]:
    """Each block with batteries in per cent of its readings.

    What was reported in both units comes as two blocks, the second with nothing but per cent, and is one reading here.
    """
    held: Block | None = None
    for block in blocks:
        if held is not None:
            percent = np.full(len(held), np.nan)
            if held.sensors == block.sensors and held.units.battery == "V" and block.units.battery == "%":
                block = taken(block, ~_moved(held, block, percent))
            yield held, percent
            held = None
        if block.units.battery == "%":
            yield block, block.battery
        else:
            held = block
    if held is not None:
        yield held, np.full(len(held), np.nan)


def _moved(held: Block, block: Block, percent: FloatArray) -> NDArray[np.bool_]:
    """Which rows of `block` have only a battery and belong to one of `held`; fills `percent` from them."""
    first = np.searchsorted(held.at_us, block.at_us)
    only_one = np.searchsorted(held.at_us, block.at_us, side="right") - first == 1
    bare = np.isnan(block.gravity) & np.isnan(block.temperature)
    moved: NDArray[np.bool_] = only_one & bare
    places = first[moved]
    vessels = np.array(block.vessels)[block.vessel_codes[moved]]
    moved[moved] = vessels == np.array(held.vessels)[held.vessel_codes[places]]
    percent[first[moved]] = block.battery[moved]
    return moved
