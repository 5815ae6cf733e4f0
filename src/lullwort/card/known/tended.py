"""What the service has in hand, as the card is shown it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from lullwort.detector import Judged

__all__ = ["Tended"]


class Tended(NamedTuple):
    """What the service has in hand at one moment.

    Attributes:
        judged:   by name of the batch, as it was last judged.
        failing:  why nothing can be stored; empty while it can.
        revision: of the book, on which `judged` rests at least; None: nothing was judged yet.
    """

    judged: Mapping[str, Judged]
    failing: str
    revision: int | None = None
