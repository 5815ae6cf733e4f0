"""What the tests need that is not in the project, and what was left out for want of it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

OPEN_DATA = "LULLWORT_OPEN_DATA"


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder of open data sets that the variable LULLWORT_OPEN_DATA names; without the variable, left out."""
    named = os.environ.get(OPEN_DATA)
    if named is None:
        pytest.skip(f"left out: checks on real series from open data sets, for {OPEN_DATA} names no folder")
    folder = Path(named)
    assert folder.is_dir(), f"{OPEN_DATA} names {folder}, which is no folder"
    return folder


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what did not run, so that a skipped test is never taken for a passed one."""
    reasons = [report.longrepr[2] for report in terminalreporter.stats.get("skipped", [])]
    for reason in sorted(set(reasons)):
        terminalreporter.write_line(f"{reasons.count(reason)} tests {reason.removeprefix('Skipped: ')}")
