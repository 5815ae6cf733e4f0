"""Work spread over the cores: this process takes a share, and as many helpers as there are other cores the rest."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from multiprocessing.connection import Connection
from threading import Thread
from typing import TypeVar

from lullwort.errors import HelperError, LullwortError

__all__ = ["cores", "spread"]

Work = TypeVar("Work")
Result = TypeVar("Result")


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def spread(
    function: Callable[[Work], Result], works: Sequence[Work], weights: Sequence[float], *, processes: int
) -> list[Result]:
    """`function` of each of `works`, in their order, done by up to so many processes.

    Args:   function: at the top of a module; it, its arguments and results are pickled.
            weights: how long each will take, in any unit, for equal shares.
    Raises: HelperError in a sentence if the function raises anything, or if a helper dies. No helper outlives the call.
    """
    first, *others = _shares(weights, min(processes, len(works)))
    results: dict[int, Result] = {}
    with ExitStack() as stack:
        helpers = [(share, _start_helper(stack, function, [works[i] for i in share])) for share in others]
        results.update(zip(first, _do(function, [works[i] for i in first]), strict=True))
        for share, helper in helpers:
            try:
                answer: list[Result] | LullwortError = helper.recv()
            except (EOFError, OSError) as exc:
                raise HelperError(
                    "a process that helped with the work was ended from outside before it was done; run it again"
                ) from exc
            if isinstance(answer, LullwortError):
                raise answer
            results.update(zip(share, answer, strict=True))
    return [results[i] for i in range(len(works))]


def _shares(weights: Sequence[float], count: int) -> list[list[int]]:
    """Places of the works in `count` shares of about one weight: the heaviest first, each to who has least."""
    shares: list[list[int]] = [[] for _ in range(max(count, 1))]
    loads = [0.0] * len(shares)
    for i in sorted(range(len(weights)), key=lambda i: -weights[i]):
        lightest = loads.index(min(loads))
        shares[lightest].append(i)
        loads[lightest] += weights[i]
    return shares


def _start_helper(stack: ExitStack, function: Callable[[Work], Result], works: list[Work]) -> Connection:
    # A forked child of a process with threads may hang, so helpers start afresh.
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    stack.callback(ours.close)
    process = context.Process(target=_help, args=(theirs,), daemon=True)
    # Ctrl-C reaches the whole group; only this process answers it, and a child inherits what is ignored.
    answers = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        process.start()
    finally:
        signal.signal(signal.SIGINT, answers)
        theirs.close()  # so that the pipe ends when the helper does
    # Sending waits until the helper has started up and listens; a share of our own is done meanwhile.
    sender = Thread(target=_send, args=(ours, (function, works)), daemon=True)
    sender.start()
    stack.callback(sender.join)
    stack.callback(process.join)
    stack.callback(process.terminate)
    return ours


def _send(to: Connection, what: object) -> None:
    try:
        to.send(what)
    except OSError:
        return  # the helper is gone, which who waits for its answer will find


def _help(connection: Connection) -> None:
    """What a helper does."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        function, works = connection.recv()
        connection.send(_answer(function, works))
    except (EOFError, OSError):
        return  # nobody waits any more


def _answer(function: Callable[[Work], Result], works: list[Work]) -> list[Result] | LullwortError:
    try:
        return _do(function, works)
    except LullwortError as exc:
        return exc


def _do(function: Callable[[Work], Result], works: list[Work]) -> list[Result]:
    try:
        return [function(work) for work in works]
    except LullwortError:
        raise
    except Exception as exc:
        raise HelperError(f"the work could not be done: {type(exc).__name__}: {exc}") from exc
