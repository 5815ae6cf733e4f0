"""Where the card is: addresses that a person may type, without anything secret."""

from __future__ import annotations

import ipaddress
import socket

from lullwort.collector import HttpSettings

__all__ = ["card_addresses"]

_ELSEWHERE = ("192.0.2.1", "2001:db8::1")
"""Addresses that are nobody's [RFC 5737, RFC 3849]: which way one would go to them tells our own. Nothing is sent."""


def card_addresses(http: HttpSettings) -> list[str]:
    """By which it is reached from where it listens; the best to type first."""
    scheme = "http" if http.certificate_file is None else "https"
    return [f"{scheme}://{host}:{http.port}" for host in _hosts(http)]


def _hosts(http: HttpSettings) -> list[str]:
    if not ipaddress.ip_address(http.host).is_unspecified:
        return [*http.names, _in_address(http.host)]
    short = socket.gethostname().lower().partition(".")[0]
    return [*http.names, f"{short}.local", *map(_in_address, _own_addresses(v6=":" in http.host))]


def _own_addresses(*, v6: bool) -> list[str]:
    """Of this machine on its network; none without one."""
    families = [(socket.AF_INET, _ELSEWHERE[0]), *([(socket.AF_INET6, _ELSEWHERE[1])] if v6 else [])]
    found = []
    for family, elsewhere in families:
        with socket.socket(family, socket.SOCK_DGRAM) as asking:
            try:
                asking.connect((elsewhere, 9))
            except OSError:
                continue
            found.append(str(asking.getsockname()[0]))
    return found


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host
