"""The README shows what is there: its commands run, and print what it says they do."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path
from typing import Any, NamedTuple

import pytest

Shell = Any  # the fixture's class lives in conftest.py

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SECTIONS = {
    "A tour of two minutes": 7,
    "Any log": 7,
    "The same recipe again": 3,
    "A forecast to plan by": 3,
    "If sealed today": 2,
    "Packaging day: the plan": 5,
    "Strength, and two beers together": 1,
    "Priming": 3,
    "What is entered of packaging day": 4,
    "With a hydrometer alone": 10,
    "Calibrating a sensor": 3,
    "From open batch to printed sheet": 11,
}
"""Whose commands are run, and how many each has at least."""
LEFT_OUT = "..."


class Shown(NamedTuple):
    command: str
    output: list[str]


def shown_in(section: str) -> list[Shown]:
    shown: list[Shown] = []
    for fence in re.findall(r"^```\n(.*?)^```", section, re.MULTILINE | re.DOTALL):
        for line in fence.splitlines():
            if line.startswith("$ "):
                shown.append(Shown(line[2:], []))
            else:
                shown[-1].output.append(line)
    return shown


def printed(command: str, shell: Shell) -> str:
    program, *words = shlex.split(command)
    if program == "lullwort":
        shown: str = shell(*words, exits=None).stdout
    else:
        run = subprocess.run(
            [program, *words], cwd=shell.folder, capture_output=True, encoding="utf-8", timeout=120, check=False
        )
        shown = run.stdout
    return shown.removeprefix("\ufeff")


def differences(expected: list[str], printed: list[str]) -> list[str]:
    """Lines that are shown and not printed in this order; between `...` nothing may be left out."""
    missing, at, free = [], 0, False
    for line in expected:
        if line.strip() == LEFT_OUT:
            free = True
            continue
        within = printed[at:] if free else printed[at : at + 1]
        if line.rstrip() in within:
            at += within.index(line.rstrip()) + 1
        else:
            missing.append(line)
        free = False
    return missing


@pytest.mark.parametrize("section", SECTIONS)
def test_commands_print_what_is_shown(section: str, lullwort: Shell) -> None:
    shutil.copytree(ROOT / "fixtures", lullwort.folder / "fixtures")
    shown = shown_in(README.partition(f"\n## {section}\n")[2].partition("\n## ")[0])
    assert len(shown) >= SECTIONS[section]
    wrong = {}
    for command, output in shown:
        lines = [line.rstrip() for line in printed(command, lullwort).splitlines()]
        if missing := differences(output, lines):
            wrong[command] = missing, lines
    for command, (missing, lines) in wrong.items():
        print(f"$ {command}", *lines, "-- shown but not printed:", *missing, sep="\n")
    assert not wrong
