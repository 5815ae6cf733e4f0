from __future__ import annotations

import threading
from pathlib import Path

import pytest

from lullwort.collector.folder import FolderSettings, FolderWatch, Report, checked_folder
from lullwort.errors import UsageError

GO_ON = threading.Event()


class Taker:
    def __init__(self) -> None:
        self.taken: list[str] = []

    def __call__(self, path: Path) -> Report:
        text = path.read_text()
        self.taken.append(text)
        return Report("bad" not in text, f"{path.name}: {len(text)} characters")


@pytest.fixture
def taker() -> Taker:
    return Taker()


@pytest.fixture
def watch(tmp_path: Path, taker: Taker) -> FolderWatch:
    return FolderWatch(FolderSettings(path=tmp_path, settle_s=10), taker)


def test_a_file_is_taken_once_it_has_stopped_to_grow(tmp_path: Path, watch: FolderWatch, taker: Taker) -> None:
    log = tmp_path / "log.csv"
    log.write_text("one")
    assert watch.look(0.0, GO_ON) == 0
    log.write_text("one two")
    assert watch.look(9.0, GO_ON) == 0
    assert watch.look(18.0, GO_ON) == 0
    assert watch.look(19.0, GO_ON) == 1
    assert taker.taken == ["one two"]
    assert not log.exists()
    assert (tmp_path / "done" / "log.csv").read_text() == "one two"
    assert (tmp_path / "done" / "log.csv.report.txt").read_text() == "log.csv: 7 characters"
    assert watch.look(60.0, GO_ON) == 0


def test_a_file_that_cannot_be_imported_goes_to_the_failed_with_its_report(tmp_path: Path, watch: FolderWatch) -> None:
    (tmp_path / "log.csv").write_text("bad")
    watch.look(0.0, GO_ON)
    watch.look(10.0, GO_ON)
    assert (tmp_path / "failed" / "log.csv").exists()
    assert (tmp_path / "failed" / "log.csv.report.txt").exists()


def test_a_second_file_of_one_name_overwrites_nothing(tmp_path: Path, watch: FolderWatch) -> None:
    for nth in range(2):
        (tmp_path / "log.csv").write_text(f"number {nth}")
        watch.look(100.0 * nth, GO_ON)
        watch.look(100.0 * nth + 10.0, GO_ON)
    assert (tmp_path / "done" / "log.csv").read_text() == "number 0"
    assert (tmp_path / "done" / "log-2.csv").read_text() == "number 1"


def test_what_is_hidden_or_still_being_written_is_left_alone(tmp_path: Path, watch: FolderWatch) -> None:
    for name in (".hidden.csv", "log.csv.part", "log.csv.tmp", "log.csv~"):
        (tmp_path / name).write_text("x")
    (tmp_path / "folder").mkdir()
    watch.look(0.0, GO_ON)
    assert watch.look(100.0, GO_ON) == 0


def test_a_file_that_was_taken_but_not_put_away_is_taken_again(
    tmp_path: Path, watch: FolderWatch, taker: Taker
) -> None:
    (tmp_path / "log.csv").write_text("x")
    watch.look(0.0, GO_ON)
    (tmp_path / "done").write_text("in the way")
    watch.look(10.0, GO_ON)
    assert (tmp_path / "log.csv").exists()
    (tmp_path / "done").unlink()
    watch.look(20.0, GO_ON)
    watch.look(30.0, GO_ON)
    assert taker.taken == ["x", "x"]
    assert (tmp_path / "done" / "log.csv").exists()


def test_a_folder_that_is_gone_is_waited_for(tmp_path: Path, taker: Taker) -> None:
    watch = FolderWatch(FolderSettings(path=tmp_path / "none"), taker)
    assert watch.look(0.0, GO_ON) == 0


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ({}, "path is missing"),
        ({"path": 1}, "path is 1, expected a text"),
        ({"path": "x", "settle_s": -1}, "settle_s is -1"),
    ],
)
def test_an_error_names_the_key(entered: dict[str, object], says: str) -> None:
    with pytest.raises(UsageError, match=says):
        checked_folder("folder", entered)


def test_a_file_that_cannot_be_taken_for_no_fault_of_its_own_stays_and_is_tried_again(tmp_path: Path) -> None:
    answers = iter([Report(None, "the disk is full"), Report(True, "1 row")])
    watch = FolderWatch(FolderSettings(path=tmp_path, settle_s=10), lambda _path: next(answers))
    log = tmp_path / "log.csv"
    log.write_text("one")
    assert [watch.look(at_s, GO_ON) for at_s in (0.0, 10.0, 15.0)] == [0, 0, 0]
    assert log.exists()
    assert watch.look(20.0, GO_ON) == 1
    assert (tmp_path / "done" / "log.csv").exists()
