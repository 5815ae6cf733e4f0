"""What holds a command of a service, with real processes."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from lullwort.leash import ENDS_WITH, MOST_MIB, leashed, take_up_leash, too_much

BEGINS = "import os, sys, time; from lullwort.leash import leashed, take_up_leash; "
HELD = f"{BEGINS}take_up_leash(os.environ); print(os.getpid(), flush=True); time.sleep(60)"
SERVICE = (
    "import os, subprocess, sys, time; from lullwort.leash import leashed; "
    "subprocess.Popen([sys.executable, '-c', sys.argv[1]], env=dict(os.environ) | leashed(), start_new_session=True); "
    "time.sleep(60)"
)
linux = pytest.mark.skipif(sys.platform != "linux", reason="only there a process is told that its parent has ended")


def gone(pid: int) -> bool:
    return not Path(f"/proc/{pid}").exists() or "\nState:\tZ" in Path(f"/proc/{pid}/status").read_text()


@linux
def test_a_command_ends_with_its_service_even_where_that_is_killed(comes_true: Callable[..., bool]) -> None:
    with subprocess.Popen([sys.executable, "-c", SERVICE, HELD], stdout=subprocess.PIPE, text=True) as service:
        assert service.stdout is not None
        pid = int(service.stdout.readline())
        assert not gone(pid)
        service.kill()
        service.wait()
        assert comes_true(lambda: gone(pid))


@linux
def test_a_command_whose_service_had_ended_before_it_began_does_not_begin() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", HELD],
        env=dict(os.environ) | {ENDS_WITH: "1"},
        capture_output=True,
        timeout=30,
        check=False,
    )
    assert (ran.returncode, ran.stdout) == (-signal.SIGKILL, b"")


def test_a_command_that_asks_for_much_at_once_is_refused_it_and_its_own_children_are_not_told() -> None:
    program = f"{BEGINS}print(take_up_leash(os.environ), {ENDS_WITH!r} in os.environ); bytearray(300 << 20)"
    given = dict(os.environ) | leashed(200)
    assert given[ENDS_WITH] == f"{os.getpid()}"
    ran = subprocess.run(
        [sys.executable, "-c", program], env=given, capture_output=True, text=True, timeout=30, check=False
    )
    assert (ran.returncode, ran.stdout) == (1, "200 False\n")
    assert ran.stderr.endswith("MemoryError\n")
    assert MOST_MIB not in leashed()
    assert take_up_leash({}) is None


@linux
def test_a_command_that_takes_more_and_more_memory_ends_with_a_sentence() -> None:
    grows = "held = [(bytes(1 << 12), time.sleep(0)) for _ in range(1_000_000)]"
    program = f"{BEGINS}take_up_leash(os.environ); {grows}"
    ran = subprocess.run(
        [sys.executable, "-c", program], env=dict(os.environ) | leashed(100), capture_output=True, text=True,
        timeout=30, check=False,
    )  # fmt: skip
    assert (ran.returncode, ran.stderr) == (1, f"{too_much(100)}\n")
