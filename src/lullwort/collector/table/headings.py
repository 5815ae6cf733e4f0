"""The heading of a column: its name, and the unit in brackets behind it."""

from __future__ import annotations

import re
from typing import NamedTuple

__all__ = ["UNIT_WORDS", "Heading", "heading"]

UNIT_WORDS = {
    "sg": "sg", "points": "points", "plato": "plato", "°p": "plato", "°plato": "plato", "brix": "plato", "°bx": "plato",
    "°brix": "plato", "kg_m3": "kg_m3", "kg/m3": "kg_m3", "kg/m³": "kg_m3", "kg/m^3": "kg_m3", "g/l": "kg_m3",
    "°c": "C", "c": "C", "deg c": "C", "cel": "C", "°f": "F", "f": "F", "deg f": "F", "k": "K", "v": "V", "volt": "V",
    "%": "%",
}  # fmt: skip
"""Spellings of units in brackets. °Bx on a hydrometer is °P, g/L is kg/m³."""

_TELLING = ("sg", "plato", "°plato", "°p", "brix", "°brix", "°bx", "°c", "°f")
"""Units that need no brackets to be known as such."""

_BRACKETS = re.compile(r"(.*?)\s*[\[(]([^\])]*)[\])]")


class Heading(NamedTuple):
    """`name` in small letters; `unit` as a mapping states it, None where none is named or it is not one of ours."""

    name: str
    unit: str | None


def heading(label: str) -> Heading:
    """What a column's label says.

    >>> heading("Gravity [°P]"), heading("Time"), heading("signal (odd)")
    (Heading(name='gravity', unit='plato'), Heading(name='time', unit=None), Heading(name='signal', unit=None))
    """
    found = _BRACKETS.fullmatch(label.strip())
    if found is None:
        name = label.strip().lower()
        last = name.rpartition(" ")[2]
        return Heading(name, UNIT_WORDS[last] if last in _TELLING else None)
    return Heading(found[1].lower(), UNIT_WORDS.get(found[2].strip().lower()))
