"""Gathers readings, singly or many at once, into one Block."""

from __future__ import annotations

from array import array
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lullwort.records import VALUE_COLUMNS, Block, ReportedUnits
from lullwort.units import FloatArray

__all__ = ["BlockBuilder"]


class BlockBuilder:
    """Takes readings in the order of their source, all in the same units; `build` gives the Block of all."""

    def __init__(self, units: ReportedUnits) -> None:
        self._units = units
        self._sensors: dict[str, int] = {}
        self._vessels: dict[str, int] = {}
        self._parts: list[Block] = []
        self._start_rows()

    def _start_rows(self) -> None:
        # Row after row, each with what belongs together side by side: three appendings instead of nine.
        self._codes, self._places, self._values = array("i"), array("q"), array("d")

    def add(self, sensor: str, vessel: str, at_us: int, values: Sequence[float], line: int) -> None:
        """One reading; `values` in the order of VALUE_COLUMNS."""
        self._codes.extend((_code(self._sensors, sensor), _code(self._vessels, vessel)))
        self._places.extend((at_us, line))
        self._values.extend(values)

    def extend(self, block: Block) -> None:
        """All readings of `block`."""
        self._close_rows()
        sensor_of = np.array([_code(self._sensors, name) for name in block.sensors], dtype=np.int32)
        vessel_of = np.array([_code(self._vessels, name) for name in block.vessels], dtype=np.int32)
        self._append(
            sensor_of[block.sensor_codes],
            vessel_of[block.vessel_codes],
            block.at_us,
            {name: getattr(block, name) for name in VALUE_COLUMNS},
            block.line,
        )

    def build(self) -> Block:
        """The Block of what was taken."""
        self._close_rows()
        parts = self._parts
        return Block(
            tuple(self._sensors),
            tuple(self._vessels),
            np.concatenate([part.sensor_codes for part in parts]),
            np.concatenate([part.vessel_codes for part in parts]),
            np.concatenate([part.at_us for part in parts]),
            **{name: np.concatenate([getattr(part, name) for part in parts]) for name in VALUE_COLUMNS},
            line=np.concatenate([part.line for part in parts]),
            units=self._units,
        )

    def _close_rows(self) -> None:
        if self._places or not self._parts:
            codes = np.array(self._codes, dtype=np.int32).reshape(-1, 2).T
            places = np.array(self._places, dtype=np.int64).reshape(-1, 2).T
            values = np.array(self._values, dtype=np.float64).reshape(-1, len(VALUE_COLUMNS)).T
            self._append(codes[0], codes[1], places[0], dict(zip(VALUE_COLUMNS, values, strict=True)), places[1])
            self._start_rows()

    def _append(
        self,
        sensor_codes: NDArray[np.int32],
        vessel_codes: NDArray[np.int32],
        at_us: NDArray[np.int64],
        values: dict[str, FloatArray],
        line: NDArray[np.int64],
    ) -> None:
        self._parts.append(Block((), (), sensor_codes, vessel_codes, at_us, **values, line=line, units=self._units))


def _code(ids: dict[str, int], name: str) -> int:
    return ids.setdefault(name, len(ids))
