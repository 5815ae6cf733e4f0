"""The readings file: what is taken, what is set aside and why, what is no readings file at all."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lullwort.collector import Mapping
from lullwort.collector.table.tablelog import open_table
from lullwort.collector.table.textchunks import MAX_LINE_BYTES
from lullwort.errors import SourceError, UsageError
from lullwort.records import parse_instant

ReadCsv = Callable[..., Any]

HEADER = "time,vessel,gravity,temperature"
GOOD = "2026-03-02T09:00:00Z,north,1.0123,20.1"
GOOD_AT_US = parse_instant("2026-03-02T09:00:00Z")
BOTH_WAYS = pytest.mark.parametrize("plain_at_once", [True, False])


@BOTH_WAYS
def test_a_row_is_taken_as_reported(read_csv: ReadCsv, plain_at_once: bool) -> None:
    (row,) = read_csv(f"{HEADER}\n{GOOD}\n", plain_at_once=plain_at_once).rows
    assert row == (2, "north", "north", GOOD_AT_US, (1.0123, 20.1, None, None, None))


@BOTH_WAYS
def test_every_column_is_taken_in_any_order_case_and_spacing(read_csv: ReadCsv, plain_at_once: bool) -> None:
    text = (
        " Signal , BATTERY,Inclination,temperature,Gravity,sensor,colour,vessel,Time\n"
        "-70,3.9,41.5,20.1,1.0123,float-1,red,north,2026-03-02T09:00:00Z\n"
        ",,,20.1,1.0123,,,north,2026-03-02T09:00:00Z\n"
    )
    rows = read_csv(text, plain_at_once=plain_at_once).rows
    assert rows[0] == (2, "float-1", "north", GOOD_AT_US, (1.0123, 20.1, 41.5, 3.9, -70.0))
    assert rows[1] == (3, "north", "north", GOOD_AT_US, (1.0123, 20.1, None, None, None))


@BOTH_WAYS
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", " ", "   \t "])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_delimiter_line_end_and_byte_order_mark_do_not_matter(
    read_csv: ReadCsv, plain_at_once: bool, delimiter: str, end: str, mark: str
) -> None:
    text = mark + "".join(line.replace(",", delimiter) + end for line in (HEADER, "", GOOD, GOOD))
    read = read_csv(text, plain_at_once=plain_at_once, chunk_bytes=5)
    assert [row.line for row in read.rows] == [3, 4]
    assert {row[1:] for row in read.rows} == {("north", "north", GOOD_AT_US, (1.0123, 20.1, None, None, None))}
    assert read.set_aside == []


def test_quoted_fields_may_hold_delimiters_quotes_and_line_ends(read_csv: ReadCsv) -> None:
    text = f'note,{HEADER}\n"a, ""b""\nc",{GOOD}\n"x",{GOOD}\n,{GOOD}\n'
    read = read_csv(text, chunk_bytes=40)
    assert [row.line for row in read.rows] == [2, 4, 5]
    assert read.set_aside == []


def test_blanks_may_part_fields_of_which_one_is_quoted(read_csv: ReadCsv) -> None:
    read = read_csv('time vessel gravity temperature\n"2026-03-02 09:00:00Z"   north\t1.0123 20.1\n')
    assert [row.at_us for row in read.rows] == [GOOD_AT_US]


BAD_ROWS = [
    ("yesterday,north,1.05,20", "time", "yesterday", "ISO 8601"),
    (",north,1.05,20", "time", "", "ISO 8601"),
    ("2026-03-02T09:00:00,north,1.05,20", "time", "2026-03-02T09:00:00", "a zone stated for the whole file"),
    ("0026-03-02T09:00:00Z,north,1.05,20", "time", "0026-03-02T09:00:00Z", "1970 to 2199"),
    ("2026-03-02T09:00:00Z,North 1,1.05,20", "vessel", "North 1", "such as 'north-1'"),
    ("2026-03-02T09:00:00Z,,1.05,20", "vessel", "", "an id: lower-case"),
    ("2026-03-02T09:00:00Z,north,high,20", "gravity", "high", "a number with a decimal point"),
    ("2026-03-02T09:00:00Z,north,nan,20", "gravity", "nan", "SG such as 1.012"),
    ("2026-03-02T09:00:00Z,north,1.05,inf", "temperature", "inf", "°C, a number"),
    ("2026-03-02T09:00:00Z,north,1e999,20", "gravity", "1e999", "a number"),
    ("2026-03-02T09:00:00Z,north,,", "gravity", "", "a gravity or a temperature"),
    ("2026-03-02T09:00:00Z,north,1052,20", "gravity", "1052", "this looks like SG x 1000 or kg/m³"),
    ("2026-03-02T09:00:00Z,north,12.9,20", "gravity", "12.9", "this looks like °P"),
    ("2026-03-02T09:00:00Z,north,52,20", "gravity", "52", "this looks like gravity points"),
    ("2026-03-02T09:00:00Z,north,1.05", "row", "3 fields", "4 as in the header"),
    ("2026-03-02T09:00:00Z,north,1,05,20", "row", "5 fields", "decimal comma"),
    ('2026-03-02T09:00:00Z,"no"rth,1.05,20', "row", '2026-03-02T09:00:00Z,"no"rth,1.05,20', "quotes around a whole"),
    ('2026-03-02T09:00:00Z,"north,1.05,20', "row", '2026-03-02T09:00:00Z,"north,1.05,20', "a closing quote"),
    ("2026-03-02T09:00:00Z,no\0rth,1.05,20", "row", "2026-03-02T09:00:00Z,no\\x00rth,1.05,20", "without NUL"),
]


@BOTH_WAYS
@pytest.mark.parametrize(("bad", "column", "seen", "expected"), BAD_ROWS)
def test_a_bad_row_is_set_aside_with_its_reason_and_those_around_it_are_kept(
    read_csv: ReadCsv, plain_at_once: bool, bad: str, column: str, seen: str, expected: str
) -> None:
    read = read_csv("\n".join([HEADER, GOOD, bad, GOOD, ""]), plain_at_once=plain_at_once)
    assert [row.line for row in read.rows] == [2, 4]
    (aside,) = read.set_aside
    assert (aside.line, aside.column, aside.seen) == (3, column, seen)
    assert expected in aside.expected
    assert aside.raw_text == bad.replace("\0", "\\x00")
    assert f"log.csv:3: {column} is " in str(aside)


@BOTH_WAYS
@pytest.mark.parametrize("value", ["0", "1.5", "-1", "0.5"])
def test_an_absurd_gravity_that_suggests_no_other_unit_is_kept_as_reported(
    read_csv: ReadCsv, plain_at_once: bool, value: str
) -> None:
    text = f"{HEADER}\n2026-03-02T09:00:00Z,north,{value},20\n"
    read = read_csv(text, Mapping(gravity="sg"), plain_at_once=plain_at_once)
    assert [row.values[0] for row in read.rows] == [float(value)]


@BOTH_WAYS
def test_decimal_commas_are_read_where_stated_and_named_where_not(read_csv: ReadCsv, plain_at_once: bool) -> None:
    text = f"{HEADER}\n{GOOD}".replace(",", ";").replace(".", ",")
    stated = read_csv(text, Mapping(decimal="comma"), plain_at_once=plain_at_once)
    assert stated.rows[0].values[:2] == (1.0123, 20.1)
    (aside,) = read_csv(text, plain_at_once=plain_at_once).set_aside
    assert "state --decimal-comma" in aside.expected
    point = read_csv(text.replace("1,0", "1.0"), Mapping(decimal="comma"), plain_at_once=plain_at_once)
    assert "state --decimal-point" in point.set_aside[0].expected


@BOTH_WAYS
@pytest.mark.parametrize(
    ("local", "utc"),
    [
        ("2026-03-29 01:59:59", "2026-03-29T00:59:59Z"),
        ("2026-03-29 03:00", "2026-03-29T01:00:00Z"),
        ("2026-10-25 01:59", "2026-10-24T23:59:00Z"),
        ("2026-10-25 03:00", "2026-10-25T02:00:00Z"),
        ("2026-10-25T02:30:00+02:00", "2026-10-25T00:30:00Z"),
    ],
)
def test_local_times_are_read_on_the_clocks_of_the_zone(
    read_csv: ReadCsv, plain_at_once: bool, local: str, utc: str
) -> None:
    # Summer time in the European Union: from 01:00 UTC on the last Sunday of March to 01:00 UTC on that of
    # October, Directive 2000/84/EC, articles 2 and 3.
    options = Mapping(zone="Europe/Berlin")
    read = read_csv(f"{HEADER}\n{local},north,1.05,20\n", options, plain_at_once=plain_at_once)
    assert [row.at_us for row in read.rows] == [parse_instant(utc)]


@BOTH_WAYS
@pytest.mark.parametrize(
    ("local", "says"),
    [("2026-03-29 02:30", "skips this one"), ("2026-10-25 02:30", "repeats this one: write it with its offset")],
)
def test_an_hour_that_a_clock_change_repeats_or_skips_is_set_aside(
    read_csv: ReadCsv, plain_at_once: bool, local: str, says: str
) -> None:
    options = Mapping(zone="Europe/Berlin")
    read = read_csv(f"{HEADER}\n{GOOD}\n{local},north,1.05,20\n", options, plain_at_once=plain_at_once)
    assert len(read.rows) == 1
    assert says in read.set_aside[0].expected


@BOTH_WAYS
def test_a_vessel_can_be_given_for_a_file_without_one(read_csv: ReadCsv, plain_at_once: bool) -> None:
    text = "time,gravity,temperature\n2026-03-02T09:00:00Z,1.0123,20.1\n"
    (row,) = read_csv(text, Mapping(vessel="north"), plain_at_once=plain_at_once).rows
    assert (row.sensor, row.vessel) == ("north", "north")
    with pytest.raises(UsageError, match="has a column vessel of its own"):
        read_csv(f"{HEADER}\n{GOOD}\n", Mapping(vessel="north"))


@BOTH_WAYS
def test_a_column_without_a_name_is_ignored_whatever_it_holds(read_csv: ReadCsv, plain_at_once: bool) -> None:
    read = read_csv(f"{HEADER},\n{GOOD},x\n{GOOD},\n", plain_at_once=plain_at_once)
    assert len(read.rows) == 2


@BOTH_WAYS
def test_a_temperature_alone_is_a_reading(read_csv: ReadCsv, plain_at_once: bool) -> None:
    (row,) = read_csv(f"{HEADER}\n2026-03-02T09:00:00Z,north,,20\n", plain_at_once=plain_at_once).rows
    assert row.values[:2] == (None, 20.0)


@BOTH_WAYS
def test_wrongly_encoded_rows_are_set_aside_singly(read_csv: ReadCsv, plain_at_once: bool) -> None:
    text = f"{HEADER},note\n{GOOD},gut\n{GOOD},größer\n{GOOD},gut\n"
    read = read_csv(text.encode("latin-1"), plain_at_once=plain_at_once)
    assert [row.line for row in read.rows] == [2, 4]
    assert read.set_aside[0].expected == "text in UTF-8 (or state --encoding)"
    assert r"gr\xf6" in read.set_aside[0].raw_text
    assert len(read_csv(text, plain_at_once=plain_at_once).rows) == 3


@BOTH_WAYS
@pytest.mark.parametrize("length", [MAX_LINE_BYTES, 5 * MAX_LINE_BYTES])
def test_a_line_without_end_costs_one_row_and_little_memory(
    read_csv: ReadCsv, plain_at_once: bool, length: int
) -> None:
    read = read_csv(
        f"{HEADER}\n{GOOD}\n{GOOD}{'x' * length}\n{GOOD}\n", chunk_bytes=MAX_LINE_BYTES, plain_at_once=plain_at_once
    )
    assert [row.line for row in read.rows] == [2, 4]
    (aside,) = read.set_aside
    assert (aside.line, aside.expected) == (3, f"a row of at most {MAX_LINE_BYTES} bytes")
    assert len(aside.raw_text) < 1000


@pytest.mark.no_cover
@pytest.mark.parametrize("cut", range(1, len(GOOD)))
def test_a_truncated_last_line_never_stops_the_rest(read_csv: ReadCsv, cut: int) -> None:
    read = read_csv(f"{HEADER}\n{GOOD}\n{GOOD[:-cut]}")
    assert read.rows[0].line == 2
    assert len(read.rows) + len(read.set_aside) == 2


@pytest.mark.parametrize(("end", "told"), [("", True), ("\n", False)])
def test_a_last_line_without_an_end_is_told(tmp_path: Path, end: str, told: bool) -> None:
    path = tmp_path / "log.csv"
    path.write_text(f"{HEADER}\n{GOOD}\n{GOOD[:-2]}{end}")
    with open_table(path, Mapping()) as log:
        assert sum(len(block) for block, _ in log.blocks()) == 2
        assert any("the last line has no end" in remark for remark in log.remarks) == told


def test_a_column_may_be_left_unread(read_csv: ReadCsv) -> None:
    text = f"{HEADER},signal\n{GOOD},good\n"
    assert len(read_csv(text).set_aside) == 1
    assert len(read_csv(text, Mapping(without=("signal",))).rows) == 1


def test_an_open_quote_costs_one_line_however_much_follows(read_csv: ReadCsv) -> None:
    lines = [HEADER, '"' + GOOD, *[GOOD] * 30]
    for chunk_bytes in (17, 200, 1 << 20):
        read = read_csv("\n".join(lines), chunk_bytes=chunk_bytes)
        assert len(read.rows) == 30
        assert [row.line for row in read.set_aside] == [2]


def test_trailing_empty_columns_do_not_matter(read_csv: ReadCsv) -> None:
    assert len(read_csv(f"{HEADER},,\n{GOOD},,\n{GOOD},,,,\n").rows) == 2
    assert len(read_csv(f"{HEADER}\n{GOOD},,\n").rows) == 1


HEADERS = [
    ("", "is empty, expected a header"),
    ("\n\n  \n", "is empty, expected a header"),
    ("gravity,temperature\n1,2\n", "no column time and no column vessel; columns seen: 'gravity', 'temperature'"),
    ("1.05,20\n1.05,20\n", "no column time"),
    (f"{HEADER},Gravity\n", "names gravity more than once"),
    (b"PAR1\x00\x01\x02\n", "cannot be read as Parquet"),
    (b"PK\x03\x04spreadsheet", "is not a text file but a spreadsheet or an archive: save its sheet as CSV"),
    (b"\x00\x01\x02", "is not a text file"),
    (b"\x89PNG\r\n\x1a\n", "is not a text file but a picture"),
    ("x" * (MAX_LINE_BYTES * 3), "is not a text file"),
    (f"{HEADER}\n{GOOD}\n".encode("utf-16"), "is text in UTF-16; state --encoding utf-16"),
    ('"time,vessel\n', "no column time .* columns seen: '.time,vessel'"),
    (",".join(f"column{i}" for i in range(200)), r"'column1', .* …"),
]


@pytest.mark.parametrize(("content", "says"), HEADERS)
def test_what_is_no_readings_file_is_refused_in_a_sentence(read_csv: ReadCsv, content: str | bytes, says: str) -> None:
    with pytest.raises(SourceError, match=says):
        read_csv(content)


def test_a_header_alone_is_a_file_without_rows(read_csv: ReadCsv) -> None:
    assert read_csv(HEADER) == ([], [])


def test_a_path_that_is_no_file_is_refused_in_a_sentence(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    looped = tmp_path / "loop"
    looped.symlink_to(looped)
    for name, says in (("none.csv", "no such file"), (".", "is a folder"), ("pipe", "a stream"), ("loop", "cannot be")):
        with pytest.raises(SourceError, match=says), open_table(tmp_path / name, Mapping()):
            pass


def test_a_file_that_may_not_be_read_is_refused_in_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # The administrator may read anything, so that the refusal is put in by hand.
    def refused(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "log.csv"
    path.write_text(HEADER)
    monkeypatch.setattr(Path, "open", refused)
    with pytest.raises(SourceError, match="may not be read"), open_table(path, Mapping()):
        pass


def test_what_is_added_while_the_file_is_read_is_left_for_the_next_time(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(f"{HEADER}\n{GOOD}\n{GOOD}\n")
    with open_table(path, Mapping(), chunk_bytes=20) as log:
        with path.open("a") as growing:
            growing.write(f"{GOOD}\n" * 100)
        assert sum(len(block) for block, _ in log.blocks()) == 2
        before = log.sha256
    with open_table(path, Mapping()) as log:
        assert log.sha256 != before
        assert sum(len(block) for block, _ in log.blocks()) == 102


@pytest.mark.parametrize("change", [f"{HEADER}\n{GOOD}\n", f"{HEADER}\n{GOOD}\n{GOOD.replace('20.1', '20.2')}\n"])
def test_a_file_that_is_cut_or_rewritten_while_it_is_read_is_refused_at_its_end(tmp_path: Path, change: str) -> None:
    path = tmp_path / "log.csv"
    path.write_text(f"{HEADER}\n{GOOD}\n{GOOD}\n")
    with open_table(path, Mapping()) as log:
        path.write_text(change)
        with pytest.raises(SourceError, match="was changed while it was read; nothing of it is used"):
            list(log.blocks())


def test_an_error_of_the_caller_is_not_taken_for_one_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(f"{HEADER}\n{GOOD}\n")
    with pytest.raises(FileNotFoundError), open_table(path, Mapping()):
        raise FileNotFoundError("something else")


def test_neither_pandas_nor_pyarrow_is_loaded_before_a_file_is_read() -> None:
    code = "import sys, lullwort.collector; print({'pandas', 'pyarrow'} & set(sys.modules))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout == "set()\n"
