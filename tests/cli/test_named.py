"""A vessel or a batch may be named wherever one is: by one rule, and refused where it may be both or is neither."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from lullwort.cellarbook import Book, open_book
from lullwort.cli.named import batch_at, named
from lullwort.errors import RefusedError
from lullwort.records import Batch

Shell = Any  # the fixture's class lives in conftest.py

JUDGED = ("north.csv", "--batches", "north.toml")
DAY_US = 86_400_000_000
FIRST = Batch(vessel="north", name="north-1", pitched_us=0, packaged_us=10 * DAY_US)
SECOND = Batch(vessel="north", name="north-2", pitched_us=20 * DAY_US)
OTHER = Batch(vessel="south", name="cherry", pitched_us=0)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(tmp_path / "cellar.book") as opened:
        for batch in (FIRST, SECOND, OTHER):
            opened.batches.put(batch)
        yield opened


def test_a_vessel_or_a_batch_may_be_named(book: Book) -> None:
    assert named(book, "north") == ("north", None)
    assert named(book, "vessel:north") == ("north", None)
    assert named(book, "north-1") == ("north", FIRST)
    assert named(book, "batch:cherry") == ("south", OTHER)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("nroth-2", "knows no vessel or batch 'nroth-2'; did you mean 'north-2' or "),
        ("North", "knows no vessel or batch 'North'; did you mean 'north'"),
        ("quince", "knows no vessel or batch 'quince'; `lullwort batch list` shows them"),
        ("vessel:north-1", "knows no vessel 'north-1'; did you mean 'north'"),
        ("batch:south", "knows no batch 'south'"),
        ("keg:north", "'keg:north' is no name"),
        ("", "knows no vessel or batch ''"),
    ],
)
def test_an_unknown_name_is_refused_with_those_that_are_near(book: Book, text: str, says: str) -> None:
    with pytest.raises(RefusedError) as error:
        named(book, text)
    assert says in str(error.value)


def test_a_name_that_is_both_is_refused_with_the_way_to_tell(book: Book) -> None:
    elsewhere = Batch(vessel="south", name="north", pitched_us=30 * DAY_US)
    book.batches.put(elsewhere)
    with pytest.raises(RefusedError, match=r"in vessel 'south': write vessel:north or batch:north"):
        named(book, "north")
    assert named(book, "vessel:north") == ("north", None)
    assert named(book, "batch:north") == ("south", elsewhere)


def test_a_vessel_with_one_batch_called_as_itself_is_not_ambiguous_until_it_has_another(book: Book) -> None:
    same = Batch(vessel="east", name="east", pitched_us=0)
    book.batches.put(same)
    assert named(book, "east") == ("east", None)
    assert batch_at(book, named(book, "east"), DAY_US) == same
    book.batches.put(Batch(vessel="east", name="east-2", pitched_us=DAY_US))
    with pytest.raises(RefusedError, match="'east' is a vessel, and a batch in vessel 'east'"):
        named(book, "east")


def test_the_batch_of_a_moment_is_the_one_that_was_in_the_vessel(book: Book) -> None:
    assert batch_at(book, named(book, "north"), 0) == FIRST
    assert batch_at(book, named(book, "north"), 20 * DAY_US) == SECOND
    assert batch_at(book, named(book, "north-1"), 10 * DAY_US - 1) == FIRST
    with pytest.raises(RefusedError, match="no batch was in vessel 'north' at that time"):
        batch_at(book, named(book, "north"), 10 * DAY_US)
    with pytest.raises(RefusedError, match="batch 'north-1' was not in vessel 'north' at that time"):
        batch_at(book, named(book, "north-1"), 21 * DAY_US)


def test_a_batch_that_was_never_closed_leaves_its_vessel_when_the_next_is_pitched(book: Book) -> None:
    unclosed = msgspec.structs.replace(FIRST, packaged_us=None)
    book.batches.put(unclosed, update=True)
    assert batch_at(book, named(book, "north"), 19 * DAY_US) == unclosed
    book.batches.put(msgspec.structs.replace(SECOND, packaged_us=25 * DAY_US), update=True)
    with pytest.raises(RefusedError, match="no batch was in vessel"):
        batch_at(book, named(book, "north"), 26 * DAY_US)
    with pytest.raises(RefusedError, match="batch 'north-1' was not in vessel"):
        batch_at(book, named(book, "north-1"), 20 * DAY_US)


def test_commands_take_a_batch_as_they_take_its_vessel(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    logged("batch", "open", "north", "--pitched", "2026-08-10T00:00Z", "--name", "next")
    assert logged("verdict", "north-12").stdout.startswith("north-12 in vessel north")
    assert "next in vessel" not in logged("verdict", "north-12").stdout
    assert "next in vessel" in logged("verdict", "north").stdout
    at = ("--at", "2026-07-27T06:00Z")
    assert "noted for north-12" in logged("note", "north-12", "dry hop", *at).stdout
    assert "exactly this note" in logged("note", "north", "dry hop", *at, exits=1).stderr
    logged("batch", "close", "north-12", "--packaged", "2026-07-27T00:00Z")
    assert "was not in vessel" in logged("note", "north-12", "rouse", *at, exits=1).stderr
    assert "taken back from north-12" in logged("note", "north-12", "dry hop", *at, "--remove").stdout
    said = logged("note", "next", "dry hop", *at, exits=1).stderr
    assert "batch 'next' was not in vessel 'north' at that time" in said


def test_a_batch_is_closed_by_its_vessel_and_dated_anew_only_by_its_own_name(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    closed = logged("batch", "close", "north", "--packaged", "2026-07-28T18:00Z").stdout
    assert closed.startswith("north-12: ")
    assert "packaged Tue 28 Jul 2026 18:00 UTC" in closed
    again = logged("batch", "close", "north", "--packaged", "2026-07-27T18:00Z", exits=1).stderr
    assert "batch 'north-12' is closed already" in again
    assert "Mon 27 Jul" in logged("batch", "close", "batch:north-12", "--packaged", "2026-07-27T18:00Z").stdout
    assert "no batch was in vessel" in logged("batch", "close", "north", exits=1).stderr
