"""Which batches are a batch's earlier repeats, and what is said where there are none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from lullwort.cellarbook import Book, open_book
from lullwort.cli.drawn import write_picture
from lullwort.cli.named import named
from lullwort.cli.repeats import beside_earlier
from lullwort.detector import Units
from lullwort.errors import RefusedError
from lullwort.records import HOUR_US, Batch

DAY_US = 24 * HOUR_US


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(tmp_path / "cellar.book") as opened:
        yield opened


def pitch(book: Book, name: str, day: int, recipe: str | None, vessel: str = "west") -> None:
    book.batches.put(Batch(vessel=vessel, name=name, pitched_us=day * DAY_US, recipe=recipe))


def beside(book: Book, name: str, day: int | None = None) -> list[str]:
    """Names of the earlier ones, and of the batch itself."""
    seen = beside_earlier(book, named(book, name), None if day is None else day * DAY_US)
    return [repeat.batch.name for repeat in [*seen.earlier, seen.asked]]


def test_the_earlier_ones_are_those_of_the_same_recipe_in_whatever_vessel(book: Book) -> None:
    pitch(book, "a", 10, "pale")
    pitch(book, "b", 30, "pale", "east")
    pitch(book, "c", 50, "stout")
    pitch(book, "d", 70, "pale")
    pitch(book, "e", 90, "pale", "east")
    assert beside(book, "d") == ["a", "b", "d"]
    assert beside(book, "west") == ["a", "b", "d"]
    assert beside(book, "vessel:east") == ["a", "b", "d", "e"]
    assert beside(book, "east", 40) == ["a", "b"]
    with pytest.raises(RefusedError, match="nothing was pitched yet in batch 'e' at that time"):
        beside(book, "e", 80)
    with pytest.raises(RefusedError, match="nothing was pitched yet in vessel 'west' at that time"):
        beside(book, "west", 5)


def test_of_many_the_newest_twelve_are_taken(book: Book) -> None:
    for number in range(15):
        pitch(book, f"b{number}", 10 * number, "pale")
    assert beside(book, "b14") == [f"b{number}" for number in range(2, 15)]


def test_without_readings_nothing_can_be_compared_and_nothing_fails(book: Book) -> None:
    pitch(book, "a", 10, "pale")
    pitch(book, "b", 30, "pale")
    seen = beside_earlier(book, named(book, "b"), None)
    assert (seen.likeness.compared, seen.likeness.as_before) == ((), None)
    assert seen.asked.course == []


def test_without_a_recipe_or_an_earlier_batch_of_it_it_says_how_to_enter_one(book: Book) -> None:
    pitch(book, "a", 10, None)
    pitch(book, "b", 10, "grandma's", "east")
    with pytest.raises(RefusedError, match="its recipe was not entered; `lullwort batch edit a --recipe NAME`"):
        beside(book, "a")
    with pytest.raises(RefusedError) as refused:
        beside(book, "b")
    assert 'no earlier batch of the recipe "grandma\'s"; ' in str(refused.value)
    assert "`lullwort batch edit BATCH --recipe 'grandma'\"'\"'s'`" in str(refused.value)
    pitch(book, "c", 5, "stout", "south")
    # pitched at the same moment, so that neither is the earlier one
    pitch(book, "d", 10, "grandma's", "north")
    with pytest.raises(RefusedError, match=r"\(recipes of other batches: 'stout'\)"):
        beside(book, "d")


def test_a_batch_that_has_no_gravity_yet_is_not_drawn(book: Book, tmp_path: Path) -> None:
    pitch(book, "a", 10, "pale")
    pitch(book, "b", 30, "pale")
    with pytest.raises(RefusedError, match="'b' has no hour with a gravity yet"):
        write_picture(tmp_path / "o.svg", beside_earlier(book, named(book, "b"), None), Units(), overwrite=False)
    assert not (tmp_path / "o.svg").exists()
