"""What holds for all pages that one request is answered with, wherever they are made.

A variable of the request, not an argument: a page that forgot it would leave out a warning.
"""

from __future__ import annotations

from contextvars import ContextVar
from typing import NamedTuple

__all__ = ["AROUND", "Around"]


class Around(NamedTuple):
    """Of one request.

    Attributes:
        legible: whether others on the network can read along.
        known:   whether the browser has shown the token, and can be told to forget it.
    """

    legible: bool = False
    known: bool = False


_NOTHING_SAID = Around()
AROUND: ContextVar[Around] = ContextVar("around", default=_NOTHING_SAID)
