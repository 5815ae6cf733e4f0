"""How long somebody who has given wrong tokens must wait before the next is looked at.

The moment is passed in. Each household waits for itself, and the log has when its waiting begins.
"""

from __future__ import annotations

import hashlib
import logging
from dataclasses import dataclass, field

from lullwort.card.door.households import household

__all__ = ["Guesses"]

_LOG = logging.getLogger("lullwort.guesses")

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
        guesser = self._by_address.get(household(address))
        if guesser is None or guesser.wrong <= _FREE:
            return 0.0
        wait_s = min(2.0 ** min(guesser.wrong - _FREE, 30), _LONGEST_WAIT_S)
        return max(0.0, guesser.last_s + wait_s - now_s)

    def wrong(self, address: str, given: str, now_s: float) -> None:
        """A wrong token came from there."""
        name = household(address)
        guesser = self._by_address.pop(name, None)
        if guesser is None or now_s - guesser.last_s > _FORGOTTEN_AFTER_S:
            guesser = _Guesser(now_s)
        digest = hashlib.sha256(given.encode(errors="replace")).digest()[:_DIGEST_BYTES]
        if digest not in guesser.seen:
            guesser.wrong, guesser.last_s = guesser.wrong + 1, now_s
            guesser.seen = [*guesser.seen[1 - _FREE :], digest]
            if guesser.wrong == _FREE + 1:
                _LOG.warning("wrong tokens: whoever gives them has to wait from now on", extra={"address": name})
        self._by_address[name] = guesser
        while len(self._by_address) > _MOST_ADDRESSES:
            del self._by_address[next(iter(self._by_address))]

    def right(self, address: str) -> None:
        """The right one came from there."""
        self._by_address.pop(household(address), None)
