"""A Parquet file of readings has types; that it reads back is tested with the CSV file."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pyarrow as pa
from pyarrow import parquet

from lullwort.exporting import write_parquet

Runs = Any  # the fixture's class lives in conftest.py

NAN = math.nan
AT = 1_784_419_200_000_001


def test_times_are_timestamps_and_what_is_not_given_is_null(tmp_path: Path, runs: Runs) -> None:
    path = tmp_path / "out.parquet"
    write_parquet(path, [runs.block([(AT, "north", 1.0525, NAN, NAN, 3.91, -71.0)])], "V")
    table = parquet.read_table(path)
    assert table.schema.field("time").type == pa.timestamp("us", tz="UTC")
    assert table.to_pylist() == [
        {
            "time": datetime(2026, 7, 19, 0, 0, 0, 1, tzinfo=UTC), "vessel": "north", "gravity [SG]": 1.0525,
            "temperature [deg C]": None, "sensor": "float-1", "battery [V]": 3.91, "signal [dBm]": -71.0,
            "inclination [deg]": None,
        }
    ]  # fmt: skip


def test_no_readings_are_a_table_without_rows(tmp_path: Path) -> None:
    path = tmp_path / "out.parquet"
    assert write_parquet(path, [], "V") == ("0 readings", ())
    assert parquet.read_table(path).num_rows == 0
