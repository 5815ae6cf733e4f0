"""One cell of a log file: text into a number or an id, or what was expected instead."""

from __future__ import annotations

import math
import re

from lullwort.records import check_id, near_id

__all__ = ["BadCellError", "parse_id", "parse_number"]

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


class BadCellError(Exception):
    """A cell is not what its column holds. `expected` says what that is."""

    def __init__(self, expected: str) -> None:
        self.expected = expected
        super().__init__(expected)


def parse_number(text: str, what: str, *, decimal_comma: bool) -> float:
    """The number in `text`, NaN where it is empty. `what` names the quantity for the message.

    >>> parse_number("1,012", "SG", decimal_comma=True), parse_number("", "SG", decimal_comma=False)
    (1.012, nan)
    """
    if not text:
        return math.nan
    plain = text
    if decimal_comma:
        # A point would be one of thousands, and is not guessed about.
        plain = text.replace(".", "?").replace(",", ".")
    if _NUMBER.fullmatch(plain) is not None and math.isfinite(value := float(plain)):
        return value
    expected = f"{what}, a number with a decimal {'comma' if decimal_comma else 'point'}"
    if not decimal_comma and _NUMBER.fullmatch(text.replace(",", ".")):
        expected += " (or state --decimal-comma)"
    if decimal_comma and _NUMBER.fullmatch(text):
        expected += " (or state --decimal-point)"
    if any(letter.isalpha() for letter in text) or plain.startswith("-"):
        expected += f" (or state that {text!r} stands for nothing: --missing)"
    raise BadCellError(expected)


def parse_id(text: str, *, make: bool = False) -> str:
    """The id in `text`; with `make`, the one that is nearest to it."""
    near = near_id(text)
    if make and near:
        return near
    try:
        return check_id(text)
    except ValueError:
        instead = f", such as {near!r} (or state --make-ids)" if near else ""
        raise BadCellError(f"an id: lower-case letters, digits, '.', '_' and '-'{instead}") from None
