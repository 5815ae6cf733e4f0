"""What holds a command that a service runs: it ends with the service, and takes no more memory than it is given.

The command does both to itself as it starts, told by variables: what is run between fork and exec is not safe in a
process with threads, and the service has some.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import MutableMapping

__all__ = ["ENDS_WITH", "MOST_MIB", "last_words", "leashed", "take_up_leash"]

ENDS_WITH, MOST_MIB = "LULLWORT_ENDS_WITH", "LULLWORT_MOST_MIB"
_TELL_OF_PARENT = 1
"""PR_SET_PDEATHSIG. [Linux, prctl(2)]"""


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
    import resource  # only where it is needed, and there is none of it elsewhere than on Unix

    hard = resource.getrlimit(resource.RLIMIT_DATA)[1]
    asked = int(most) << 20
    # What it writes to, in whatever way it got it, and not files and libraries that it only maps [setrlimit(2)].
    resource.setrlimit(resource.RLIMIT_DATA, (asked if hard == resource.RLIM_INFINITY else min(asked, hard), hard))
    return int(most)


def last_words() -> None:
    """Let this process take what it needs to say why it ends, once it has had all the memory that it is given."""
    import resource

    hard = resource.getrlimit(resource.RLIMIT_DATA)[1]
    resource.setrlimit(resource.RLIMIT_DATA, (hard, hard))


def _end_with(parent: int) -> None:
    """Be killed when the thread that started this process ends, and at once where its process already has."""
    if sys.platform != "linux":
        return  # nothing there tells of it; what is under way ends by itself
    import ctypes

    ctypes.CDLL(None).prctl(_TELL_OF_PARENT, signal.SIGKILL)
    if os.getppid() != parent:  # it had ended before that was asked for
        os.kill(os.getpid(), signal.SIGKILL)
