"""Push messages in a process of their own, so that the service never carries the library that knows all the ways.

    python -m lullwort.alerts.push < {"addresses": [...], "title": "...", "says": "..."}

Exit 0: every address took it. Exit 1: some did not; standard output names them by number, for they may hold secrets.
"""

from __future__ import annotations

import json
import subprocess
import sys

__all__ = ["push"]

_TIMEOUT_S = 120.0


def push(addresses: list[str], title: str, says: str) -> str:
    """Send through a child process; gives why it failed, empty where it did not."""
    message = json.dumps({"addresses": addresses, "title": title, "says": says})
    try:
        done = subprocess.run(
            [sys.executable, "-m", "lullwort.alerts.push"],
            input=message, capture_output=True, text=True, timeout=_TIMEOUT_S, check=False,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired) as exc:
        return f"the push process failed: {type(exc).__name__}"
    if done.returncode == 0:
        return ""
    return done.stdout.strip() or f"the push process ended with {done.returncode}"


def _main() -> int:
    from apprise import Apprise

    message = json.load(sys.stdin)
    failed = []
    for number, address in enumerate(message["addresses"], start=1):
        one = Apprise()
        if not one.add(address):
            failed.append(f"address {number} is none that can be used")
        elif not one.notify(title=message["title"], body=message["says"]):
            failed.append(f"address {number} did not take it")
    print("; ".join(failed))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(_main())
