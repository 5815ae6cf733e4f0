"""The command itself, killed with -9 at fifty random moments of a large import and started again each time."""

from __future__ import annotations

import random
import shutil
import signal
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Reading

Shell = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)


class Killable:
    """Runs the command in a folder and kills it when it is told to."""

    def __init__(self, shell: Shell) -> None:
        self.shell = shell

    def run(self, words: Sequence[str], kill_after_s: float | None = None) -> int:
        """The exit code; -9 if it was killed."""
        self.shell.forks.begin(words, self.shell.folder, self.shell.environment, kill_after_s=kill_after_s)
        return int(self.shell.forks.ended())

    def seconds(self, words: Sequence[str]) -> float:
        began = time.monotonic()
        assert self.run(words) == 1, "rows were set aside"
        return time.monotonic() - began


@pytest.fixture
def killable(lullwort: Shell) -> Killable:
    return Killable(lullwort)


def write_log(shell: Shell, seconds: int) -> None:
    """Two vessels every second; a few rows are bad, and the last minute contradicts the first."""
    rows = ["time,vessel,gravity,temperature"]
    for i in range(seconds):
        second = i % (seconds - 60)
        at = f"2026-07-{19 + second // 86_400:02d}T{second // 3600 % 24:02d}:{second // 60 % 60:02d}:{second % 60:02d}Z"
        gravity = "oops" if i % 4000 < 3 and i < 12_000 else f"{1.052 - i / 2e7:.8f}"
        rows += [f"{at},north,{gravity},20.0", f"{at},south,1.0480,19.5"]
    shell.write("log.csv", "\n".join(rows) + "\n")
    shell.write(
        "earlier.csv", "\n".join([rows[0], *(f"2026-07-18T{h:02d}:00:00Z,north,1.052,20.0" for h in range(24))])
    )
    shell.write("north.toml", '[[batch]]\nvessel = "north"\npitched = 2026-07-18T00:00:00Z\noriginal_gravity = 1.052\n')


def state(book: Path) -> tuple[list[Reading], int, bool]:
    """What counts of north, how many readings of the log are on record, and whether its import is finished."""
    with open_book(book, create=False) as opened:
        found = [i for i in opened.imports.all() if i.place == "log.csv"]
        finished = any(i.finished_us is not None for i in found)
        counting = list(opened.readings.of("north", *EVER)) if not finished else []
        return counting, sum(i.readings for i in found), finished


def test_a_backfill_killed_at_fifty_moments_ends_as_if_never_killed(lullwort: Shell, killable: Killable) -> None:
    write_log(lullwort, 110_000)
    earlier, whole, killed = (lullwort.folder / f"{name}.book" for name in ("earlier", "whole", "killed"))
    assert killable.run(["backfill", "--store-only", "--book", earlier.name, "earlier.csv"]) == 0
    before = state(earlier)[0]
    assert len(before) == 24
    shutil.copy(earlier, whole)
    took_s = killable.seconds(["backfill", "--store-only", "--book", whole.name, "log.csv"])
    expected = lullwort.everything(whole)
    words = ["backfill", "--store-only", "--book", killed.name, "log.csv"]
    rng, found, all_of_it = random.Random(20260302), list[int](), state(whole)[1]

    def between() -> list[int]:
        return [on_record for on_record in found if 0 < on_record < all_of_it]

    # On a machine that is busy by turns, fifty moments may fall between the same two commits: then there are more.
    while len(found) < 50 or (len(set(between())) < 2 and len(found) < 150):
        shutil.copy(earlier, killed)
        # The same import is killed five times, later and later, for what one leaves behind the next goes on from.
        for moment in sorted(rng.uniform(0.1, 0.75) for _ in range(5)):
            while (ended := killable.run(words, kill_after_s=moment * took_s)) != -signal.SIGKILL:
                assert ended == 1
                shutil.copy(earlier, killed)  # it was quicker: another one, killed sooner
                moment *= 0.8
            counting, on_record, finished = state(killed)
            assert finished or counting == before, "what is not finished counts nothing"
            found.append(on_record)
        assert killable.run(words) == 1
        assert lullwort.everything(killed) == expected
    assert len(between()) >= 3, f"too few kills fell between two commits: {found}"
    assert len(set(between())) >= 2


def test_a_backfill_killed_while_it_judges_gives_the_same_answer_afterwards(
    lullwort: Shell, killable: Killable
) -> None:
    write_log(lullwort, 60_000)
    words = ["backfill", "log.csv", "--batches", "north.toml"]
    lullwort.environment["LULLWORT_BOOK"] = "whole.book"
    whole = lullwort(*words, exits=1)
    killable.seconds([*words, "--store-only", "--book", "killed.book"])
    shutil.copy(lullwort.folder / "killed.book", lullwort.folder / "timed.book")
    took_s = killable.seconds([*words, "--book", "timed.book"])
    rng = random.Random(12)
    ends = [killable.run([*words, "--book", "killed.book"], rng.uniform(0.3, 0.9) * took_s) for _ in range(5)]
    assert ends.count(-signal.SIGKILL) >= 3, "the command is too quick to be killed"
    lullwort.environment["LULLWORT_BOOK"] = "killed.book"
    counts, _, answer = lullwort(*words, exits=1).stdout.partition("\n")
    assert "120000 rows read" in counts
    assert answer == whole.stdout.partition("\n")[2]
    assert lullwort.everything(lullwort.folder / "killed.book") == lullwort.everything(lullwort.folder / "whole.book")
