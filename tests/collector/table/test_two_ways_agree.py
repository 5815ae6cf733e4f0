"""Reading many rows at once gives what reading them singly gives, on sound files and on mutilated ones."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lullwort.collector import Mapping
from lullwort.collector.mapping import Times
from lullwort.collector.table import tablelog
from lullwort.collector.table.fast import FastReader
from lullwort.collector.table.tablelog import TableLog
from lullwort.collector.table.textchunks import Chunk
from lullwort.errors import LullwortError
from lullwort.records import Block

ReadCsv = Callable[..., Any]

TIMES = (
    "2026-03-02T09:00:00Z", "2026-03-02 09:00:00+01:00", "2026-03-02T09:00", "2026-03-02", "2026-03-02T09:00:00.5Z",
    "2026-03-02T09:00:00.1234567Z", "2026-03-29T02:30:00", "2026-10-25T02:30:00", "2026-10-25T02:30:00+01:00",
    "20260302T0900Z", "2026-02-30T09:00:00Z", "2026-03-02T24:00:00Z", "2026-03-02T09:00:60Z", "02.03.2026 09:00", "",
    "1969-12-31T23:59:59Z", "0001-01-01T00:00:00", "9999-12-31T23:59:59", "2026-03-02t09:00:00z", "1772442000",
    "2026-03-02T09:00:00+0100", "1772442000.5", "1772442000.", ".5", "46083.375",
    "2026-03-02T09:00:00-25:00", "2026-W10-1T09:00Z",
)  # fmt: skip
IDS = ("NA", "north", "vessel-07", "a.b_c", "North", "tank 4", "", " north ", "größe", "nörth")
NUMBERS = (
    "1.012", "1,012", "1052", "12.9", "52", "0", "-1", "1.5", "1e0", "1.", ".99", "+1.01", "nan", "NaN", "inf",
    "-Infinity", "NA", "", " 1.012 ", "1_0", "0x1p3", "1e999", "1.012.3", "--", "\u0661", "1 012", "-0.0", "1.01e-400",
)  # fmt: skip
GOOD = (IDS[1:4], NUMBERS[:1], ("20.1", "19", ""), ("float-1", "", "Float 2"))


GOOD_TIMES = {"iso": TIMES[:2], "dmy": ("02.03.2026 09:00", "2.3.26 9:00:30"), "unix": ("1772442000", "1772442000.5")}


def rows_of(delimiter: str, times: str) -> st.SearchStrategy[str]:
    """Rows of five columns, mostly sound, some with one cell or two out of the odd ones."""
    sound = st.tuples(*(st.sampled_from(cells) for cells in (GOOD_TIMES[times], *GOOD)))
    odd = st.tuples(*(st.sampled_from(cells) for cells in (TIMES, IDS, NUMBERS, NUMBERS, IDS)))
    mixed = st.builds(
        lambda a, b, picks: tuple(y if pick else x for x, y, pick in zip(a, b, picks, strict=True)),
        sound, odd, st.tuples(*(st.integers(0, 19).map(lambda n: n == 0) for _ in range(5))),
    )  # fmt: skip
    joined = mixed.map(delimiter.join)
    quoted = mixed.map(lambda cells: delimiter.join(f'"{cell}"' for cell in cells))
    broken = st.sampled_from(["", "   ", '"', delimiter, delimiter * 3, delimiter * 9, "a", 'x"y', "\x00", "\xa0"])
    return st.one_of(*[joined] * 20, quoted, broken, joined.map(lambda row: row + delimiter))


@st.composite
def files(draw: st.DrawFn) -> tuple[bytes, Mapping]:
    delimiter = draw(st.sampled_from([",", ";", "\t", "|", " "]))
    times: Times = draw(st.sampled_from(["iso", "iso", "dmy", "unix"]))
    names = ["time", "vessel", "gravity", "temperature", "sensor"]
    rows = draw(st.lists(rows_of(delimiter, times), min_size=0, max_size=40))
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    decimal_comma = delimiter != "," and draw(st.booleans())
    if decimal_comma:
        rows = [row.replace("1.012", "1,012").replace("20.1", "20,1") for row in rows]
    body = (end.join(rows) + draw(st.sampled_from(["", end]))).encode()
    for position, byte in draw(st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 255)), max_size=2)):
        body = body[:position] + bytes([byte]) + body[position + 1 :]
    content = (delimiter.join(names) + end).encode() + body[: len(body) - draw(st.integers(0, 8))]
    options = Mapping(
        gravity=draw(st.sampled_from(["sg", "sg", "sg", "plato", "kg_m3"])),
        temperature="C",
        times=times,
        make_ids=draw(st.booleans()),
        zone=draw(st.sampled_from([None, "Europe/Berlin", "Europe/Berlin", "UTC"])),
        missing=draw(st.sampled_from([(), (), ("NA", "-1")])),
        decimal="comma" if decimal_comma else "point",
    )
    return content, options


@pytest.mark.no_cover
@settings(
    max_examples=400,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(file=files(), chunk_bytes=st.sampled_from([7, 50, 333, 1 << 20]), singly=st.sampled_from([1, 40, 4096]))
def test_both_ways_give_the_same_readings_and_set_the_same_rows_aside(
    read_csv: ReadCsv, file: tuple[bytes, Mapping], chunk_bytes: int, singly: int
) -> None:
    content, options = file
    try:
        meant = read_csv(content, options, plain_at_once=False)
    except LullwortError as refused:
        with pytest.raises(type(refused)):
            read_csv(content, options, chunk_bytes=chunk_bytes)
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tablelog, "_SINGLY_BYTES", singly)
        assert read_csv(content, options, chunk_bytes=chunk_bytes) == meant


@pytest.mark.parametrize("lines", [["x" * 40_000, "y"], ["y", "x" * 40_000], ["x" * 40_000] * 3])
def test_long_lines_that_are_not_plain_are_set_aside_like_others(read_csv: ReadCsv, lines: list[str]) -> None:
    read = read_csv("\n".join(["time,vessel,gravity,temperature", *lines, ""]))
    assert [row.line for row in read.set_aside] == list(range(2, len(lines) + 2))


def plain_rows(count: int) -> list[str]:
    return [f"2026-03-02T09:{i // 60 % 60:02d}:{i % 60:02d}Z,north,{1.05 - i / 1e6:.6f},20.1" for i in range(count)]


def test_one_bad_row_among_thousands_leaves_the_others_to_the_fast_way(
    read_csv: ReadCsv, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once = 0

    def counted(self: FastReader, chunk: Chunk) -> Block | None:
        nonlocal at_once
        block = plain(self, chunk)
        at_once += 0 if block is None else len(block)
        return block

    plain = FastReader.read
    monkeypatch.setattr(FastReader, "read", counted)
    rows = plain_rows(20_000)
    rows[12_345] = "yesterday,north,1.05,20.1"
    read = read_csv("\n".join(["time,vessel,gravity,temperature", *rows]))
    assert len(read.rows) == 19_999
    assert [row.line for row in read.set_aside] == [12_347]
    assert at_once > 19_800


@pytest.mark.parametrize("seed", range(3))
def test_readings_come_in_the_order_of_the_file_whatever_way_each_is_read(read_csv: ReadCsv, seed: int) -> None:
    rows = plain_rows(3000)
    for i in random.Random(seed).sample(range(3000), 40):
        rows[i] = rows[i].replace("north", '"north"')
    read = read_csv("\n".join(["time,vessel,gravity,temperature", *rows]), chunk_bytes=9000)
    assert [row.line for row in read.rows] == list(range(2, 3002))


def test_a_log_tells_what_it_ignores_once(tmp_path: Any) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,vessel,gravity,temperature,colour\n2026-03-02T09:00:00Z,north,1.05,20,7\n")
    with tablelog.open_table(path, Mapping()) as log:
        assert isinstance(log, TableLog)
        assert log.layout.ignored == ("colour",)
        assert sum(len(block) for block, _ in log.blocks()) == 1
