"""The revision: another process's imports, batches and events change it; what a service writes all day does not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from lullwort.cellarbook import Book, Intake, Told, VerdictRow, open_book
from lullwort.cellarbook.database import Database
from lullwort.cellarbook.revision import Revision
from lullwort.records import Alert, Batch, Event

Shelf = Any  # the fixture's class lives in conftest.py
LIVE = Intake("live", "the cellar", "c0ffee", open_ended=True)
BATCH = Batch(vessel="north", name="north-12", pitched_us=0)
ALERT = Alert(kind="ready", about="north-12", on=True, at_us=7, title="Ready", says="It may be packaged.")


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    with open_book(path) as book:
        yield book


@pytest.fixture(params=["by another", "by the same"])
def writer(request: pytest.FixtureRequest, path: Path, book: Book) -> Iterator[Book]:
    if request.param == "by the same":
        yield book
    else:
        with open_book(path) as other:
            yield other


def test_it_changes_with_imports_in_use_batches_and_events(book: Book, writer: Book, shelf: Shelf) -> None:
    seen = [book.revision()]

    def look() -> None:
        assert book.revision() == book.revision()
        seen.append(book.revision())

    shelf.store(writer, "a", shelf.log(3))
    look()
    writer.imports.withdraw(writer.imports.all()[0].name, 9)
    assert book.revision() == seen[0], "without the import it is as it was"
    shelf.store(writer, "a", shelf.log(3))
    assert book.revision() == seen[1]
    writer.batches.put(BATCH)
    look()
    writer.batches.put(msgspec.structs.replace(BATCH, original_gravity=1.05), update=True)
    look()
    writer.batches.add_event("north-12", Event(at_us=5, kind="rouse"))
    look()
    writer.batches.remove_event("north-12", Event(at_us=5, kind="rouse"))
    assert book.revision() == seen[-2]
    writer.imports.begin(LIVE, 1)
    look()
    assert len(set(seen)) == len(seen)


def test_it_stays_with_live_readings_verdicts_alerts_and_half_an_import(book: Book, writer: Book, shelf: Shelf) -> None:
    run = writer.imports.begin(LIVE, 1)
    before = book.revision()
    for reading in shelf.log(3):
        run.store(shelf.block([reading]))
        run.commit()
        assert book.revision() == before
    assert writer.imports.tidy(run.name, 2**62) == 2
    writer.outbox.put([ALERT], ["push"], 8)
    writer.outbox.delivered(ALERT, "push", 9)
    writer.verdicts.save("north-12", [VerdictRow(5, "lag", "", "[]")])
    writer.verdicts.tell("north-12", Told(6, "lag", 5, "Wait."))
    half = writer.imports.begin(shelf.intake("b"), 1)
    half.store(shelf.block(shelf.log(30)))
    half.commit()
    assert book.revision() == before


def test_two_books_that_hold_the_same_have_the_same(book: Book, path: Path, shelf: Shelf) -> None:
    with open_book(path.with_name("other.book")) as other:
        for one in (book, other):
            shelf.store(one, "a", shelf.log(3))
            one.batches.put(BATCH)
        assert book.revision() == other.revision()


def test_nothing_is_read_again_while_nobody_writes(path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_book(path) as other:
        db = Database(path, wait_s=1.0, create=False, cache_kib=2000)
        revision = Revision(db)
        before = revision.number()
        asked: list[str] = []
        rows = db.rows

        def watched(sql: str) -> list[Any]:
            asked.append(sql)
            return rows(sql)

        monkeypatch.setattr(db, "rows", watched)
        assert revision.number() == before
        assert asked == ["PRAGMA data_version"]
        shelf.store(other, "a", shelf.log(3))
        assert revision.number() != before
        assert len(asked) == 7
        db.close()


def test_the_disk_s_free_room_is_told(book: Book) -> None:
    assert book.free_bytes() > 0
