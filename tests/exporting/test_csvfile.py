"""A CSV file of readings reads back to the same bits."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lullwort.counting import counted
from lullwort.exporting import battery_unit, write_csv, write_parquet

Runs = Any  # the fixture's class lives in conftest.py

NAN = math.nan
AT = 1_784_419_200_000_000

floats = st.floats(allow_nan=False, allow_infinity=False)
maybe = st.none().map(lambda _: NAN) | floats
rows = st.lists(
    st.tuples(
        st.integers(0, 7_258_118_399_999_999), st.sampled_from(["north", "south.2"]), st.floats(0.98, 1.2),
        maybe, maybe, maybe, maybe,
    ),
    min_size=1, max_size=20,
)  # fmt: skip


def test_the_file_is_as_a_person_would_write_it(tmp_path: Path, runs: Runs) -> None:
    path = tmp_path / "out.csv"
    block = runs.block(
        [(AT, "north", 1.0525, 20.3, NAN, 3.91, -71.0), (AT + 60_000_000, "north", NAN, 4.0, 25.5, NAN, NAN)]
    )
    assert write_csv(path, [block], "V") == ("2 readings", ())
    assert path.read_text().splitlines() == [
        "time,vessel,gravity [SG],temperature [deg C],sensor,battery [V],signal [dBm],inclination [deg]",
        "2026-07-19T00:00:00Z,north,1.0525,20.3,float-1,3.91,-71.0,",
        "2026-07-19T00:01:00Z,north,,4.0,float-1,,,25.5",
    ]


@pytest.mark.no_cover
@pytest.mark.parametrize("write", [write_csv, write_parquet])
@given(rows=rows, percent=st.booleans())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_is_written_reads_back_to_the_same_bits(
    write: Any, rows: list[Any], percent: bool, tmp_path: Path, runs: Runs
) -> None:
    path = tmp_path / "out"
    block = runs.in_percent(runs.block(rows)) if percent else runs.block(rows)
    unit = battery_unit([block])
    assert write(path, [block], unit, overwrite=True) == (counted(len(rows), "reading"), ())
    read = [row[:-1] for row in runs.read(path)]
    assert read == [row[:-1] for row in runs.rows(block)]
    assert {row[-1] for row in runs.read(path)} == {unit}


@pytest.mark.parametrize("write", [write_csv, write_parquet])
def test_values_that_look_like_another_unit_are_not_doubted_when_read_back(
    write: Any, tmp_path: Path, runs: Runs
) -> None:
    block = runs.block([(AT + i, "north", 1.05, 68.0 + i, NAN, NAN, NAN) for i in range(30)])
    write(tmp_path / "out", [block], "V")
    assert len(runs.read(tmp_path / "out")) == 30


@pytest.mark.parametrize("write", [write_csv, write_parquet])
def test_batteries_in_per_cent_beside_volts_are_left_out_and_that_is_told(
    write: Any, tmp_path: Path, runs: Runs
) -> None:
    volts = runs.block([(AT, "north", 1.05, 20.0, NAN, 3.9, NAN)])
    percent = runs.in_percent(runs.block([(AT, "south", 1.04, 20.0, NAN, 80.0, NAN)], "float-2"))
    bare = runs.in_percent(runs.block([(AT, "north", NAN, NAN, NAN, 81.0, NAN)]))
    blocks = [volts, bare, percent]
    assert battery_unit(blocks) == "V"
    written = write(tmp_path / "out", blocks, "V")
    assert written.says == "2 readings"
    assert written.remarks == (
        "2 batteries in per cent are left out beside those in volts; a .senml file has both",
        "1 reports without gravity and temperature are left out; a .senml file has them",
    )
    assert [row[:2] + row[-3:] for row in runs.read(tmp_path / "out")] == [
        ("float-1", "north", "3.9", "nan", "V"),
        ("float-2", "south", "nan", "nan", "V"),
    ]


def test_batteries_all_in_per_cent_are_written_so(runs: Runs) -> None:
    nothing = runs.block([(AT, "north", 1.05, 20.0, NAN, NAN, NAN)])
    percent = runs.in_percent(runs.block([(AT, "south", 1.04, 20.0, NAN, 80.0, NAN)], "float-2"))
    assert battery_unit([nothing, percent]) == "%"
    assert battery_unit([nothing]) == "V"
