"""Commands as processes of their own."""

from __future__ import annotations

import asyncio
import contextlib
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from lullwort.card.commands.commands import BusyError, Commands
from lullwort.leash import too_much

HERE = {name: value for name, value in os.environ.items() if not name.startswith(("LULLWORT_", "COV"))}
Running = Callable[[Path], list[int]]


def test_what_is_typed_and_said_is_utf_8_whatever_the_locale(tmp_path: Path) -> None:
    commands = Commands(tmp_path / "cellar.book", HERE | {"LC_ALL": "C", "LANG": "C"})
    ran = asyncio.run(
        commands.run("batch", "open", "--pitched=2026-05-04T10:00Z", "--recipe=Kölsch “7”", "--", "north")
    )
    assert ran.done, ran
    assert "recipe 'Kölsch “7”'" in ran.out


def test_what_holds_nul_is_no_word(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="null"):
        asyncio.run(Commands(tmp_path / "cellar.book", HERE).run("batch", "list\x00"))


def test_time_counts_from_the_asking_on_and_only_so_many_wait(tmp_path: Path, held_up: Path, running: Running) -> None:
    book = tmp_path / "cellar.book"

    async def run() -> None:
        commands = Commands(book, HERE | {"LULLWORT_SETTINGS": str(held_up)})
        first = asyncio.create_task(commands.run("batch", "list"))
        await asyncio.sleep(0)
        waits = [asyncio.create_task(commands.run("batch", "list", within_s=0.2)) for _ in range(8)]
        patient = asyncio.create_task(commands.run("batch", "list", within_s=0.2, patient=True))
        await asyncio.sleep(0)
        with pytest.raises(BusyError):
            await commands.run("batch", "list")  # at once, for too many wait
        came = await asyncio.gather(*waits, return_exceptions=True)
        assert [type(one) for one in came] == [BusyError] * 8  # their turn did not come
        (alive,) = running(book)
        first.cancel()
        await asyncio.wait([first])
        assert alive not in running(book)
        with pytest.raises(TimeoutError):  # its turn has come, and then its time
            await patient
        assert running(book) == []

    asyncio.run(run())


def test_none_is_left_and_none_begins_once_all_is_to_end(tmp_path: Path, held_up: Path, running: Running) -> None:
    book = tmp_path / "cellar.book"

    async def run() -> None:
        commands = Commands(book, HERE | {"LULLWORT_SETTINGS": str(held_up)})
        one = asyncio.create_task(commands.run("batch", "list"))
        while not running(book):
            await asyncio.sleep(0.01)
        await asyncio.to_thread(commands.end)
        assert running(book) == []
        with contextlib.suppress(BusyError):  # where it was only being begun
            assert (await one).code == -9
        with pytest.raises(BusyError):
            await commands.run("batch", "list")

    asyncio.run(run())


def test_a_log_that_takes_more_memory_than_it_is_given_is_refused_in_a_sentence(tmp_path: Path) -> None:
    # Each of its records has to be set aside, which takes 170 times their length.
    (tmp_path / "bad.senml").write_text("[" + ",".join(['{"n":"a","v":1}'] * 60_000) + "]")
    commands = Commands(tmp_path / "cellar.book", HERE, most_mib=150)
    ran = asyncio.run(commands.run("backfill", "--dry-run", "--json", "--", "bad.senml", folder=tmp_path))
    assert ran.code == 1
    assert ran.err.endswith(f"{too_much(150)}\n")
