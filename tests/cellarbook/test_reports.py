"""What contradicts what, by import; and everything in use taken out so that another book can take it in."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.cellarbook import Book, Contradiction, Intake, Report, open_book
from lullwort.records import COMMON_UNITS, HOUR_US, VALUE_COLUMNS, Block, Reading, ReportedUnits

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)
PERCENT = ReportedUnits(battery="%")


def table(blocks: Sequence[Block]) -> list[tuple[object, ...]]:
    """Every report as (sensor, vessel, time, values, unit of battery); None for NaN."""
    return [
        (
            b.sensors[b.sensor_codes[i]], b.vessels[b.vessel_codes[i]], int(b.at_us[i]),
            *(None if np.isnan(v := getattr(b, c)[i]) else float(v) for c in VALUE_COLUMNS), b.units.battery,
        )
        for b in blocks for i in range(len(b))
    ]  # fmt: skip


def test_a_contradiction_lists_every_report_with_its_import_and_place(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3), battery=[4.1] * 3, inclination=[25.0] * 3, signal=[-70.0] * 3)
        shelf.store(book, "b", [Reading("north", "north", HOUR_US, 12.0, 68.0)], ReportedUnits("plato", "F"))
        shelf.store(book, "c", shelf.log(2), PERCENT, battery=[97.0] * 2)
        (found,) = book.readings.contradictions("north", *EVER)
        name = {i.place: i.name for i in book.imports.all()}
    assert (found.sensor, found.at_us) == ("north", HOUR_US)
    reports = {report.place: report for report in found.reports}
    assert reports["a.csv"] == Report(name["a.csv"], "a.csv", "north", 1.0499, 20.0, 25.0, 4.1, None, -70.0)
    assert reports["c.csv"] == Report(name["c.csv"], "c.csv", "north", 1.0499, 20.0, None, None, 97.0, None)
    # 12 °P by the conversion under test elsewhere (tests/science/test_gravity_units.py).
    assert reports["b.csv"]._replace(gravity=None) == Report(
        name["b.csv"], "b.csv", "north", None, 20.0, None, None, None, None
    )
    assert round(reports["b.csv"].gravity or 0.0, 4) == 1.0483


def test_contradictions_are_of_the_vessel_and_the_time_asked_for(path: Path, shelf: Shelf) -> None:
    two = [Reading(s, "north", h * HOUR_US, 1.05, 20.0) for s in ("b", "a") for h in range(3)]
    moved = [Reading(s, "south", h * HOUR_US, 1.05, 20.0) for s in ("b", "a") for h in range(1, 3)]

    def found(book: Book, vessel: str, from_us: int, to_us: int) -> list[tuple[int, str]]:
        return [(c.at_us // HOUR_US, c.sensor) for c in book.readings.contradictions(vessel, from_us, to_us)]

    with open_book(path) as book:
        shelf.store(book, "a", two)
        shelf.store(book, "b", moved)
        assert found(book, "north", *EVER) == [(1, "a"), (1, "b"), (2, "a"), (2, "b")]
        assert found(book, "south", *EVER) == found(book, "north", *EVER)
        assert found(book, "north", 2 * HOUR_US, 3 * HOUR_US) == [(2, "a"), (2, "b")]
        assert found(book, "west", *EVER) == []
        assert book.readings.conflicts("north", *EVER) == 4
        wrong = next(i for i in book.imports.all() if i.place == "b.csv")
        book.imports.withdraw(wrong.name, 9)
        assert found(book, "north", *EVER) == []


def test_a_report_repeated_in_one_import_is_listed_once(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(1) + shelf.log(1, gravity=1.06) + shelf.log(1))
        found: list[Contradiction] = list(book.readings.contradictions("north", *EVER))
        assert [sorted(r.gravity or 0.0 for r in c.reports) for c in found] == [[1.05, 1.06]]


def test_reports_are_each_given_once_by_sensor_and_time_and_contradicting_ones_all(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3)[::-1] + shelf.log(1, sensor="east"))
        shelf.store(book, "b", shelf.log(2))
        shelf.store(book, "c", shelf.log(1, gravity=1.06), inclination=[25.0], signal=[-70.0])
        assert table(list(book.readings.reports(None, *EVER))) == [
            ("east", "east", 0, 1.05, 20.0, None, None, None, "V"),
            ("north", "north", 0, 1.05, 20.0, None, None, None, "V"),
            ("north", "north", 0, 1.06, 20.0, 25.0, None, -70.0, "V"),
            ("north", "north", HOUR_US, 1.0499, 20.0, None, None, None, "V"),
            ("north", "north", 2 * HOUR_US, 1.0498, 20.0, None, None, None, "V"),
        ]  # fmt: skip
        assert [row[0] for row in table(list(book.readings.reports("east", *EVER)))] == ["east"]
        assert table(list(book.readings.reports("north", HOUR_US, 2 * HOUR_US)))[0][2] == HOUR_US
        assert list(book.readings.reports("west", *EVER)) == []


def test_each_unit_of_battery_has_its_own_block(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(2), battery=[4.1, np.nan])
        shelf.store(book, "b", shelf.log(3), PERCENT, battery=[97.0, 96.0, np.nan])
        assert table(list(book.readings.reports("north", *EVER))) == [
            ("north", "north", 0, 1.05, 20.0, None, 4.1, None, "V"),
            ("north", "north", 2 * HOUR_US, 1.0498, 20.0, None, None, None, "V"),
            ("north", "north", 0, None, None, None, 97.0, None, "%"),
            ("north", "north", HOUR_US, 1.0499, 20.0, None, 96.0, None, "%"),
        ]
        shelf.store(book, "c", shelf.log(2, sensor="east"), PERCENT, battery=[97.0, np.nan])
        assert [row[-1] for row in table(list(book.readings.reports("east", *EVER)))] == ["%", "%"]


UNITS = st.sampled_from([COMMON_UNITS, PERCENT, ReportedUnits("points", "F")])
VALUE = st.sampled_from([1.0, 2.0, float("nan")])
ROWS = st.lists(
    st.tuples(st.sampled_from("ab"), st.sampled_from("vw"), st.integers(0, 3), VALUE, VALUE), min_size=1, max_size=8
)


@pytest.mark.no_cover
@settings(max_examples=60, deadline=None)
@given(imports=st.lists(st.tuples(UNITS, ROWS), min_size=1, max_size=4))
def test_what_is_taken_out_makes_the_same_book_again(
    tmp_path_factory: pytest.TempPathFactory, shelf: Shelf, imports: list[tuple[ReportedUnits, list[Any]]]
) -> None:
    one, other = (tmp_path_factory.mktemp("books") / name for name in ("one", "other"))
    with open_book(one) as book, open_book(other) as again:
        for content, (units, rows) in enumerate(imports):
            log = [Reading(s, v, t, None if g != g else g, 20.0) for s, v, t, g, _ in rows]
            shelf.store(book, f"{content}", log, units, battery=[battery for *_, battery in rows])
        blocks = list(book.readings.reports(None, *EVER))
        for target in (again, book):
            run = target.imports.begin(Intake("blocks", "taken out", "c0ffee"), 1)
            for block in blocks:
                run.store(block)
            counts = run.finish(2)
        assert counts.stored == 0, "what a book gave away is nothing new to it"
        assert table(list(again.readings.reports(None, *EVER))) == table(blocks)
        for vessel in "vw":
            assert list(again.readings.of(vessel, *EVER)) == list(book.readings.of(vessel, *EVER))
            assert again.readings.conflicts(vessel, *EVER) == book.readings.conflicts(vessel, *EVER)
