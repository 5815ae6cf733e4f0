"""Times as log files write them, one by one and many at once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import get_args
from zoneinfo import ZoneInfo

import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.collector.mapping import Times
from lullwort.collector.table.cells import BadCellError
from lullwort.collector.table.localtime import RepeatedTimeError
from lullwort.collector.table.timecells import parse_time
from lullwort.collector.table.timecolumns import utc_us_of_texts
from lullwort.records import format_utc, from_datetime

BERLIN = ZoneInfo("Europe/Berlin")


@pytest.mark.parametrize(
    ("times", "text", "utc"),
    [
        ("dmy", "02.03.2026 09:15", "2026-03-02T08:15:00Z"),
        ("dmy", "2.3.26 9:15:30", "2026-03-02T08:15:30Z"),
        ("dmy", "02/03/2026, 09h15", "2026-03-02T08:15:00Z"),
        ("dmy", "02-03-2026", "2026-03-01T23:00:00Z"),
        ("mdy", "3/2/2026 9:15 AM", "2026-03-02T08:15:00Z"),
        ("mdy", "3/2/2026 12:00 a.m.", "2026-03-01T23:00:00Z"),
        ("mdy", "3/2/2026 12:30:01.5 PM", "2026-03-02T11:30:01.500000Z"),
        ("ymd", "2026/03/02 09:15", "2026-03-02T08:15:00Z"),
        ("ymd", "20260302", "2026-03-01T23:00:00Z"),
        ("ymd", "2026 3 2 9 15", "2026-03-02T08:15:00Z"),
        # The examples of seconds since 1970 are those of POSIX: 1,000,000,000 is 2001-09-09T01:46:40Z.
        ("unix", "1000000000", "2001-09-09T01:46:40Z"),
        ("unix", "1000000000.25", "2001-09-09T01:46:40.250000Z"),
        ("unix-ms", "1000000000250", "2001-09-09T01:46:40.250000Z"),
        # Day 25,569 is 1 January 1970 and the other count is 1,462 days less (common knowledge of spreadsheets, from
        # memory: [ECMA376] part 1, 18.17.4).
        ("serial", "25570.5", "1970-01-02T11:00:00Z"),
        ("serial-1904", "24108.5", "1970-01-02T11:00:00Z"),
        ("serial", "46083,38541666", "2026-03-02T08:15:00Z"),
    ],
)
def test_each_form_is_read_on_the_clocks_of_the_zone(times: Times, text: str, utc: str) -> None:
    assert format_utc(parse_time(text, times, BERLIN)) == utc
    many = utc_us_of_texts(pa.chunked_array([[text.replace(",", ".") if times == "serial" else text]]), times, BERLIN)
    assert many is not None
    assert format_utc(int(many[0])) == utc


@pytest.mark.parametrize(
    ("times", "text", "expected"),
    [
        ("dmy", "03/14/2026 09:00", "day, month and year"),
        ("mdy", "14/03/2026 09:00", "month, day and year"),
        ("dmy", "31.04.2026", "day, month and year"),
        ("mdy", "3/2/2026 13:00 PM", "month, day and year"),
        ("ymd", "2026/03/02 24:00", "year, month and day"),
        ("dmy", "02.03.2026 09:60", "day, month and year"),
        ("unix", "1000000000250", "milliseconds are stated as unix-ms"),
        ("unix", "-5", "seconds since 1970"),
        ("unix", "1e9", "seconds since 1970"),
        ("serial", "yesterday", "spreadsheet days"),
        ("serial", "999999999", "years 1970 to 2199|spreadsheet days"),
        ("iso", "02.03.2026", "ISO 8601"),
    ],
)
def test_what_is_no_time_in_that_form_is_refused(times: Times, text: str, expected: str) -> None:
    with pytest.raises(BadCellError, match=expected):
        parse_time(text, times, BERLIN)
    assert utc_us_of_texts(pa.chunked_array([[text]]), times, BERLIN) is None


@pytest.mark.parametrize("times", ["ymd", "dmy", "mdy", "serial", "iso"])
def test_a_local_time_without_a_zone_is_refused(times: Times) -> None:
    written = {"ymd": "2026/03/02", "dmy": "02.03.2026", "mdy": "03/02/2026", "serial": "46083.5", "iso": "2026-03-02"}
    with pytest.raises(BadCellError, match="a zone stated for the whole file"):
        parse_time(written[times], times, None)


CELLS = st.one_of(
    st.from_regex(r"\A[0-9]{1,4}[-./ ][0-9]{1,2}[-./ ][0-9]{1,4}( [0-9]{1,2}:[0-9]{2}(:[0-9]{2})?( ?[ap]m)?)?\Z"),
    st.from_regex(r"\A[0-9]{1,13}([.][0-9]{1,6})?\Z"),
    st.sampled_from(
        ["", "x", "29.02.2026", "29.02.2028", "25.10.2026 02:30", "29.03.2026 02:30", "12/31/2199", "99999"]
    ),
)


@pytest.mark.no_cover
@settings(max_examples=600, deadline=None)
@given(st.lists(CELLS, min_size=1, max_size=4), st.sampled_from(get_args(Times)))
def test_many_at_once_are_read_as_one_by_one(cells: list[str], times: Times) -> None:
    many = utc_us_of_texts(pa.chunked_array([cells]), times, BERLIN)
    if many is None:
        return
    assert many.tolist() == [parse_time(cell, times, BERLIN) for cell in cells]


@pytest.mark.no_cover
@settings(max_examples=300, deadline=None)
@given(st.datetimes(datetime(1971, 1, 1), datetime(2099, 12, 31)), st.sampled_from(["ymd", "dmy", "mdy"]))  # noqa: DTZ001
def test_a_time_that_clocks_showed_once_is_found_again_from_each_order(local: datetime, order: Times) -> None:
    local = local.replace(microsecond=0)
    written = {"ymd": "%Y/%m/%d %H:%M:%S", "dmy": "%d.%m.%Y %H:%M:%S", "mdy": "%m/%d/%Y %I:%M:%S %p"}[order]
    text = local.strftime(written)
    try:
        at_us = parse_time(text, order, BERLIN)
    except (RepeatedTimeError, BadCellError):
        assert utc_us_of_texts(pa.chunked_array([[text]]), order, BERLIN) is None
        return
    shown = datetime.fromtimestamp(0, UTC) + timedelta(microseconds=at_us)
    assert shown.astimezone(BERLIN).replace(tzinfo=None) == local
    many = utc_us_of_texts(pa.chunked_array([[text]]), order, BERLIN)
    assert many is not None
    assert many.tolist() == [at_us] == [from_datetime(shown)]
