"""What holds a command that a service runs: it ends with the service, and takes no more memory than it is given.

The command does both to itself as it starts, told by variables: what is run between fork and exec is not safe in a
process with threads, and the service has some.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import MutableMapping

__all__ = ["ENDS_WITH", "MOST_MIB", "leashed", "take_up_leash", "too_much"]

ENDS_WITH, MOST_MIB = "LULLWORT_ENDS_WITH", "LULLWORT_MOST_MIB"
_TELL_OF_PARENT = 1
"""PR_SET_PDEATHSIG. [Linux, prctl(2)]"""
_RESIDENT = "/proc/self/statm"
"""Its second number is the pages in memory. [Linux, proc(5)]"""
_LOOK_EVERY_S = 0.05


def leashed(most_mib: int | None = None) -> dict[str, str]:
    """The variables by which a command of this process is held.

    Args:   most_mib: [MiB] of memory; None: as much as there is.
    """
    held = {ENDS_WITH: f"{os.getpid()}"}
    # Arrow's own store of memory reserves a GiB at once and uses little of it: the count would say nothing.
    return held if most_mib is None else held | {MOST_MIB: f"{most_mib}", "ARROW_DEFAULT_MEMORY_POOL": "system"}


def take_up_leash(environment: MutableMapping[str, str]) -> int | None:
    """Hold this process as its variables say, which are taken away, for they do not hold what it starts itself.

    Returns: [MiB] of memory that it may have; None where nobody bounds it.
    """
    with_whom, most = environment.pop(ENDS_WITH, ""), environment.pop(MOST_MIB, "")
    if with_whom.isdecimal():
        _end_with(int(with_whom))
    if not most.isdecimal():
        return None
    _bound(int(most))
    return int(most)


def too_much(most_mib: int) -> str:
    """What such a process says that has had all the memory that it is given."""
    return f"lullwort: there is no room for it in the {most_mib} MiB of memory that it is given: try it in parts"


def _end_with(parent: int) -> None:
    """Be killed when the thread that started this process ends, and at once where its process already has."""
    if sys.platform != "linux":
        return  # nothing there tells of it; what is under way ends by itself
    import ctypes

    ctypes.CDLL(None).prctl(_TELL_OF_PARENT, signal.SIGKILL)
    if os.getppid() != parent:  # it had ended before that was asked for
        os.kill(os.getpid(), signal.SIGKILL)


def _bound(most_mib: int) -> None:
    """End with a sentence beyond so much memory, and take no more than a quarter above it.

    A process that the system refuses the smallest piece of memory may hang while it tidies up, so that it ends itself
    before that; only what asks for much at once is refused by the system.
    """
    import resource  # there is none of it elsewhere than on Unix, where nobody asks for it

    hard = resource.getrlimit(resource.RLIMIT_DATA)[1]
    asked = most_mib * 5 // 4 << 20
    # What it writes to, in whatever way it got it, and not files and libraries that it only maps [setrlimit(2)].
    resource.setrlimit(resource.RLIMIT_DATA, (asked if hard == resource.RLIM_INFINITY else min(asked, hard), hard))
    try:
        resident = os.open(_RESIDENT, os.O_RDONLY)  # by the system itself: loading pathlib is most of what help costs
    except FileNotFoundError:
        return
    threading.Thread(target=_watch, args=(resident, most_mib << 20), name="memory", daemon=True).start()


def _watch(resident: int, most_bytes: int) -> None:
    page = os.sysconf("SC_PAGE_SIZE")
    while int(os.pread(resident, 200, 0).split()[1]) * page <= most_bytes:
        time.sleep(_LOOK_EVERY_S)
    os.write(sys.stderr.fileno(), f"{too_much(most_bytes >> 20)}\n".encode())
    os._exit(1)
