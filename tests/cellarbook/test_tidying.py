"""Live readings put together: fewer rows, and nothing that is read out of the book differs, even after a kill."""

from __future__ import annotations

import shutil
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.cellarbook import Book, Intake, imports, open_book, tidying
from lullwort.errors import BookDamagedError, RefusedError
from lullwort.records import HOUR_US, Reading, ReportedUnits, SetAside

pytestmark = pytest.mark.usefixtures("unmeasured")

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)
LIVE = Intake("live", "the cellar", "c0ffee", open_ended=True)
MINUTE_US = 60_000_000
DAY_US = 24 * HOUR_US


def minutes(first: int, count: int, sensor: str = "north") -> list[Reading]:
    return [Reading(sensor, "north", i * MINUTE_US, 1.05 - i / 1e6, 20.0) for i in range(first, first + count)]


def test_of_rows_set_aside_there_are_no_more_than_anybody_looks_through(
    path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(imports, "_MOST_SET_ASIDE", 100)
    with open_book(path) as book:
        run = book.imports.begin(LIVE, 1)
        run.store(shelf.block(minutes(0, 1)), [SetAside("t", 0, "v", f"{n}", "a number", "{}") for n in range(350)])
        run.commit()
        book.imports.tidy(run.name, 1)
        kept = book.imports.set_aside(run.name)
        assert len({row.seen for row in kept}) == len(kept) == 100
        assert seen(book) != []
        book.imports.tidy(run.name, 1)
        assert book.imports.set_aside(run.name) == kept


def one_by_one(book: Book, shelf: Shelf, readings: list[Reading]) -> str:
    run = book.imports.begin(LIVE, 1)
    for reading in readings:
        run.store(shelf.block([reading]))
        run.commit()
    return run.name


def runs(path: Path) -> list[int]:
    """How many readings each run has, by time."""
    connection = sqlite3.connect(path)
    found = [n for (n,) in connection.execute("SELECT readings FROM segment ORDER BY first_us, key")]
    connection.close()
    return found


def seen(book: Book) -> object:
    """All that is read out of a book, each value bit by bit."""
    blocks = [
        (
            block.sensors, block.vessels, block.units, block.sensor_codes.tobytes(), block.vessel_codes.tobytes(),
            block.at_us.tobytes(), block.gravity.tobytes(), block.temperature.tobytes(), block.battery.tobytes(),
        )
        for block in book.readings.reports(None, *EVER)
    ]  # fmt: skip
    vessels = book.readings.vessels()
    return (
        blocks,
        [(list(book.readings.of(v, *EVER)), list(book.readings.contradictions(v, *EVER))) for v in vessels],
        [(book.readings.conflicts(v, *EVER), book.readings.sensors(v), book.newest_us(v)) for v in vessels],
        [(i.name, i.set_aside, i.in_use) for i in book.imports.all()],
    )


def test_days_that_are_over_become_a_run_each(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        log = minutes(0, 30) + minutes(1440, 20) + minutes(2880, 10)
        name = one_by_one(book, shelf, log)
        assert book.imports.tidy(name, 2 * DAY_US) == 29 + 19
        assert runs(path) == [30, 20, *[1] * 10]
        assert list(book.readings.of("north", *EVER)) == log
        assert book.imports.tidy(name, 2 * DAY_US) == 0
        assert book.imports.tidy(name, 3 * DAY_US) == 9
        assert runs(path) == [30, 20, 10]


def test_a_day_that_goes_on_is_put_together_when_it_has_many_runs_and_large_ones_are_left_alone(
    path: Path, shelf: Shelf
) -> None:
    with open_book(path) as book:
        name = one_by_one(book, shelf, minutes(0, 63))
        assert book.imports.tidy(name, HOUR_US) == 0
        one_by_one(book, shelf, minutes(63, 137))
        assert book.imports.tidy(name, HOUR_US) == 199
        one_by_one(book, shelf, minutes(200, 64))
        assert book.imports.tidy(name, HOUR_US) == 63, "200 readings are not written again for 64"
        assert runs(path) == [200, 64]
        one_by_one(book, shelf, minutes(264, 62))
        assert book.imports.tidy(name, HOUR_US) == 63, "but for 126 they are, 64 of them in one run"
        assert runs(path) == [326]


def test_streams_and_units_stay_apart(path: Path, shelf: Shelf) -> None:
    plato = [Reading("south", "north", i * MINUTE_US, 12.0, 20.0) for i in range(5)]
    with open_book(path) as book:
        name = one_by_one(book, shelf, minutes(0, 5) + minutes(0, 5, sensor="south"))
        run = book.imports.begin(LIVE, 1)
        for reading in plato:
            run.store(shelf.block([reading], ReportedUnits("plato")))
            run.commit()
        before = seen(book)
        assert book.imports.tidy(name, DAY_US) == 12
        assert runs(path) == [5, 5, 5]
        assert seen(book) == before


def test_equal_reports_are_kept_once_and_different_ones_all(path: Path, shelf: Shelf) -> None:
    other = Reading("north", "north", 0, 1.111, 20.0)
    with open_book(path) as book:
        run = book.imports.begin(LIVE, 1)
        for readings in (minutes(0, 3), minutes(1, 3), minutes(0, 3), [other], [other, *minutes(0, 1)]):
            run.store(shelf.block(readings))
            run.commit()
        before = seen(book)
        assert book.imports.tidy(run.name, DAY_US) == 3
        assert runs(path) == [5], "four instants, one of them with two reports"
        assert seen(book) == before
        assert [len(c.reports) for c in book.readings.contradictions("north", *EVER)] == [2]


def test_what_is_sent_again_after_tidying_is_no_news(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        log = minutes(0, 10)
        name = one_by_one(book, shelf, log)
        book.imports.tidy(name, DAY_US)
        one_by_one(book, shelf, log[3:5])
        assert list(book.readings.of("north", *EVER)) == log
        book.imports.tidy(name, DAY_US)
        assert runs(path) == [10]


def test_no_run_grows_beyond_what_one_transaction_should_hold(
    path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tidying, "_RUN_ROWS", 50)
    with open_book(path) as book:
        log = minutes(0, 330)
        name = one_by_one(book, shelf, log)
        run = book.imports.begin(LIVE, 1)
        run.store(shelf.block(minutes(330, 120)))  # came as one, and stays so
        run.commit()
        book.imports.tidy(name, DAY_US)
        assert sorted(runs(path)) == [30, *[50] * 6, 120]
        assert list(book.readings.of("north", *EVER)) == log + minutes(330, 120)
        assert book.imports.tidy(name, DAY_US) == 0


def test_however_often_a_sensor_sends_all_that_it_has_little_is_held_at_once(
    path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tidying, "_RUN_ROWS", 50)
    held: list[int] = []
    each_once = tidying._each_once

    def watched(at_us: Any, values: Any) -> Any:
        held.append(len(at_us))
        return each_once(at_us, values)

    monkeypatch.setattr(tidying, "_each_once", watched)
    with open_book(path) as book:
        run = book.imports.begin(LIVE, 1)
        for count in range(1, 41):  # 820 reports of 40 readings
            run.store(shelf.block(minutes(0, count)))
            run.commit()
        assert book.imports.tidy(run.name, DAY_US) == 39
        assert runs(path) == [40]
    assert max(held) <= 100


def test_a_run_that_is_not_what_was_written_is_told_and_left(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        name = one_by_one(book, shelf, minutes(0, 3))
        connection = sqlite3.connect(path)
        connection.execute("UPDATE segment SET gravity = zeroblob(8) WHERE first_us = 0")
        connection.commit()
        connection.close()
        before = shelf.everything(path)
        with pytest.raises(BookDamagedError, match="not what was stored"):
            book.imports.tidy(name, DAY_US)
    assert shelf.everything(path) == before


def test_only_what_came_one_by_one_is_tidied(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(3))
        with pytest.raises(ValueError, match="not open-ended"):
            book.imports.tidy(book.imports.all()[0].name, DAY_US)
        with pytest.raises(RefusedError, match="no import is called 'zz'"):
            book.imports.tidy("zz", DAY_US)


def test_two_that_tidy_at_once_do_no_harm(path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_book(path) as book, open_book(path) as other:
        name = one_by_one(book, shelf, minutes(0, 10))
        tidy_day = tidying._tidy_day
        overtaken = []

        def overtake(*args: Any) -> int | None:
            with monkeypatch.context() as patched:  # the other one is done before this one may write
                patched.setattr(tidying, "_tidy_day", tidy_day)
                overtaken.append(other.imports.tidy(name, DAY_US))
            return tidy_day(*args)

        monkeypatch.setattr(tidying, "_tidy_day", overtake)
        assert (book.imports.tidy(name, DAY_US), overtaken) == (0, [9])
        assert list(book.readings.of("north", *EVER)) == minutes(0, 10)


@pytest.mark.no_cover
@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32), run_rows=st.integers(2, 40), many=st.integers(2, 8))
def test_readers_see_the_same_before_and_after(
    tmp_path_factory: pytest.TempPathFactory, shelf: Shelf, seed: int, run_rows: int, many: int
) -> None:
    random = Random(seed)
    with open_book(tmp_path_factory.mktemp("tidy") / "cellar.book") as book, pytest.MonkeyPatch.context() as patched:
        patched.setattr(tidying, "_RUN_ROWS", run_rows)
        patched.setattr(tidying, "_MANY", many)
        shelf.store(book, "file", [reading for reading in shelf.log(60) if random.random() < 0.5])
        run = book.imports.begin(LIVE, 1)
        for _ in range(random.randint(1, 60)):
            # Some before 1970, some over midnight, some twice, some that contradict others or leave something out.
            start = random.randint(-30, 60)
            message = [
                Reading(
                    random.choice(["north", "south"]), random.choice(["north"] * 9 + ["west"]),
                    (start + i // 2) * HOUR_US, random.choice([1.05, 1.05, 1.04, None, -0.0]),
                    random.choice([20.0, 20.0, None]),
                )
                for i in range(random.choice([1, 1, 1, 2, 7]))
            ]  # fmt: skip
            units = random.choice([ReportedUnits(), ReportedUnits(battery="%")])
            battery = [random.choice([4.0, float("nan")]) for _ in message]
            run.store(shelf.block(message, units, battery=battery))
            run.commit()
            if random.random() < 0.1:
                before = seen(book)
                assert book.imports.tidy(run.name, random.randint(-40, 80) * HOUR_US) >= 0
                assert seen(book) == before
        before = seen(book)
        while book.imports.tidy(run.name, 9 * DAY_US):  # what is cut off from one day may fall to the next
            assert seen(book) == before
        assert seen(book) == before


# -- killed --------------------------------------------------------------------------------------------------------

TIDY = """
import os, signal, sqlite3, sys
from pathlib import Path
from lullwort.cellarbook import open_book, tidying

path, name, now_us, moment = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])

class Killed(sqlite3.Connection):
    statements = 0

    def execute(self, *args):
        self.count()
        return super().execute(*args)

    def executemany(self, *args):
        self.count()
        return super().executemany(*args)

    def count(self):
        self.statements += 1
        if self.statements == moment:
            os.kill(os.getpid(), signal.SIGKILL)

plainly = sqlite3.connect
with open_book(path) as book:
    pass
sqlite3.connect = lambda *args, **more: plainly(*args, factory=Killed, **more)
tidy_day = tidying._tidy_day

def told(*args):
    print("a day", flush=True)
    return tidy_day(*args)

tidying._tidy_day = told
with open_book(path) as book:
    book.imports.tidy(name, now_us)
"""


@pytest.fixture(scope="module")
def forty_days(tmp_path_factory: pytest.TempPathFactory, shelf: Shelf) -> tuple[Path, str, list[Reading], object]:
    """A book with forty days, its import's name, its readings and all that is read out of it."""
    path = tmp_path_factory.mktemp("untidy") / "cellar.book"
    log = [reading for day in range(40) for reading in minutes(day * 1440, 6)]
    with open_book(path) as book:
        name = one_by_one(book, shelf, log)
        before = seen(book)
    return path, name, log, before


@pytest.fixture
def untidy(path: Path, forty_days: tuple[Path, str, list[Reading], object]) -> tuple[Path, str, list[Reading], object]:
    """A copy of it."""
    book, name, log, before = forty_days
    shutil.copy(book, path)
    return path, name, log, before


@pytest.mark.no_cover
@pytest.mark.parametrize("statement", [3, 6, 7, 8, 9, 12, 15, 16, 17, 18, 60, 61, 62, 63, 64, 65, 66, 67, 68, 69])
def test_tidying_killed_before_any_statement_leaves_all_readings(
    untidy: tuple[Path, str, list[Reading], object], statement: int
) -> None:
    path, name, log, before = untidy
    command = [sys.executable, "-c", TIDY, str(path), name, str(99 * DAY_US), str(statement)]
    killed = subprocess.run(command, check=False, stdout=subprocess.PIPE)
    assert killed.returncode == -signal.SIGKILL
    with open_book(path) as book:
        assert seen(book) == before
        book.imports.tidy(name, 99 * DAY_US)
        assert seen(book) == before
    assert (runs(path), len(log)) == ([6] * 40, 240)


@pytest.mark.no_cover
@pytest.mark.parametrize("days", [1, 2, 5, 9, 14, 20, 27, 39])
def test_tidying_killed_from_outside_leaves_all_readings(
    untidy: tuple[Path, str, list[Reading], object], days: int
) -> None:
    path, name, _, before = untidy
    command = [sys.executable, "-c", TIDY, str(path), name, str(99 * DAY_US), "-1"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as tidying_child:
        assert tidying_child.stdout is not None
        for _ in range(days):
            assert tidying_child.stdout.readline() == "a day\n"
        tidying_child.kill()  # while it is at that day, or at one of the next
    with open_book(path) as book:
        assert seen(book) == before
        book.imports.tidy(name, 99 * DAY_US)
        assert seen(book) == before
    assert runs(path) == [6] * 40


def test_values_are_kept_bit_by_bit(path: Path, shelf: Shelf) -> None:
    odd = [1.0 + 2**-52, np.nextafter(1.0, 0.0), 5e-324, -5e-324, float("inf"), None]
    log = [Reading("north", "north", i * MINUTE_US, value, None) for i, value in enumerate(odd)]
    with open_book(path) as book:
        name = one_by_one(book, shelf, log)
        before = seen(book)
        assert book.imports.tidy(name, DAY_US) == 5
        assert seen(book) == before
