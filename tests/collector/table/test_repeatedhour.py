"""The hour that clocks show twice: Sunday 25 October 2026 in Berlin, from 02:00 to 03:00."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lullwort.collector import Mapping, open_log
from lullwort.records import format_utc

ReadCsv = Callable[..., Any]
BERLIN = Mapping(zone="Europe/Berlin", vessel="north")


def log_of(*minutes: str) -> str:
    rows = [f"2026-10-25 {minute},1.0{i:02d},20" for i, minute in enumerate(minutes, start=10)]
    return "\n".join(["time,gravity,temperature", *rows, ""])


def utc_of(read: Any) -> list[str]:
    """Time of day in UTC by row of the file."""
    return [format_utc(row.at_us)[11:16] for row in sorted(read.rows, key=lambda row: row.line)]


def test_the_two_runs_through_it_are_told_apart_by_their_order(read_csv: ReadCsv) -> None:
    read = read_csv(log_of("01:30", "02:00", "02:30", "02:00", "02:30", "03:00"), BERLIN)
    assert utc_of(read) == ["23:30", "00:00", "00:30", "01:00", "01:30", "02:00"]
    assert read.set_aside == []


def test_a_log_with_the_newest_row_first_is_told_apart_too(read_csv: ReadCsv) -> None:
    read = read_csv(log_of("03:00", "02:30", "02:00", "02:30", "02:00", "01:30"), BERLIN)
    assert utc_of(read) == ["02:00", "01:30", "01:00", "00:30", "00:00", "23:30"]


def test_one_reading_an_hour_comes_at_one_time_twice(read_csv: ReadCsv) -> None:
    read = read_csv(log_of("01:15", "02:15", "02:15", "03:15"), BERLIN)
    assert utc_of(read) == ["23:15", "00:15", "01:15", "02:15"]


@pytest.mark.parametrize(
    "minutes", [("01:30", "02:00", "02:30", "03:00"), ("02:00", "02:30", "02:00", "02:30", "02:10")]
)
def test_rows_that_run_through_it_once_or_to_and_fro_are_set_aside(read_csv: ReadCsv, minutes: tuple[str, ...]) -> None:
    read = read_csv(log_of(*minutes), BERLIN)
    assert len(read.rows) + len(read.set_aside) == len(minutes)
    assert [row.seen[11:13] for row in read.set_aside] == ["02"] * len(read.set_aside)
    assert all("repeats this one: write it with its offset" in row.expected for row in read.set_aside)


def test_sensors_run_through_it_each_for_itself(read_csv: ReadCsv) -> None:
    minutes = ("01:40", "02:10", "02:40", "02:10", "02:40", "03:10")
    rows = [f"2026-10-25 {minute},{vessel},1.05,20" for minute in minutes for vessel in "ab"]
    read = read_csv("\n".join(["time,vessel,gravity,temperature", *rows]), Mapping(zone="Europe/Berlin"))
    assert sorted((row.vessel, format_utc(row.at_us)[11:16]) for row in read.rows) == [
        (vessel, at) for vessel in "ab" for at in ("00:10", "00:40", "01:10", "01:40", "02:10", "23:40")
    ]


def test_the_reader_is_told(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(log_of("01:30", "02:00", "02:30", "02:00", "02:30", "03:00"))
    with open_log(path, BERLIN) as log:
        assert sum(len(block) for block, _ in log.blocks()) == 6
        assert log.remarks == ("4 rows stand in an hour that a clock change repeats; their order tells them apart",)


def held_back(read: Any) -> list[str]:
    return [row.seen[11:16] for row in read.set_aside]


def test_another_vessel_s_rows_do_not_decide_the_order(read_csv: ReadCsv) -> None:
    rows = [f"2026-10-25 {at},a,1.05,20" for at in ("01:00", "02:00", "02:00", "03:00")]
    rows.append("2026-09-01 00:00,b,1.05,20")
    read = read_csv("\n".join(["time,vessel,gravity,temperature", *rows]), Mapping(zone="Europe/Berlin"))
    assert utc_of(read)[:4] == ["23:00", "00:00", "01:00", "02:00"]


@pytest.mark.parametrize(
    "minutes",
    [
        ("01:40", "02:00", "02:20", "02:10", "02:30", "02:40", "02:50", "03:00"),  # one late row in a single run
        ("01:30", "02:10", "05:10", "01:30", "02:10", "05:10"),  # a file exported twice
        ("01:50", "02:00", "02:00"),  # a line twice, and then nothing
        ("02:30", "02:00"),  # nothing around it tells the order
    ],
)
def test_what_only_looks_like_two_runs_is_set_aside(read_csv: ReadCsv, minutes: tuple[str, ...]) -> None:
    read = read_csv(log_of(*minutes), BERLIN)
    assert held_back(read) == [at for at in minutes if at.startswith("02")]


@pytest.mark.parametrize("chunk_bytes", [40, 100, 1000])
def test_neighbours_are_found_however_the_file_is_cut(read_csv: ReadCsv, chunk_bytes: int) -> None:
    read = read_csv(log_of("01:30", "02:00", "02:30", "02:00", "02:30", "03:00"), BERLIN, chunk_bytes=chunk_bytes)
    assert utc_of(read) == ["23:30", "00:00", "00:30", "01:00", "01:30", "02:00"]
