"""Values that stand for nothing, as -999 or NA."""

from __future__ import annotations

import math

import numpy as np

from lullwort.units import FloatArray

__all__ = ["Missing"]


class Missing:
    """Knows what stands for nothing: words by their text, numbers by their value in whatever form."""

    def __init__(self, stated: tuple[str, ...]) -> None:
        self.words: list[str] = []
        self._numbers: list[float] = []
        for text in stated:
            try:
                number = float(text.replace(",", "."))
            except ValueError:
                number = math.nan
            if math.isfinite(number):
                self._numbers.append(number)
            else:
                self.words.append(text)

    def blanked(self, cell: str) -> str:
        """The cell, or nothing where it is one of the words."""
        return "" if cell in self.words else cell

    def number(self, value: float) -> float:
        """The number, or NaN where it is one of those that stand for nothing."""
        return math.nan if value in self._numbers else value

    def numbers(self, values: FloatArray) -> FloatArray:
        """The same for many, of any shape."""
        return np.where(np.isin(values, self._numbers), np.nan, values) if self._numbers else values
