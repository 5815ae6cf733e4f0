"""A file is there as a whole or not at all."""

from __future__ import annotations

import resource
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lullwort.errors import BookError, RefusedError, SourceError, UsageError
from lullwort.exporting import write_csv, write_parquet, write_senml, write_text

Runs = Any  # the fixture's class lives in conftest.py

AT = 1_784_419_200_000_000


def write(kind: Any, path: Path, blocks: Any, *, overwrite: bool = False) -> None:
    kind(path, blocks, *([] if kind is write_senml else ["V"]), overwrite=overwrite)


@pytest.fixture
def room_for() -> Iterator[Any]:
    """Lets this process write files of so many bytes at most, as a full disk would."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    yield lambda size: resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    resource.setrlimit(resource.RLIMIT_FSIZE, before)


@pytest.mark.parametrize("kind", [write_csv, write_parquet, write_senml])
def test_a_write_that_fails_leaves_what_was_there(kind: Any, tmp_path: Path, runs: Runs, room_for: Any) -> None:
    path = tmp_path / "out"
    path.write_text("old")
    block = runs.block([(AT + i * 977, "north", 1.05 + i / 1e5, i / 7, i / 3, i / 11, i / 13) for i in range(5000)])
    room_for(4096)
    with pytest.raises(SourceError, match="out: cannot be written: File too large"):
        write(kind, path, [block], overwrite=True)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
    assert path.read_text() == "old"


@pytest.mark.parametrize("kind", [write_csv, write_parquet, write_senml])
def test_readings_that_fail_half_way_leave_nothing(kind: Any, tmp_path: Path, runs: Runs) -> None:
    def half() -> Iterator[Any]:
        yield runs.block([(AT, "north", 1.05, 20.0, 1.0, 1.0, 1.0)])
        raise BookError("gone")

    with pytest.raises(BookError, match="gone"):
        write(kind, tmp_path / "out", half())
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_overwritten_only_when_told(tmp_path: Path) -> None:
    path = tmp_path / "out"
    write_text(path, "1 °P\n", overwrite=False)
    with pytest.raises(RefusedError, match="out: is there already; --overwrite"):
        write_text(path, "2", overwrite=False)
    assert path.read_bytes() == "1 °P\n".encode()
    write_text(path, "2", overwrite=True)
    assert path.read_text() == "2"
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_what_is_no_file_is_never_replaced(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is there already and is not a file"):
        write_text(tmp_path, "x", overwrite=True)


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="cannot be written: No such file or directory"):
        write_text(tmp_path / "no" / "out", "x", overwrite=False)
