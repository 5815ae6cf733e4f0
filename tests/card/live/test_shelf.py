"""Finished pages are kept as long as they are true, and no longer than there is room."""

from __future__ import annotations

import gzip
from functools import partial
from typing import Any

import pytest

from lullwort.card.live.shelf import TOKEN_PLACE, Finished, Shelf, finished
from lullwort.card.pages.page import MAIN

Served = Any  # the fixture's class lives in conftest.py


def page(text: str) -> Finished:
    return finished("tag", f"{MAIN}{text}</main>")


def test_a_page_is_made_anew_once_what_it_rests_on_is_another() -> None:
    shelf, made = Shelf(), []

    def make() -> Finished:
        made.append(1)
        return page(f"made {len(made)}")

    assert shelf.page("/", "a", make) is shelf.page("/", "a", make)
    assert b"made 2" in shelf.page("/", "b", make).plain("")  # type: ignore[union-attr]
    assert shelf.page("/other", "b", lambda: None) is None
    assert len(made) == 2


def test_what_nobody_asked_for_the_longest_makes_room() -> None:
    size = len(page("x").packed) + len(repr("a"))
    shelf = Shelf(most_bytes=2 * size)
    made: list[str] = []

    def make(key: str) -> Finished:
        made.append(key)
        return page("x")

    for key in ("a", "b", "a", "c", "a", "b"):
        shelf.page(key, "same", partial(make, key))
    assert made == ["a", "b", "c", "b"]


def test_each_visitor_has_his_own_token_and_what_is_told_to_him_alone() -> None:
    kept = page(f'<input value="{TOKEN_PLACE}">')
    assert kept.plain("mine") == f'{MAIN}<input value="mine"></main>'.encode()
    assert gzip.decompress(kept.packed_for("yours", "<p>Done.</p>")) == (
        f'{MAIN}<p>Done.</p><input value="yours"></main>'.encode()
    )
    plain = page("no form")
    assert plain.packed_for("mine") is plain.packed


def test_keys_count_as_pages_do() -> None:
    shelf = Shelf(most_bytes=20_000)
    for nth in range(100):
        shelf.page((f"/{nth}?" + "x" * 3000, 1), "as it was", lambda: finished("t", "<p>"))
    assert len(shelf._kept) <= 6
    assert shelf._bytes <= 20_000
    for key in list(shelf._kept):
        shelf.page(key, "changed", lambda: None)
    assert (shelf._kept, shelf._bytes) == ({}, 0)


@pytest.fixture
def keys(monkeypatch: pytest.MonkeyPatch) -> set[object]:
    """Under which pages are kept."""
    seen: set[object] = set()
    keeps = Shelf.page

    def noted(shelf: Shelf, key: Any, rests_on: Any, made: Any) -> Any:
        seen.add(key)
        return keeps(shelf, key, rests_on, made)

    monkeypatch.setattr(Shelf, "page", noted)
    return seen


def test_what_chooses_nothing_on_a_page_keeps_no_page_of_its_own(
    served: Served, keys: set[object], guest_at: Any
) -> None:
    guest = guest_at(served.url)
    for query in ("", "?made=up", "?told=x", "?container=&span=whole", "?container=" + "x" * 500):
        assert guest.get(f"/vessel/north{query}").status == 200
        assert guest.get(f"/{query}").status == 200
    assert len(keys) == 2
    guest.get("/vessel/north?span=3d")
    guest.get("/vessel/north?from=2026-01-01T00:00Z&to=2036-01-01T00:00Z")
    guest.get("/vessel/north?to=2082758400&from=1767225600&x=y")
    guest.get("/vessel/north?container=plastic")
    assert len(keys) == 5
    assert guest.get("/vessel/north?made=up&span=3d").action("#sealed") == "/vessel/north#sealed"
