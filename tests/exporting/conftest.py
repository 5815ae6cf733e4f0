"""Runs of readings as a book gives them, and what a file says when it is read as a log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lullwort.collector import Mapping, open_log
from lullwort.records import COMMON_UNITS, Block

_VALUES = ("gravity", "temperature", "inclination", "battery", "signal")


class Runs:
    """Helpers for tests of what is written."""

    @staticmethod
    def block(rows: Sequence[tuple[int, str, float, float, float, float, float]], sensor: str = "float-1") -> Block:
        """Rows of (at_us, vessel, gravity, temperature, inclination, battery, signal) of one sensor."""
        vessels = tuple(sorted({row[1] for row in rows}))
        values = [np.array(column, dtype=np.float64) for column in zip(*(row[2:] for row in rows), strict=True)]
        return Block(
            sensors=(sensor,),
            vessels=vessels,
            sensor_codes=np.zeros(len(rows), dtype=np.int32),
            vessel_codes=np.array([vessels.index(row[1]) for row in rows], dtype=np.int32),
            at_us=np.array([row[0] for row in rows], dtype=np.int64),
            gravity=values[0],
            temperature=values[1],
            inclination=values[2],
            battery=values[3],
            signal=values[4],
            line=np.zeros(len(rows), dtype=np.int64),
        )

    @staticmethod
    def in_percent(block: Block) -> Block:
        return replace(block, units=COMMON_UNITS._replace(battery="%"))

    @staticmethod
    def read(path: Path) -> list[tuple[str | float | int, ...]]:
        """(sensor, vessel, at_us, values as text, battery unit) of every row; none may be set aside."""
        rows: list[tuple[str | float | int, ...]] = []
        with open_log(path, Mapping()) as log:
            for block, set_aside in log.blocks():
                assert not set_aside
                rows += Runs.rows(block)
        return rows

    @staticmethod
    def rows(block: Block) -> list[tuple[str | float | int, ...]]:
        columns = [map(repr, getattr(block, name).tolist()) for name in _VALUES]  # repr: NaN equals itself
        sensors = [block.sensors[i] for i in block.sensor_codes]
        vessels = [block.vessels[i] for i in block.vessel_codes]
        units = [block.units.battery] * len(block)
        return list(zip(sensors, vessels, block.at_us.tolist(), *columns, units, strict=True))


@pytest.fixture(scope="session")
def runs() -> Runs:
    return Runs()
