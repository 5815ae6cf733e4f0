"""Gathers readings, singly or many at once, into one Block."""

from __future__ import annotations

from array import array
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lullwort.records import VALUE_COLUMNS, Block

__all__ = ["BlockBuilder"]


class BlockBuilder:
    """Takes readings in the order of their source; `build` gives the Block of all."""

    def __init__(self) -> None:
        self._ids: dict[str, dict[str, int]] = {"sensor": {}, "vessel": {}}
        self._parts: list[Block] = []
        self._start_rows()

    def _start_rows(self) -> None:
        self._sensor, self._vessel = array("i"), array("i")
        self._at_us, self._line = array("q"), array("q")
        self._values = [array("d") for _ in VALUE_COLUMNS]

    def add(self, sensor: str, vessel: str, at_us: int, values: Sequence[float], line: int) -> None:
        """One reading; `values` in the order of VALUE_COLUMNS."""
        self._sensor.append(self._code("sensor", sensor))
        self._vessel.append(self._code("vessel", vessel))
        self._at_us.append(at_us)
        for column, value in zip(self._values, values, strict=True):
            column.append(value)
        self._line.append(line)

    def extend(self, block: Block) -> None:
        """All readings of `block`."""
        self._close_rows()
        self._parts.append(
            Block(
                (),
                (),
                self._recoded("sensor", block.sensors, block.sensor_codes),
                self._recoded("vessel", block.vessels, block.vessel_codes),
                block.at_us,
                *(getattr(block, name) for name in VALUE_COLUMNS),
                block.line,
            )
        )

    def build(self) -> Block:
        """The Block of what was taken."""
        self._close_rows()
        sensors, vessels = tuple(self._ids["sensor"]), tuple(self._ids["vessel"])
        columns = ("sensor_codes", "vessel_codes", "at_us", *VALUE_COLUMNS, "line")
        return Block(sensors, vessels, *(np.concatenate([getattr(p, c) for p in self._parts]) for c in columns))

    def _code(self, kind: str, name: str) -> int:
        ids = self._ids[kind]
        return ids.setdefault(name, len(ids))

    def _recoded(self, kind: str, names: Sequence[str], codes: NDArray[np.int32]) -> NDArray[np.int32]:
        mapping = np.array([self._code(kind, name) for name in names], dtype=np.int32)
        return mapping[codes]

    def _close_rows(self) -> None:
        if len(self._at_us) or not self._parts:
            self._parts.append(
                Block(
                    (),
                    (),
                    np.array(self._sensor, dtype=np.int32),
                    np.array(self._vessel, dtype=np.int32),
                    np.array(self._at_us, dtype=np.int64),
                    *(np.array(column, dtype=np.float64) for column in self._values),
                    np.array(self._line, dtype=np.int64),
                )
            )
            self._start_rows()
