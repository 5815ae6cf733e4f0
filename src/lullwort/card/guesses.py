"""How long somebody who has given wrong tokens must wait before the next is looked at.

Pure: the moment is passed in. Each address waits for itself.
"""

from __future__ import annotations

import hashlib
import ipaddress
from dataclasses import dataclass, field

__all__ = ["Guesses"]

_FREE = 5
"""Slips of a thumb that cost nothing."""
_LONGEST_WAIT_S = 900.0
_FORGOTTEN_AFTER_S = 3600.0
_MOST_ADDRESSES = 1000
_DIGEST_BYTES = 8


@dataclass
class _Guesser:
    last_s: float
    wrong: int = 0
    seen: list[bytes] = field(default_factory=list)
    """Digests of the last few: who gives the same again, as a sensor that was set up wrong, has learnt nothing."""


@dataclass
class Guesses:
    """Wrong tokens by the address that they came from.

    >>> guesses = Guesses()
    >>> for nth in range(7):
    ...     guesses.wrong("192.0.2.7", f"guess {nth}", now_s=10.0)
    >>> guesses.wait_s("192.0.2.7", now_s=10.5), guesses.wait_s("192.0.2.8", now_s=10.5)
    (3.5, 0.0)
    """

    _by_address: dict[str, _Guesser] = field(default_factory=dict)
    """The one that was wrong last stands last."""

    def wait_s(self, address: str, now_s: float) -> float:
        """[s] before a token from there is looked at; 0.0 where it is looked at now."""
        guesser = self._by_address.get(_household(address))
        if guesser is None or guesser.wrong <= _FREE:
            return 0.0
        wait_s = min(2.0 ** min(guesser.wrong - _FREE, 30), _LONGEST_WAIT_S)
        return max(0.0, guesser.last_s + wait_s - now_s)

    def wrong(self, address: str, given: str, now_s: float) -> None:
        """A wrong token came from there."""
        name = _household(address)
        guesser = self._by_address.pop(name, None)
        if guesser is None or now_s - guesser.last_s > _FORGOTTEN_AFTER_S:
            guesser = _Guesser(now_s)
        digest = hashlib.sha256(given.encode(errors="replace")).digest()[:_DIGEST_BYTES]
        if digest not in guesser.seen:
            guesser.wrong, guesser.last_s = guesser.wrong + 1, now_s
            guesser.seen = [*guesser.seen[1 - _FREE :], digest]
        self._by_address[name] = guesser
        while len(self._by_address) > _MOST_ADDRESSES:
            del self._by_address[next(iter(self._by_address))]

    def right(self, address: str) -> None:
        """The right one came from there."""
        self._by_address.pop(_household(address), None)


def _household(address: str) -> str:
    """One address, or of IPv6 the 64 bits that a household has for itself [RFC 4291 2.5.4]."""
    try:
        known = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address[:64]
    if known.version == 6 and known.ipv4_mapped is not None:
        return str(known.ipv4_mapped)
    return str(known) if known.version == 4 else str(ipaddress.ip_network((known, 64), strict=False))
