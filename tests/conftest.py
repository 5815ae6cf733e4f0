"""What the tests need that is not in the project, and what was left out for want of it."""

from __future__ import annotations

import getpass
import os
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
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


class Mosquitto:
    """A real broker in a process of its own, on a free port of this machine; it keeps messages for absent clients."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port: int = free.getsockname()[1]
        folder.mkdir()
        self._settings = folder / "mosquitto.conf"
        self._settings.write_text(
            f"listener {self.port} 127.0.0.1\nallow_anonymous true\nuser {getpass.getuser()}\nmax_queued_messages 0\n"
            f"persistence true\npersistence_location {folder}/\nautosave_on_changes true\nautosave_interval 1\n"
        )
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen(["mosquitto", "-c", str(self._settings)], stdout=log, stderr=log)
        give_up = time.monotonic() + 20.0
        while time.monotonic() < give_up:
            try:
                socket.create_connection(("127.0.0.1", self.port), 1.0).close()
                return
            except OSError:
                time.sleep(0.02)
        raise AssertionError((self.folder / "log").read_text())

    def kill(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[Mosquitto]:
    """A running broker. Left out where there is none, unless the variable LULLWORT_REQUIRE_MOSQUITTO asks for it."""
    if shutil.which("mosquitto") is None:
        if os.environ.get("LULLWORT_REQUIRE_MOSQUITTO"):
            pytest.fail("LULLWORT_REQUIRE_MOSQUITTO is set, but there is no mosquitto")
        pytest.skip("left out: checks with a real broker, for the program mosquitto is not installed")
    broker = Mosquitto(tmp_path / "broker")
    broker.start()
    yield broker
    broker.kill()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what did not run, so that a skipped test is never taken for a passed one."""
    reasons = [report.longrepr[2] for report in terminalreporter.stats.get("skipped", [])]
    for reason in sorted(set(reasons)):
        terminalreporter.write_line(f"{reasons.count(reason)} tests {reason.removeprefix('Skipped: ')}")
