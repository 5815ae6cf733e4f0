"""How long files are held, how many of them, and how many bytes."""

from __future__ import annotations

import asyncio
import errno
import io
from pathlib import Path

import pytest
from starlette.datastructures import UploadFile

from lullwort.card.files.workroom import Workroom
from lullwort.card.imports.uploads import HELD_S, MOST_HELD, TooManyHeldError, Upload, Uploads


def file(size: int, name: str = "log.csv") -> UploadFile:
    return UploadFile(io.BytesIO(bytes(size)), size=size, filename=name)


async def forever() -> None:
    await asyncio.Event().wait()


def test_the_oldest_that_nobody_works_at_makes_room_and_one_that_is_stored_stays(tmp_path: Path) -> None:
    async def run() -> None:
        uploads = Uploads(Workroom(tmp_path / "book"), 100)
        held = [await uploads.take(file(10)) for _ in range(MOST_HELD)]
        held[0].work = asyncio.get_running_loop().create_task(forever())
        more = await uploads.take(file(10))
        assert [uploads.find(one.called) is not None for one in (*held, more)] == [True, False, True, True, True]
        assert not held[1].folder.exists()
        large = await uploads.take(file(85))
        assert [uploads.find(one.called) is not None for one in (held[0], more, large)] == [True, False, True]
        with pytest.raises(TooManyHeldError):
            await uploads.take(file(95))
        held[0].work.cancel()

    asyncio.run(run())


def test_those_that_come_at_once_are_no_more_than_may_be_held(tmp_path: Path) -> None:
    async def run(count: int, size: int) -> tuple[int, int]:
        """How many of them are taken, and how many lie in the folder."""
        room = Workroom(tmp_path / "book")
        uploads = Uploads(room, 100)
        came = await asyncio.gather(*(uploads.take(file(size)) for _ in range(count)), return_exceptions=True)
        refused = [one for one in came if isinstance(one, TooManyHeldError)]
        assert len(refused) + sum(isinstance(one, Upload) for one in came) == count
        return count - len(refused), len(list(room.path.iterdir()))

    assert asyncio.run(run(14, 1)) == (MOST_HELD, MOST_HELD)
    assert asyncio.run(run(4, 40)) == (2, 2)  # of 100 bytes


def test_what_cannot_be_copied_is_held_no_longer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "full")

    async def run() -> None:
        room = Workroom(tmp_path / "book")
        uploads = Uploads(room, 100)
        with monkeypatch.context() as here:
            here.setattr("lullwort.card.imports.uploads._copied", full)
            for _ in range(MOST_HELD + 1):
                with pytest.raises(OSError, match="full"):
                    await uploads.take(file(90))
        assert list(room.path.iterdir()) == []
        assert (await uploads.take(file(90))).size == 90

    asyncio.run(run())


def test_a_file_is_held_for_an_hour_and_as_long_as_it_is_being_stored(tmp_path: Path) -> None:
    async def run() -> None:
        now_s = [0.0]
        uploads = Uploads(Workroom(tmp_path / "book"), 100, lambda: now_s[0])
        idle, busy = await uploads.take(file(1)), await uploads.take(file(2, "../b.csv"))
        assert (busy.name, (busy.folder / "b.csv").stat().st_size) == ("b.csv", 2)
        assert busy.folder.stat().st_mode & 0o077 == 0
        busy.work = asyncio.get_running_loop().create_task(forever())
        now_s[0] = HELD_S - 1.0
        assert uploads.find(idle.called) is idle
        now_s[0] = HELD_S
        assert (uploads.find(idle.called), uploads.find(busy.called)) == (None, busy)
        assert not idle.folder.exists()
        busy.work.cancel()

    asyncio.run(run())


def test_the_folder_of_the_card_is_its_own_and_no_link_leads_out_of_it(tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "precious").touch()
    (tmp_path / "book.card").symlink_to(elsewhere)
    room = Workroom(tmp_path / "book")
    room.remove(elsewhere)
    room.close()
    assert (elsewhere / "precious").exists()
