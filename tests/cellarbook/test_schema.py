"""The tables of each version stay what they were, and a book of any version comes to what a new one is."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.cellarbook.schema import VERSION

Shelf = Any  # the fixtures' classes live in conftest.py
Layout = Any

# Snapshots, each taken when its version was the newest: of its statements in the order of `Shelf.layout`, lines between
# them, the first 16 digits of SHA-256. A step that comes adds its own; one that differs has been changed since, though
# what it made lies in somebody's cellar.
AS_IT_WAS = {
    1: "dcdf869ff1bf7d8f",
    2: "71093690236dda1a",
    3: "5e5afe561292682c",
    4: "224fcddc02d02d80",
    5: "94030d515eaeb0f4",
}


def test_every_version_is_held() -> None:
    assert list(AS_IT_WAS) == list(range(1, VERSION + 1))


@pytest.mark.parametrize("version", AS_IT_WAS)
def test_no_step_is_ever_changed_and_all_lead_to_what_a_new_book_is(
    path: Path, shelf: Shelf, newest: Layout, version: int
) -> None:
    with shelf.older(path, version):
        pass
    made = shelf.layout(path)
    digest = hashlib.sha256("\n".join(made.statements).encode()).hexdigest()[:16]
    assert (made.version, digest) == (version, AS_IT_WAS[version])
    with open_book(path):
        pass
    assert shelf.layout(path) == newest
