"""Commands as processes of their own."""

from __future__ import annotations

import asyncio
import os
from pathlib import Path

import pytest

from lullwort.card.commands import Commands

HERE = {name: value for name, value in os.environ.items() if not name.startswith(("LULLWORT_", "COV"))}


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
