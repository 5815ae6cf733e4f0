"""Small invented logs as Blocks, books of earlier versions, and a look at every row and table of a book."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

from lullwort.cellarbook import Book, ImportCounts, Intake, open_book
from lullwort.cellarbook.schema import APPLICATION_ID, MIGRATIONS
from lullwort.records import COMMON_UNITS, HOUR_US, Block, Reading, ReportedUnits

CLOCKS = {"started_us", "finished_us", "withdrawn_us", "told_us", "seen_us"}


class Layout(NamedTuple):
    """Of a book: its version, and the statements that make what it has of tables, indexes and views."""

    version: int
    statements: tuple[str, ...]


class Shelf:
    """Helpers for tests of the cellar book."""

    @staticmethod
    def block(readings: Sequence[Reading], units: ReportedUnits = COMMON_UNITS, **also: Sequence[float]) -> Block:
        """The readings as one run; `also` gives inclination, battery or signal of each."""
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
            inclination=np.array(also.get("inclination", nothing)),
            battery=np.array(also.get("battery", nothing)),
            signal=np.array(also.get("signal", nothing)),
            line=np.arange(2, len(readings) + 2, dtype=np.int64),
            units=units,
        )

    @staticmethod
    def log(count: int, *, sensor: str = "north", first: int = 0, gravity: float = 1.050) -> list[Reading]:
        return [
            Reading(sensor, sensor, (first + i) * HOUR_US, round(gravity - 0.0001 * (first + i), 5), 20.0)
            for i in range(count)
        ]

    @staticmethod
    def intake(content: str, units: ReportedUnits = COMMON_UNITS) -> Intake:
        return Intake("csv", f"{content}.csv", content * 8, repr(units))

    def store(
        self,
        book: Book,
        content: str,
        readings: Sequence[Reading],
        units: ReportedUnits = COMMON_UNITS,
        **also: Sequence[float],
    ) -> ImportCounts:
        run = book.imports.begin(self.intake(content, units), 1)
        run.store(self.block(readings, units, **also))
        return run.finish(2)

    @staticmethod
    @contextmanager
    def older(path: Path, version: int) -> Iterator[sqlite3.Connection]:
        """A new book as `version` left it, to be filled. That steps stay what they were is held in test_schema.py."""
        with closing(sqlite3.connect(path)) as connection, connection:
            connection.execute("PRAGMA journal_mode = WAL")
            for step in MIGRATIONS[:version]:
                step(connection)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {version}")
            yield connection

    @staticmethod
    def layout(path: Path) -> Layout:
        with closing(sqlite3.connect(path)) as connection:
            ((version,),) = connection.execute("PRAGMA user_version")
            made = connection.execute("SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY type, name")
            return Layout(version, tuple(statement for (statement,) in made))

    @staticmethod
    def die_opening(path: Path, killing: str, moment: int) -> None:
        """Open the book in a process whose step to the next version kills it: `killing` arranges that."""
        opening = f"{killing}\nfrom pathlib import Path\nwith open_book(Path(sys.argv[1])):\n    pass\n"
        killed = subprocess.run([sys.executable, "-c", opening, str(path), str(moment)], check=False)
        assert killed.returncode == -signal.SIGKILL

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


@pytest.fixture(scope="session")
def newest(shelf: Shelf, tmp_path_factory: pytest.TempPathFactory) -> Layout:
    """Of a book that is made now."""
    made = tmp_path_factory.mktemp("newest") / "cellar.book"
    with open_book(made):
        pass
    return shelf.layout(made)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "cellar.book"
