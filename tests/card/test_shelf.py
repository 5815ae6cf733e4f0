"""Pages are kept within a bound, whatever is asked for."""

from __future__ import annotations

from typing import Any

import pytest

from lullwort.card.shelf import Shelf, finished

Served = Any  # the fixture's class lives in conftest.py


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
