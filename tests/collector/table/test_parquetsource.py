from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from lullwort.collector import Mapping, open_log
from lullwort.errors import SourceError, UsageError
from lullwort.records import Block, SetAside, parse_instant

AT = datetime(2026, 3, 2, 9, 0, 0, 123456, UTC)
AT_US = parse_instant("2026-03-02T09:00:00.123456Z")


def read(path: Path, mapping: Mapping | None = None) -> tuple[list[Block], list[SetAside]]:
    with open_log(path, mapping or Mapping()) as log:
        assert log.kind == "parquet"
        found = list(log.blocks())
    return [block for block, _ in found if len(block)], [row for _, rows in found for row in rows]


def written(tmp_path: Path, **columns: Any) -> Path:
    path = tmp_path / "log.parquet"
    pq.write_table(pa.table(columns), path)
    return path


def test_typed_columns_are_read_as_they_are(tmp_path: Path) -> None:
    gravity = [1.0123456789012345, None, float("nan")]
    path = written(
        tmp_path,
        time=pa.array([AT] * 3, pa.timestamp("us", tz="UTC")),
        vessel=pa.array(["north"] * 3).dictionary_encode(),
        gravity=pa.array(gravity, pa.float64()),
        temperature=pa.array([20.1, 20.2, 20.3], pa.float32()),
        notes=pa.array([["a"], [], None]),
        remark=pa.array(["one\nline", 'a "quoted", one', None]),
    )
    ((block,), aside) = read(path)
    assert aside == []
    assert block.at_us.tolist() == [AT_US] * 3
    assert block.vessels == ("north",)
    np.testing.assert_array_equal(block.gravity, [1.0123456789012345, np.nan, np.nan])
    np.testing.assert_allclose(block.temperature, [20.1, 20.2, 20.3], rtol=1e-7)


def test_a_bad_row_is_set_aside_and_those_around_it_are_kept(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        time=["2026-03-02T09:00:00Z", "yesterday", "2026-03-02T11:00:00Z"],
        vessel=["north"] * 3,
        gravity=[1.05, 1.05, 1.05],
        temperature=[20.0, 20.0, 20.0],
    )
    ((block,), (aside,)) = read(path)
    assert len(block) == 2
    assert (aside.line, aside.column, aside.seen) == (3, "time", "yesterday")


def test_a_mapping_and_units_in_names_hold_for_parquet_too(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        wann=pa.array([datetime(2026, 3, 2, 10, 0)] * 2, pa.timestamp("ms")),  # noqa: DTZ001
        **{"gravity [°P]": [12.9, 12.8], "temperature": [68.0, 68.5]},
    )
    stated = Mapping(columns={"time": ("wann",)}, temperature="F", vessel="west")
    with pytest.raises(UsageError, match="--zone"):
        read(path, stated)
    ((block,), _) = read(path, Mapping(zone="Europe/Berlin").over(stated))
    assert block.units == ("plato", "F", "V")
    assert block.at_us[0] == parse_instant("2026-03-02T09:00:00Z")


def test_numbers_of_seconds_are_times_where_stated(tmp_path: Path) -> None:
    path = written(tmp_path, time=[1772442000], vessel=["north"], gravity=[1.05], temperature=[20.0])
    ((block,), _) = read(path, Mapping(times="unix"))
    assert block.at_us.tolist() == [1772442000_000000]


def test_odd_types_beside_it_do_no_harm(tmp_path: Path) -> None:
    count = 3
    path = written(
        tmp_path,
        time=pa.array([1772442000123.0 + i for i in range(count)]),
        vessel=pa.array(["north"] * count, pa.large_string()),
        gravity=[1.05] * count,
        temperature=[20.0] * count,
        note=pa.array(["\n" * 30, "x", None], pa.large_string()),
        picture=pa.array([b"\xff\xfe"] * count),
    )
    saved = Mapping(delimiter="semicolon", decimal="comma", skip_lines=2, header=False, times="unix-ms")
    ((block,), aside) = read(path, saved)
    assert aside == []
    assert block.at_us.tolist() == [1772442000123000 + 1000 * i for i in range(count)]
    assert block.line.tolist() == [2, 3, 4]


@pytest.mark.parametrize("cut", [5, 100, 400])
def test_a_damaged_file_is_refused_in_a_sentence(tmp_path: Path, cut: int) -> None:
    path = written(tmp_path, time=["2026-03-02T09:00:00Z"], vessel=["north"], gravity=[1.05], temperature=[20.0])
    path.write_bytes(path.read_bytes()[:-cut])
    with pytest.raises(SourceError, match="cannot be read as Parquet"):
        read(path)
