"""Finished pages are kept as long as they are true, and no longer than there is room."""

from __future__ import annotations

import gzip
from functools import partial

from lullwort.card.page import MAIN
from lullwort.card.shelf import TOKEN_PLACE, Finished, Shelf, finished


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
    size = len(page("x").packed)
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
