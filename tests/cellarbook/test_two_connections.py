"""A process that has a book open twice, as the service has, beside others that open and close it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Batch

pytestmark = pytest.mark.usefixtures("unmeasured")

LOOK = """
import sys
from pathlib import Path
from lullwort.cellarbook import open_book
with open_book(Path(sys.argv[1])) as book:
    print(*(batch.name for batch in book.batches.all()))
"""


def seen_by_another_process(path: Path) -> list[str]:
    done = subprocess.run([sys.executable, "-c", LOOK, str(path)], capture_output=True, text=True, check=True)
    return done.stdout.split()


def test_what_it_writes_is_seen_by_others_though_they_closed_the_book_meanwhile(tmp_path: Path) -> None:
    path = tmp_path / "cellar.book"
    with open_book(path) as first, open_book(path) as second:
        first.batches.put(Batch(vessel="north", name="north-1", pitched_us=1))
        assert seen_by_another_process(path) == ["north-1"]  # closes it, and must not take itself for the last
        first.batches.put(Batch(vessel="north", name="north-2", pitched_us=2))
        second.batches.put(Batch(vessel="north", name="north-3", pitched_us=3))
        assert seen_by_another_process(path) == ["north-1", "north-2", "north-3"]
    assert seen_by_another_process(path) == ["north-1", "north-2", "north-3"]


def test_a_connection_closed_in_the_same_process_takes_no_lock_away(tmp_path: Path) -> None:
    path = tmp_path / "cellar.book"
    with open_book(path) as book:
        with open_book(path) as other:
            other.batches.put(Batch(vessel="north", name="north-1", pitched_us=1))
        assert seen_by_another_process(path) == ["north-1"]
        book.batches.put(Batch(vessel="north", name="north-2", pitched_us=2))
        assert seen_by_another_process(path) == ["north-1", "north-2"]
