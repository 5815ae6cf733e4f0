"""Who has to go when more are connected than there is room for. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Protocol, TypeVar

__all__ = ["Guest", "to_drop"]

_CROWD = 8
"""More than one in so many of all: more than the two browsers of somebody who has a phone and a computer."""


class Guest(Protocol):
    """One who is connected."""

    @property
    def household(self) -> str:
        """Whose it is."""

    @property
    def served(self) -> bool:
        """Whether anything that was asked over it has been answered: it is no mere connection."""

    @property
    def waiting(self) -> bool:
        """Whether it is the other side's turn to say something."""

    @property
    def stays(self) -> bool:
        """Whether somebody whom we know follows a page over it."""


_G = TypeVar("_G", bound=Guest)


def to_drop(guests: Sequence[_G]) -> _G:
    """Of at least two guests, in the order in which they came.

    Whoever crowds out others loses one of his own, whatever is done over it; where nobody does, it is one over which
    nothing was ever answered. The newest is never the one, for the others had their time.
    """
    *there, newcomer = guests
    loose = [one for one in there if not one.stays] or there
    held = Counter(one.household for one in (*loose, newcomer))
    most = max(held[one.household] for one in loose)
    if most * _CROWD > len(guests):
        loose = [one for one in loose if held[one.household] == most]
    return min(loose, key=lambda one: (one.served, not one.waiting))  # of equals the first, which is the oldest
