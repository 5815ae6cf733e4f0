"""What somebody typed, as commands quote it: a page shows it as it is, whatever it looks like."""

from __future__ import annotations

import re
from typing import NamedTuple

__all__ = ["Masked", "masked"]

_QUOTED = re.compile(r"""(?<!\w)(?:'(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")(?!\w)""", re.DOTALL)
# As Python writes a string: a quote within it has a backslash, or the string has the other kind around it.
_MARK = re.compile("\ue000([0-9]+)\ue001")
# Of the private use area of the Unicode standard: no sentence of a command has a letter of it.


class Masked(NamedTuple):
    """A sentence with a mark in the place of each quoted value, and those values."""

    text: str
    values: list[str]

    def back(self, text: str) -> str:
        """`text` with the values in the place of those marks that it still has."""
        return _MARK.sub(lambda mark: self.values[int(mark[1])], text)


def masked(text: str) -> Masked:
    """A sentence to be put into other words, without what it quotes.

    >>> found = masked("VESSEL is '--at `x`', and it's \\"o'ne\\"")
    >>> found.values, found.back(found.text.replace("VESSEL", "it"))
    (["'--at `x`'", '"o\\'ne"'], 'it is \\'--at `x`\\', and it\\'s "o\\'ne"')
    """
    values: list[str] = []

    def mark(found: re.Match[str]) -> str:
        values.append(found[0])
        return f"\ue000{len(values) - 1}\ue001"

    return Masked(_QUOTED.sub(mark, text.replace("\ue000", "").replace("\ue001", "")), values)
