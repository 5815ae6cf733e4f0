"""The records of SenML packs as they stand in a JSON text [RFC8428], one at a time and with exact numbers."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from decimal import Context, Decimal, InvalidOperation
from typing import Any, NamedTuple

__all__ = ["EXACT", "Element", "PackScanner", "Repeated", "Spoiled", "finite"]

_NUMBER_CHARACTERS = 1000
_LARGEST, _SMALLEST = 308, -400
"""Decimal exponents within which a number is taken: all of a 64-bit float, and a bound on what exact sums cost."""

EXACT = Context(prec=2000)
"""Adds and multiplies numbers that `finite` has passed without rounding: at most 309 digits before the point and 1400
after it."""

_MOST_TOO_DEEP = 20
# Each costs some 60 µs, and a hostile file could ask for one at every line.
_BLANKS = re.compile(r"[ \t\r\n]*")
_NEXT_PACK = re.compile(r"\n[ \t\r]*\[")
_FLAT = re.compile(r'\{(?:[^{}\[\]"\n]|"(?:[^"\\\n]|\\.)*")*\}(?=[ \t\r\n]*[,\]])')
_BASE_LABEL = re.compile(r'"(b[a-z]+)"[ \t]*:')
_NOT_A_NUMBER = Decimal("NaN")


class Repeated(dict[str, Any]):
    """An object in which a label occurs more than once."""


class Spoiled(list[str]):
    """An object that cannot be decoded; holds the base labels that occur in it."""


class Element(NamedTuple):
    """What stands at one place of a pack: `content` from `start` to `end` of the text, or a fault in it.

    `pack` counts from 1. Where there is a fault, all up to the next pack or the end of the text belongs to it.
    """

    pack: int
    start: int
    end: int
    content: object
    fault: str = ""


class PackScanner:
    """Finds the packs of `text`, which stand one after another, and what is in them.

    Elements are read singly, so that damage leaves what is before it. After damage reading goes on at the next line
    that begins a pack.

    Attributes:
        at:       how far the text has been read.
        unclosed: whether the text ends within a pack, between two records.
    """

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = self._blanks(0)
        self.unclosed = False
        self._too_deep = 0

    def elements(self) -> Iterator[Element]:
        """All elements in order."""
        pack = 0
        while self.at < len(self.text):
            pack += 1
            if self.text[self.at] == "[":
                yield from self._pack(pack)
            else:
                yield self._damage(pack, self.at, "a pack: an array of records in JSON")
            self.at = self._blanks(self.at)

    def _pack(self, pack: int) -> Iterator[Element]:
        self.at = self._blanks(self.at + 1)
        if self.text.startswith("]", self.at):
            self.at += 1
            return
        while self.at < len(self.text):
            start = self.at
            try:
                content, end = _DECODER.raw_decode(self.text, start)
            except ValueError:
                flat = _FLAT.match(self.text, start)
                if flat is None:
                    yield self._damage(pack, start, "a record: an object in JSON; all up to the next pack is set aside")
                    return
                # A slip inside one record, as in a number: its end is in sight, and the others are good.
                content, end = Spoiled(_BASE_LABEL.findall(flat[0])), flat.end()
            except RecursionError:
                self._too_deep += 1
                if self._too_deep > _MOST_TOO_DEEP:
                    self.at = len(self.text)
                    yield Element(pack, start, self.at, None, "records; nothing after so much nesting is looked at")
                else:
                    yield self._damage(pack, start, "a record, which is an object without others nested in it")
                return
            self.at = self._blanks(end)
            yield Element(pack, start, end, content)
            if self.text.startswith("]", self.at):
                self.at += 1
                return
            if self.text.startswith(",", self.at):
                self.at = self._blanks(self.at + 1)
            elif self.at < len(self.text):
                yield self._damage(pack, self.at, "a comma and a record, or the end of the pack")
                return
        self.unclosed = True

    def _damage(self, pack: int, start: int, expected: str) -> Element:
        found = _NEXT_PACK.search(self.text, start)
        self.at = found.end() - 1 if found else len(self.text)
        return Element(pack, start, self.at, None, expected)

    def _blanks(self, at: int) -> int:
        found = _BLANKS.match(self.text, at)
        return found.end() if found else at


def finite(value: object) -> Decimal | None:
    """`value` if it is a number within the range of a 64-bit float, fit for exact sums, else None.

    >>> finite(Decimal("1.25")), finite(Decimal("1e-999999")), finite(Decimal("1e999999")), finite("1")
    (Decimal('1.25'), Decimal('0'), None, None)
    """
    if not isinstance(value, Decimal) or not value.is_finite():
        return None
    if not value or value.adjusted() < _SMALLEST:
        return Decimal(0)
    return value if value.adjusted() <= _LARGEST else None


def _number(text: str) -> Decimal:
    if len(text) > _NUMBER_CHARACTERS:
        return _NOT_A_NUMBER
    try:
        return Decimal(text)
    except InvalidOperation:
        return _NOT_A_NUMBER


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    labels = dict(pairs)
    return labels if len(labels) == len(pairs) else Repeated(labels)


_DECODER = json.JSONDecoder(
    parse_float=_number, parse_int=_number, parse_constant=lambda _: _NOT_A_NUMBER, object_pairs_hook=_object
)
