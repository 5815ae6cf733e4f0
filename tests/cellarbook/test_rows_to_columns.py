"""A book of version 1 brought up to date, with rows of every kind in it."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import Told, VerdictRow, open_book
from lullwort.cellarbook import rows_to_columns as step
from lullwort.cellarbook.keys import key_name
from lullwort.cellarbook.segments import pack
from lullwort.errors import BookDamagedError, BookError
from lullwort.records import HOUR_US, Batch, Event, Reading, ReportedUnits, SetAside, key64

pytestmark = pytest.mark.usefixtures("unmeasured")

Shelf = Any  # the fixtures' classes live in conftest.py
Layout = Any
EVER = (-(2**62), 2**62)

MANY = 70_000
GOOD, OTHER_UNITS, WITHDRAWN, CUT_OFF = (key64(sha256) for sha256 in ("aa", "bb", "cc", "dd"))
BATCH = Batch(
    vessel="north", name="north-12", pitched_us=0, original_gravity=1.05, events=(Event(at_us=5, kind="rouse"),)
)
# import, sensor, vessel, hour, gravity, temperature, inclination, battery, signal
ROWS = [
    (GOOD, "north", "north", 0, 1.0500, 20.0, 25.0, 4.1, -70.0),
    (GOOD, "north", "north", 1, 1.0499, None, None, None, None),
    (GOOD, "north", "north", 2, None, 20.0, None, 4.0, None),
    (GOOD, "north", "south", 3, -0.0, 20.0, None, None, None),
    (GOOD, "north", "north", 4, 1.0496, 20.0, None, None, None),
    (GOOD, "north", "north", 4, 1.0666, 20.0, None, None, None),
    (OTHER_UNITS, "north", "north", 5, 12.0, 68.0, None, None, None),
    (WITHDRAWN, "north", "north", 0, 1.111, 20.0, None, None, None),
    (CUT_OFF, "north", "north", 6, 1.222, 20.0, None, None, None),
]


@pytest.fixture
def old(path: Path, book_of_version_1: Path) -> Path:
    """A book of version 1."""
    return Path(shutil.copy(book_of_version_1, path))


@pytest.fixture(scope="module")
def book_of_version_1(tmp_path_factory: pytest.TempPathFactory, shelf: Shelf) -> Path:
    path = tmp_path_factory.mktemp("old") / "cellar.book"
    with shelf.older(path, 1) as book:
        names = ["north", "south", "many"]
        book.executemany("INSERT INTO name VALUES (?, ?)", [(key64(name), name) for name in names])
        options = "zone=None decimal_comma=False vessel=None"
        book.executemany(
            "INSERT INTO import VALUES (?, 'csv', ?, ?, ?, ?, ?, ?, ?, ?)",
            [
                (GOOD, "good.csv", "aa", "sg", "C", options, 1, 2, None),
                (OTHER_UNITS, "other.csv", "bb", "plato", "F", options, 3, 4, None),
                (WITHDRAWN, "wrong.csv", "cc", "sg", "C", options, 5, 6, 7),
                (CUT_OFF, "cut.csv", "dd", "sg", "C", options, 8, None, None),
            ],
        )
        many = [(GOOD, "many", "many", i, 1.05 - i / 1e7, 20.0, None, None, None) for i in range(MANY)]
        _insert(book, [*ROWS, *many])
        book.executemany(
            "INSERT INTO set_aside VALUES (?, ?, 'gravity', ?, 'x', 'a number', ?)",
            [(GOOD, 7, "good.csv", "7;x"), (GOOD, 9, "good.csv", "9;x"), (WITHDRAWN, 7, "wrong.csv", "7;x")],
        )
    return path


def _insert(connection: sqlite3.Connection, rows: Iterable[tuple[Any, ...]]) -> None:
    connection.executemany(
        "INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (key64(sensor), hour * HOUR_US, key64(repr(values)), imported, key64(vessel), *values)
            for imported, sensor, vessel, hour, *values in rows
        ],
    )
    connection.execute(
        "INSERT INTO import_span SELECT import, sensor, vessel, min(at_us), max(at_us) FROM reading GROUP BY 1, 2, 3"
    )


def enter_by_hand(path: Path) -> None:
    """A batch with its event, history and what was told: their tables are the same in both versions."""
    made = path.with_name("made.book")
    with open_book(made) as book:
        book.batches.put(BATCH)
        book.verdicts.save("north-12", [VerdictRow(5, "lag", "", "[]")])
        book.verdicts.tell("north-12", Told(6, "lag", 5, "Wait."))
    connection = sqlite3.connect(path)
    for table in ("batch", "event", "verdict", "told"):
        rows = sqlite3.connect(made).execute(f"SELECT * FROM {table}").fetchall()
        connection.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(rows[0]))})", rows)
    connection.commit()
    connection.close()


@pytest.mark.no_cover
def test_everything_in_a_book_of_version_1_is_there_afterwards(old: Path, shelf: Shelf, newest: Layout) -> None:
    enter_by_hand(old)
    with open_book(old) as book:
        readings = list(book.readings.of("north", *EVER))
        assert readings[:3] == [
            Reading("north", "north", 0, 1.05, 20.0, 25.0), Reading("north", "north", HOUR_US, 1.0499, None),
            Reading("north", "north", 2 * HOUR_US, None, 20.0),
        ]  # fmt: skip
        # 12 °P in a book of version 1 are still 12 °P; the import that was cut off counts nothing.
        assert [r.at_us // HOUR_US for r in readings[3:]] == [5]
        assert (round(readings[3].gravity or 0.0, 4), readings[3].temperature_c) == (1.0483, 20.0)
        assert list(book.readings.of("south", *EVER)) == [Reading("north", "south", 3 * HOUR_US, 0.0, 20.0)]
        many = list(book.readings.of("many", *EVER))
        assert many == [Reading("many", "many", i * HOUR_US, 1.05 - i / 1e7, 20.0) for i in range(MANY)]
        ((block),) = book.readings.reports("north", 0, 1)
        assert (block.inclination[0], block.battery[0], block.signal[0]) == (25.0, 4.1, -70.0)
        assert [len(c.reports) for c in book.readings.contradictions("north", *EVER)] == [2]
        assert [(i.name, i.place, i.readings, i.set_aside, i.in_use) for i in book.imports.all()] == [
            (key_name(GOOD), "good.csv", 6 + MANY, 2, True), (key_name(OTHER_UNITS), "other.csv", 1, 0, True),
            (key_name(WITHDRAWN), "wrong.csv", 1, 1, False), (key_name(CUT_OFF), "cut.csv", 1, 0, False),
        ]  # fmt: skip
        assert [(i.started_us, i.finished_us, i.withdrawn_us) for i in book.imports.all()] == [
            (1, 2, None), (3, 4, None), (5, 6, 7), (8, None, None)
        ]  # fmt: skip
        assert book.imports.set_aside(key_name(GOOD)) == [
            SetAside("good.csv", line, "gravity", "x", "a number", f"{line};x") for line in (7, 9)
        ]
        assert book.readings.set_aside_count("north") == 2
        assert book.batches.all() == [BATCH]
        assert book.verdicts.of("north-12") == [VerdictRow(5, "lag", "", "[]")]
        assert book.verdicts.told("north-12") == [Told(6, "lag", 5, "Wait.")]
    assert shelf.layout(old) == newest


def test_a_log_stored_in_version_1_and_stored_again_says_nothing_new(old: Path, shelf: Shelf) -> None:
    with open_book(old) as book:
        log = [Reading("north", "north", 5 * HOUR_US, 12.0, 68.0)]
        assert shelf.store(book, "other", log, ReportedUnits("plato", "F")) == (1, 0, 1, 0, 0)
        # What was cut off counts once it is stored to its end.
        cut = [Reading("north", "north", 6 * HOUR_US, 1.222, 20.0)]
        assert shelf.store(book, "cut", cut) == (1, 1, 0, 0, 0)


def test_a_step_that_fails_leaves_the_old_book(old: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    before = shelf.layout(old), shelf.everything(old)
    calls = iter(range(100))

    def fails(*args: Any) -> Any:
        if next(calls) == 2:
            raise RuntimeError("cut off")
        return pack(*args)

    with monkeypatch.context() as patched:
        patched.setattr(step, "pack", fails)
        with pytest.raises(RuntimeError, match="cut off"), open_book(old):
            pass
    assert (shelf.layout(old), shelf.everything(old)) == before
    with open_book(old) as book:
        assert len(list(book.readings.of("many", *EVER))) == MANY


KILLED = """
import os, signal, sys
from lullwort.cellarbook import open_book, rows_to_columns

