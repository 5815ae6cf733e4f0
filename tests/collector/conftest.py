"""A readings file from text, and all that reading it gives."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from lullwort.collector import Mapping
from lullwort.collector.table.tablelog import open_table
from lullwort.records import VALUE_COLUMNS, SetAside


class Row(NamedTuple):
    """One reading and where it stood."""

    line: int
    sensor: str
    vessel: str
    at_us: int
    values: tuple[float | None, ...]


class FileRead(NamedTuple):
    """All readings of a file in its order, and all rows set aside."""

    rows: list[Row]
    set_aside: list[SetAside]


ReadCsv = Callable[..., FileRead]


@pytest.fixture
def read_csv(tmp_path: Path) -> ReadCsv:
    """Writes text or bytes to a file and reads it."""

    def read(
        content: str | bytes,
        options: Mapping | None = None,
        *,
        chunk_bytes: int = 1 << 20,
        plain_at_once: bool = True,
    ) -> FileRead:
        path = tmp_path / "log.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_file(path, options or Mapping(), chunk_bytes, plain_at_once)

    return read


def read_file(path: Path, options: Mapping, chunk_bytes: int, plain_at_once: bool) -> FileRead:
    rows: list[Row] = []
    set_aside: list[SetAside] = []
    with open_table(path, options, chunk_bytes=chunk_bytes, plain_at_once=plain_at_once) as log:
        for block, aside in log.blocks():
            set_aside += aside
            columns = [getattr(block, name).tolist() for name in VALUE_COLUMNS]
            rows += [
                Row(
                    line,
                    block.sensors[sensor],
                    block.vessels[vessel],
                    at_us,
                    tuple(map(_none_for_nan, values)),
                )
                for line, sensor, vessel, at_us, *values in zip(
                    block.line.tolist(),
                    block.sensor_codes.tolist(),
                    block.vessel_codes.tolist(),
                    block.at_us.tolist(),
                    *columns,
                    strict=True,
                )
            ]
    return FileRead(rows, set_aside)


def _none_for_nan(value: float) -> float | None:
    return None if value != value else value
