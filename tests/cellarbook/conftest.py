"""Small invented logs as Blocks, and a look at every row of a book."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from pathlib import Path

import msgspec
import numpy as np
import pytest

from lullwort.cellarbook import Book, ImportCounts, Intake
from lullwort.records import HOUR_US, Block, Reading

CLOCKS = {"started_us", "finished_us", "withdrawn_us", "told_us"}


class Shelf:
    """Helpers for tests of the cellar book."""

    @staticmethod
    def block(readings: Sequence[Reading]) -> Block:
        sensors = tuple(dict.fromkeys(r.sensor for r in readings))
        vessels = tuple(dict.fromkeys(r.vessel for r in readings))
        nothing = np.full(len(readings), np.nan)
        return Block(
            sensors=sensors,
            vessels=vessels,
            sensor_codes=np.array([sensors.index(r.sensor) for r in readings], dtype=np.int32),
            vessel_codes=np.array([vessels.index(r.vessel) for r in readings], dtype=np.int32),
            at_us=np.array([r.at_us for r in readings], dtype=np.int64),
            gravity=np.array([np.nan if r.gravity is None else r.gravity for r in readings]),
            temperature=np.array([np.nan if r.temperature_c is None else r.temperature_c for r in readings]),
            inclination=nothing,
            battery=nothing.copy(),
            signal=nothing.copy(),
            line=np.arange(2, len(readings) + 2, dtype=np.int64),
        )

    @staticmethod
    def log(count: int, *, sensor: str = "north", first: int = 0, gravity: float = 1.050) -> list[Reading]:
        return [
            Reading(sensor, sensor, (first + i) * HOUR_US, round(gravity - 0.0001 * (first + i), 5), 20.0)
            for i in range(count)
        ]

    @staticmethod
    def intake(content: str, **more: str) -> Intake:
        return msgspec.convert({"kind": "csv", "place": f"{content}.csv", "sha256": content * 8, **more}, Intake)

    def store(self, book: Book, content: str, readings: Sequence[Reading], **more: str) -> ImportCounts:
        run = book.imports.begin(self.intake(content, **more), 1)
        run.store(self.block(readings))
        return run.finish(2)

    @staticmethod
    def everything(path: Path) -> dict[str, list[tuple[object, ...]]]:
        """Every row of every table, wall-clock columns left out."""
        connection = sqlite3.connect(path)
        tables = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        rows = {}
        for table in sorted(tables):
            columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})") if row[1] not in CLOCKS]
            listed = ", ".join(f'"{column}"' for column in columns)
            rows[table] = sorted(connection.execute(f"SELECT {listed} FROM {table}"), key=repr)
        connection.close()
        return rows


@pytest.fixture(scope="session")
def shelf() -> Shelf:
    return Shelf()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "cellar.book"
