"""Rows set aside: when each was, and why."""

from __future__ import annotations

from pathlib import Path

from lullwort.card.known.asiderows import aside_rows, sorted_out
from lullwort.cellarbook import Intake, open_book
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.records import COMMON_UNITS, HOUR_US, SetAside, parse_instant

BEGAN = parse_instant("2026-05-01T00:00:00Z")


def row(text: str, column: str = "gravity", vessel: str = "v") -> SetAside:
    return SetAside("log.csv", 1, column, "x", "a number", text, vessel)


def found(*texts: str) -> tuple[int, ...]:
    return sorted_out([row(text) for text in texts], BEGAN, BEGAN + 100 * HOUR_US).at_us


def test_a_row_that_tells_its_time_with_a_zone_has_it() -> None:
    assert found("s,v,2026-05-01T02:00:00Z,x") == (BEGAN + 2 * HOUR_US,)
    assert found('{"t": "2026-05-01 04:00+01:00"}') == (BEGAN + 3 * HOUR_US,)
    assert found("2026-05-01T02:00:00.500Z and again 2026-05-01T02:00:00.500Z") == (BEGAN + 2 * HOUR_US + 500_000,)


def test_no_time_is_guessed() -> None:
    rows = [row("2026-05-01T02:00:00,x"), row("1777600000,x"), row("2026-05-01T02:00Z or 2026-05-01T03:00Z"),
            row("2026-13-41T02:00:00Z")]  # fmt: skip
    aside = sorted_out(rows, BEGAN, BEGAN + 100 * HOUR_US)
    assert (aside.at_us, aside.timeless, aside.elsewhen) == ((), 4, 0)


def test_rows_of_another_time_are_counted_apart_and_reasons_by_how_common_they_are() -> None:
    rows = [row("2025-05-01T02:00:00Z"), row("2026-05-01T02:00:00Z", "time"), row("2026-05-01T01:00:00Z", "time")]
    aside = sorted_out(rows, BEGAN, BEGAN + 100 * HOUR_US)
    assert aside.at_us == (BEGAN + HOUR_US, BEGAN + 2 * HOUR_US)
    assert (aside.elsewhen, aside.timeless) == (1, 0)
    assert aside.reasons == (("time: expected a number", 2), ("gravity: expected a number", 1))


def test_the_book_gives_rows_of_the_vessel_and_of_none_beside_it(tmp_path: Path) -> None:
    with open_book(tmp_path / "cellar.book") as book:
        builder = BlockBuilder(COMMON_UNITS)
        builder.add("s", "v", BEGAN, [1.050, 20.0, float("nan"), float("nan"), float("nan")], 0)
        run = book.imports.begin(Intake("file", "log.csv", "00" * 32), 1)
        rows = [row("2026-05-01T02:00:00Z"), row("no time", vessel=""), row("2026-05-01T03:00:00Z", vessel="other")]
        run.store(builder.build(), rows)
        run.finish(2)
        aside = aside_rows(book, "v", BEGAN, BEGAN + 100 * HOUR_US)
        assert (aside.at_us, aside.timeless, aside.unread) == ((BEGAN + 2 * HOUR_US,), 1, 0)
        assert sum(count for _, count in aside.reasons) == book.readings.set_aside_count("v") == 2
