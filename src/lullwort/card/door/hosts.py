"""By which names the card may be asked for.

A page of somebody else's can have its own name point at this machine, and would then count as one of the card's pages.
It cannot make a browser ask for a number, or for a name that is the card's own.
"""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable

__all__ = ["Hosts", "host_named"]

_HOST = re.compile(r"(\[[0-9a-f:.%]+\]|[a-z0-9._-]+)(:[0-9]{1,5})?", re.IGNORECASE)


class Hosts:
    """Numbers, `localhost`, the machine's own name with and without `.local`, and those that the settings list."""

    def __init__(self, listed: Iterable[str], own: str | None = None) -> None:
        """Args: own: the machine's name; None: as the system says."""
        name = (socket.gethostname() if own is None else own).lower()
        short = name.partition(".")[0]
        self._names = {"localhost", name, short, f"{short}.local", *(one.lower() for one in listed)}

    def may_be(self, header: str) -> bool:
        """Whether a request with this `Host` is meant for us."""
        name = host_named(header)
        return name is not None and (_is_number(name) or name in self._names)


def host_named(header: str) -> str | None:
    """The name or number in a `Host` [RFC 9110 7.2] without its port; None where it is none."""
    found = _HOST.fullmatch(header)
    return None if found is None else found[1].lower().removesuffix(".")


def _is_number(name: str) -> bool:
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True
