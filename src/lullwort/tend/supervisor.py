"""What the service manager is told [sd_notify(3)]: that the service is ready, alive, or on its way out."""

from __future__ import annotations

import os
import socket
from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["Supervisor"]


@dataclass(frozen=True)
class Supervisor:
    """Speaks to whoever started the service, where that is somebody who listens; else does nothing.

    Attributes:
        address: of a datagram socket; "@" first stands for the abstract namespace. None: nobody listens.
        watchdog_s: [s] within which a sign of life is awaited; None: none is.
    """

    address: str | None = None
    watchdog_s: float | None = None

    @classmethod
    def of(cls, environment: Mapping[str, str]) -> Supervisor:
        """As the variables NOTIFY_SOCKET and WATCHDOG_USEC say, unless they are meant for another process."""
        meant_for = environment.get("WATCHDOG_PID", "")
        watched = environment.get("WATCHDOG_USEC", "").isdecimal() and meant_for in ("", str(os.getpid()))
        return cls(
            environment.get("NOTIFY_SOCKET") or None,
            int(environment["WATCHDOG_USEC"]) / 1e6 if watched else None,
        )

    def tell(self, *states: str) -> bool:
        """Send states such as READY=1; tells whether they went out. A deaf manager is no reason to stop."""
        if self.address is None:
            return False
        address = "\0" + self.address[1:] if self.address.startswith("@") else self.address
        try:
            with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as sender:
                sender.settimeout(1.0)
                sender.sendto("\n".join(states).encode(), address)
        except OSError:
            return False
        return True
