"""Push messages in a process of their own, so that the service never carries the library that knows all the ways.

    python -m lullwort.alerts.push < {"addresses": [...], "title": "...", "says": "..."}

Standard output is a JSON object of those that did not take it: by their place in the list, from 0, why. No word of it
holds an address, for they may hold secrets.
"""

from __future__ import annotations

import json
import subprocess
import sys

__all__ = ["push"]

_TIMEOUT_S = 120.0


def push(addresses: list[str], title: str, says: str) -> dict[str, str]:
    """Send through a child process; gives by address why it failed, for those where it did."""
    message = json.dumps({"addresses": addresses, "title": title, "says": says})
    try:
        done = subprocess.run(
            [sys.executable, "-m", "lullwort.alerts.push"],
            input=message, capture_output=True, text=True, timeout=_TIMEOUT_S, check=True,
        )  # fmt: skip
        return {addresses[int(place)]: why for place, why in json.loads(done.stdout).items()}
    except (OSError, subprocess.SubprocessError, ValueError) as exc:
        return dict.fromkeys(addresses, f"the push process failed: {type(exc).__name__}")


def _main() -> int:
    from apprise import Apprise

    message = json.load(sys.stdin)
    failed = {}
    for place, address in enumerate(message["addresses"]):
        one = Apprise()
        if not one.add(address):
            failed[place] = "is none that can be used"
        elif not one.notify(title=message["title"], body=message["says"]):
            failed[place] = "did not take it"
    print(json.dumps(failed))
    return 0


if __name__ == "__main__":
    sys.exit(_main())
