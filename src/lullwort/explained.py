"""How a figure comes about, for whoever asks: its formula in words and symbols, and where that comes from."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["COMMON_PRACTICE", "OURS", "Explained"]

COMMON_PRACTICE = "common practice, no source"
OURS = "Lullwort's own; DEVELOPERS.md tells what it was held against"


class Explained(NamedTuple):
    """One figure: its name as it is shown, the formula, and its source.

    The source is a key of fixtures/published/SOURCES.md with what it stands for, COMMON_PRACTICE or OURS. They stand
    beside the code that they explain.
    """

    figure: str
    formula: str
    source: str
