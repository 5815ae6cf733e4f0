"""Work over several processes: the same answers, and a sentence instead of a hang where one of them fails."""

from __future__ import annotations

import math
import multiprocessing
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from threading import Thread
from typing import Any

import pytest

from lullwort.cli.judging import judge_logs
from lullwort.cli.logs import Logs
from lullwort.errors import HelperError
from lullwort.records import VesselReadings
from lullwort.rehearsal import Invented, invent
from lullwort.standing import judging
from lullwort.standing.spread import cores, spread

Shell = Any  # the fixture's class lives in conftest.py
FOREVER = "__import__('threading').Event().wait()"
KILLED = "__import__('os').kill(__import__('os').getpid(), 9)"
# Helpers find a function by its module's name, which a test module does not have: so these tests hand them `eval`,
# and of two works the heavier one stays here.


@pytest.mark.parametrize("processes", [1, 2, 3, 9])
def test_results_come_in_the_order_of_the_works_whoever_does_them(processes: int) -> None:
    works = [16.0, 1.0, 4.0, 9.0, 25.0]
    assert spread(math.sqrt, works, [1.0, 5.0, 2.0, 2.0, 0.0], processes=processes) == [4.0, 1.0, 2.0, 3.0, 5.0]
    assert multiprocessing.active_children() == []


def test_nothing_to_do_is_done_at_once() -> None:
    assert spread(math.sqrt, [], [], processes=2) == []


@pytest.mark.parametrize("works", [[-1.0, 4.0], [4.0, -1.0]], ids=["here", "in a helper"])
def test_an_exception_comes_out_as_a_sentence(works: list[float]) -> None:
    with pytest.raises(HelperError, match="the work could not be done: ValueError: math domain error"):
        spread(math.sqrt, works, [2.0, 1.0], processes=2)
    assert multiprocessing.active_children() == []


def test_a_helper_that_is_killed_is_noticed_and_the_others_are_ended() -> None:
    with pytest.raises(HelperError, match="was ended from outside"):
        spread(eval, ["1", KILLED, FOREVER], [3.0, 2.0, 1.0], processes=3)
    assert multiprocessing.active_children() == []


def test_a_helper_that_is_killed_before_it_has_taken_its_work_is_noticed_too() -> None:
    def kill() -> None:
        while not (helpers := multiprocessing.active_children()):
            pass
        helpers[0].kill()

    Thread(target=kill, daemon=True).start()
    far_more_than_a_pipe_holds = "1" + " " * 20_000_000
    with pytest.raises(HelperError, match="was ended from outside"):
        spread(eval, ["1", far_more_than_a_pipe_holds], [2.0, 1.0], processes=2)
    assert multiprocessing.active_children() == []


def test_an_interrupt_here_ends_the_helpers() -> None:
    interrupt = f"__import__('signal').raise_signal({int(signal.SIGINT)})"
    with pytest.raises(KeyboardInterrupt):
        spread(eval, [interrupt, FOREVER], [2.0, 1.0], processes=2)
    assert multiprocessing.active_children() == []


def test_ctrl_c_which_reaches_every_process_is_answered_by_one() -> None:
    here = f"print('begun', flush=True) or {FOREVER}"
    program = (
        "from lullwort.standing.spread import spread\n"
        f"try: spread(eval, [{here!r}, {FOREVER!r}], [2.0, 1.0], processes=2)\n"
        "except KeyboardInterrupt: print('stopped')\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True, text=True,
    ) as run:  # fmt: skip
        assert run.stdout is not None
        assert run.stdout.readline() == "begun\n"
        os.killpg(run.pid, signal.SIGINT)
        assert run.communicate(timeout=60) == ("stopped\n", "")


@pytest.fixture
def three_ales() -> list[Invented]:
    return [invent(kind, 6) for kind in ("plain ale", "fast ale", "hop creep")]


def test_batches_judged_by_several_processes_come_out_as_by_one(
    three_ales: list[Invented], monkeypatch: pytest.MonkeyPatch
) -> None:
    readings = {one.batch.vessel: VesselReadings.of(one.readings) for one in three_ales}
    logs = Logs({**readings, "no-batch": readings["plain-ale"]}, [], {"plain-ale": 3})
    batches = [one.batch for one in three_ales]
    alone = judge_logs(logs, batches, None)
    calls = []

    def spread_over(function: Callable[..., Any], works: list[Any], weights: list[float], *, processes: int) -> Any:
        calls.append(processes)
        return spread(function, works, weights, processes=processes)

    monkeypatch.setattr(judging, "_WORTH_A_PROCESS_H", 500)
    monkeypatch.setattr(judging, "cores", lambda: 3)
    monkeypatch.setattr(judging, "spread", spread_over)
    assert judge_logs(logs, batches, None) == alone
    assert calls == [3]
    assert len(alone) == 4


def test_a_replay_whose_helper_is_killed_says_so_and_exits_3(logged: Shell) -> None:
    program = """
import multiprocessing, sys, threading
from lullwort.cli import main
from lullwort.standing import judging
judging._WORTH_A_PROCESS_H, judging.cores = 1, lambda: 2
def kill():
    while not (helpers := multiprocessing.active_children()):
        pass
    helpers[0].kill()
threading.Thread(target=kill, daemon=True).start()
sys.argv = ["lullwort", "replay", "north.csv", "two.csv", "--batches", "north.toml"]
main()
"""
    log = (logged.folder / "north.csv").read_text(encoding="utf-8")
    logged.write("two.csv", log.replace(",north,", ",two,"))
    batch = (logged.folder / "north.toml").read_text(encoding="utf-8")
    logged.write("north.toml", batch + "\n" + batch.replace('"north', '"two'))
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=logged.folder, env=logged.environment, capture_output=True, text=True,
        timeout=120, check=False,
    )  # fmt: skip
    assert run.returncode == 3, run.stderr
    assert run.stderr == (
        "lullwort: a process that helped with the work was ended from outside before it was done; run it again\n"
    )


def test_there_is_at_least_one_core() -> None:
    assert cores() >= 1
