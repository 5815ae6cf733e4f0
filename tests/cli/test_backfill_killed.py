"""The command itself, killed with -9 in the middle of a real log and started again."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

Shell = Any  # the fixture's class lives in conftest.py

CLOCKS = {"started_us", "finished_us", "told_us"}


def everything(book: Path) -> dict[str, list[str]]:
    """Every row of every table as text, wall-clock columns left out."""
    connection = sqlite3.connect(book)
    rows = {}
    for (table,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
        kept = [c[1] for c in connection.execute(f"PRAGMA table_info({table})") if c[1] not in CLOCKS]
        listed = ", ".join(f'"{column}"' for column in kept)
        rows[table] = sorted(map(repr, connection.execute(f"SELECT {listed} FROM {table}")))
    connection.close()
    return rows


def write_log(shell: Shell) -> None:
    """Two days of two vessels every two seconds: several commits; every thousandth row is bad."""
    rows = ["time,vessel,gravity,temperature"]
    for i in range(86_400):
        second = 2 * i
        time_of_day = (
            f"2026-07-{19 + second // 86_400:02d}T{second // 3600 % 24:02d}:{second // 60 % 60:02d}:{second % 60:02d}Z"
        )
        gravity = "oops" if i % 1000 == 500 else f"{1.052 - second / 2e7:.5f}"
        rows += [f"{time_of_day},north,{gravity},20.0", f"{time_of_day},south,1.0480,19.5"]
    shell.write("north.csv", "\n".join(rows) + "\n")
    shell.write("north.toml", '[[batch]]\nvessel = "north"\npitched = 2026-07-19T00:00:00Z\noriginal_gravity = 1.052\n')


def test_a_backfill_killed_and_started_again_ends_as_if_never_killed(lullwort: Shell) -> None:
    write_log(lullwort)
    words = ("backfill", "north.csv", "--batches", "north.toml")
    lullwort.environment["LULLWORT_BOOK"] = "whole.book"
    whole = lullwort(*words, exits=1)
    took_s = _seconds(lullwort, words, "timed.book")
    lullwort.environment["LULLWORT_BOOK"] = "killed.book"
    rng, killed = random.Random(12), 0
    for _ in range(5):
        process = subprocess.Popen(
            [sys.executable, "-m", "lullwort", *words],
            cwd=lullwort.folder, env=lullwort.environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        time.sleep(took_s * rng.uniform(0.3, 0.9))
        os.kill(process.pid, signal.SIGKILL)
        killed += process.wait() == -signal.SIGKILL
    assert killed >= 3, "the command is too quick to be killed"
    again = lullwort(*words, exits=1)
    # A kill that fell into the judging left a complete import behind: then its rows are known by now.
    counts, _, answer = again.stdout.partition("\n")
    assert "172800 rows read" in counts
    assert "172714 stored, 0 already known" in counts or "0 stored, 172714 already known" in counts
    assert answer == whole.stdout.partition("\n")[2]
    assert everything(lullwort.folder / "killed.book") == everything(lullwort.folder / "whole.book")


def _seconds(shell: Shell, words: tuple[str, ...], book: str) -> float:
    shell.environment["LULLWORT_BOOK"] = book
    began = time.monotonic()
    shell(*words, exits=1)
    return time.monotonic() - began
