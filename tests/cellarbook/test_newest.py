"""The newest readings of a sensor: the last ones in use, whatever they came with, and how often they come."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.cellarbook import Newest, open_book, usual_interval_us
from lullwort.cellarbook import newest as newest_module
from lullwort.cellarbook.streams import sensor_record
from lullwort.records import HOUR_US, Reading, ReportedUnits

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)


def test_the_newest_come_in_order_of_time_with_all_that_they_tell(path: Path, shelf: Shelf) -> None:
    log = [Reading("s", "north", h * HOUR_US, 1.05, 20.0) for h in range(50)]
    with open_book(path) as book:
        shelf.store(book, "a", log, battery=[4.0] * 50, signal=[-70.0] * 50)
        last = [Reading("s", "north", 50 * HOUR_US, 12.0, None)]
        shelf.store(book, "b", last, ReportedUnits("plato", battery="%"), battery=[93.0])
        two = book.readings.newest("s", 2)
        assert two[0] == Newest("north", 49 * HOUR_US, 1.05, 20.0, 4.0, None, -70.0)
        assert two[1]._replace(gravity=None) == Newest("north", 50 * HOUR_US, None, None, None, 93.0, None)
        assert two[1].gravity == pytest.approx(1.0483, abs=0.0001)  # 12 °P; a snapshot of this project's conversion
        assert len(book.readings.newest("s", 99)) == 51
        assert book.readings.newest("s", 0) == []


def test_an_unknown_sensor_has_none(path: Path) -> None:
    with open_book(path) as book:
        assert book.readings.newest("s", 5) == []
        assert (book.readings.sensors("north"), book.newest_us("north")) == ({}, None)


def test_withdrawn_and_contradicted_readings_are_not_among_them(path: Path, shelf: Shelf) -> None:
    log = [Reading("s", "north", h * HOUR_US, 1.05, 20.0) for h in range(5)]
    with open_book(path) as book:
        shelf.store(book, "a", log)
        shelf.store(book, "b", [Reading("s", "north", 4 * HOUR_US, 1.06, 20.0)])
        shelf.store(book, "c", [Reading("s", "north", 9 * HOUR_US, 1.06, 20.0)])
        assert book.newest_us("north") == 9 * HOUR_US
        book.imports.withdraw(next(i.name for i in book.imports.all() if i.place == "c.csv"), 9)
        assert [reading.at_us // HOUR_US for reading in book.readings.newest("s", 2)] == [2, 3]
        assert book.readings.sensors("north") == {"s": 4 * HOUR_US}


def test_sensors_are_listed_for_each_vessel_with_their_newest_there(path: Path, shelf: Shelf) -> None:
    log = [Reading("s", "north", 1, 1.05, 20.0), Reading("s", "south", 7, 1.05, 20.0), Reading("a", "north", 5, 1.0, 1)]
    with open_book(path) as book:
        shelf.store(book, "a", log)
        assert list(book.readings.sensors("north").items()) == [("a", 5), ("s", 1)]
        assert (book.newest_us("north"), book.newest_us("south")) == (5, 7)
        assert [reading.vessel for reading in book.readings.newest("s", 9)] == ["north", "south"]


def test_a_long_log_is_not_read_for_its_end(path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    log = [Reading("s", "north", h * HOUR_US, 1.05, 20.0) for h in range(5000)]
    read: list[int] = []

    def watched(*args: Any) -> Any:
        found = sensor_record(*args)
        read.append(0 if found is None else len(found.origin))
        return found

    with open_book(path) as book:
        shelf.store(book, "a", log)
        monkeypatch.setattr(newest_module, "sensor_record", watched)
        assert len(book.readings.newest("s", 5)) == 5
    assert sum(read) < 50


@pytest.mark.no_cover
@settings(max_examples=30, deadline=None)
@given(hours=st.lists(st.integers(-2000, 2000), max_size=30, unique=True), count=st.integers(1, 12))
def test_they_are_the_end_of_all_readings(
    tmp_path_factory: pytest.TempPathFactory, shelf: Shelf, hours: list[int], count: int
) -> None:
    log = [Reading("s", "north", h * HOUR_US, 1.05, None) for h in hours]
    with open_book(tmp_path_factory.mktemp("newest") / "cellar.book") as book:
        shelf.store(book, "a", log)
        last = [reading.at_us for reading in book.readings.of("north", *EVER)][-count:]
        assert [reading.at_us for reading in book.readings.newest("s", count)] == last


def test_the_usual_interval_is_not_that_of_a_gap() -> None:
    assert usual_interval_us([0, 15, 30, 45, 900, 915]) == 15
    assert usual_interval_us([0, 15, 900]) == 15
    assert usual_interval_us([0, 15]) is None
    assert usual_interval_us([]) is None
