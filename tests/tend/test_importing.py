"""A dropped file whose book cannot take it now is not put with the failed ones."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.settings import Settings, load_settings
from lullwort.tend.importing import import_file

pytestmark = pytest.mark.usefixtures("unmeasured")

LOG = "time,vessel,gravity,temperature\n2026-03-02T09:00:00Z,north,1.0500,20.0\n"


@pytest.fixture
def environment(tmp_path: Path) -> Mapping[str, str]:
    return {**os.environ, "LULLWORT_BOOK": str(tmp_path / "cellar.book")}


@pytest.fixture
def settings(environment: Mapping[str, str]) -> Settings:
    return load_settings(environment, {})


def test_a_log_is_stored_and_a_letter_is_not(
    tmp_path: Path, settings: Settings, environment: Mapping[str, str]
) -> None:
    (tmp_path / "log.csv").write_text(LOG)
    (tmp_path / "letter.csv").write_text("Dear brewer,\n")
    assert import_file(settings, environment, tmp_path / "log.csv").imported is True
    assert import_file(settings, environment, tmp_path / "letter.csv").imported is False


def test_a_full_disk_is_not_the_files_fault(disk: Any, tmp_path: Path) -> None:
    environment = {**os.environ, "LULLWORT_BOOK": str(disk.folder / "cellar.book")}
    settings = load_settings(environment, {})
    (tmp_path / "log.csv").write_text(LOG)
    with open_book(settings.book):
        pass
    room = os.statvfs(disk.folder)
    fill = disk.folder / "fill"
    fill.write_bytes(bytes(room.f_bavail * room.f_frsize))
    report = import_file(settings, environment, tmp_path / "log.csv")
    assert report.imported is None
    assert "the disk is full" in report.says
    fill.unlink()
    assert import_file(settings, environment, tmp_path / "log.csv").imported is True
