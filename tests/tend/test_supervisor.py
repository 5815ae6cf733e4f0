from __future__ import annotations

import os
import socket
from pathlib import Path

from lullwort.tend import Supervisor


def test_states_go_to_the_socket_that_the_manager_names(tmp_path: Path) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(tmp_path / "notify"))
        manager.settimeout(5.0)
        supervisor = Supervisor.of({"NOTIFY_SOCKET": str(tmp_path / "notify"), "WATCHDOG_USEC": "3000000"})
        assert supervisor.watchdog_s == 3.0
        assert supervisor.tell("READY=1", "WATCHDOG=1")
        assert manager.recv(100) == b"READY=1\nWATCHDOG=1"  # sd_notify(3): newline-separated assignments


def test_a_deaf_manager_or_none_is_no_reason_to_stop(tmp_path: Path) -> None:
    assert not Supervisor.of({}).tell("READY=1")
    assert not Supervisor.of({"NOTIFY_SOCKET": str(tmp_path / "none")}).tell("READY=1")


def test_a_watchdog_meant_for_another_process_is_none_of_ours() -> None:
    environment = {"WATCHDOG_USEC": "3000000", "WATCHDOG_PID": f"{os.getpid() + 1}"}
    assert Supervisor.of(environment).watchdog_s is None
