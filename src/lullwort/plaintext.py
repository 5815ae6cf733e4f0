"""Words that people wrote, without what a terminal or a browser would obey instead of showing it."""

from __future__ import annotations

import unicodedata

__all__ = ["plain_text"]

_TURNS = {*"\u061c\u200e\u200f", *map(chr, range(0x202A, 0x202F)), *map(chr, range(0x2066, 0x206A))}
# Bidi_Control of the Unicode standard (PropList): in a note they would show words in another order than they stand in.


def plain_text(text: str) -> str:
    """`text` without control characters and those that turn the direction of writing; lines stay, a tab is a blank.

    >>> plain_text("warm" + chr(27) + "[2J\\tand " + chr(0x202E) + "sweet")
    'warm[2J and sweet'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(filter(_shown, text.replace("\t", " ").replace("\u2028", "\n").replace("\u2029", "\n")))


def _shown(letter: str) -> bool:
    return letter == "\n" or (letter not in _TURNS and unicodedata.category(letter) != "Cc")