pack, calls = rows_to_columns.pack, iter(range(100))

def killed(*args):
    if next(calls) == int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
    return pack(*args)

rows_to_columns.pack = killed
"""


@pytest.mark.no_cover
@pytest.mark.parametrize("moment", [0, 2, 5])
def test_a_step_that_is_killed_leaves_the_old_book(old: Path, shelf: Shelf, moment: int) -> None:
    before = shelf.layout(old), shelf.everything(old)
    shelf.die_opening(old, KILLED, moment)
    assert (shelf.layout(old), shelf.everything(old)) == before
    with open_book(old) as book:
        assert len(list(book.readings.of("many", *EVER))) == MANY


@pytest.mark.parametrize(
    "lost", ["DELETE FROM name WHERE text = 'south'", "DELETE FROM import WHERE place = 'cut.csv'"]
)
def test_a_book_of_version_1_that_lacks_something_is_left_as_it_is(old: Path, shelf: Shelf, lost: str) -> None:
    connection = sqlite3.connect(old)
    connection.execute(lost)
    connection.commit()
    connection.close()
    before = shelf.layout(old), shelf.everything(old)
    with pytest.raises(BookDamagedError, match="refers to what the book does not hold"), open_book(old):
        pass
    assert (shelf.layout(old), shelf.everything(old)) == before


def test_a_book_of_version_1_that_may_not_be_written_is_told(old: Path) -> None:
    before, writable = old.read_bytes(), os.access
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(os, "access", lambda path, mode: mode != os.W_OK and writable(path, mode))
        with pytest.raises(BookError, match="must be brought up to date, but may not be written"), open_book(old):
            pass
    assert old.read_bytes() == before
