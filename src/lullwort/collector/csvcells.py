"""One cell of a readings file: text into a time, a number or an id, or what was expected instead."""

from __future__ import annotations

import math
import re
from datetime import datetime
from zoneinfo import ZoneInfo

from lullwort.collector.localtime import local_to_utc_us
from lullwort.records import check_id, from_datetime

__all__ = ["TIME_RANGE_US", "BadCellError", "parse_id", "parse_number", "parse_time"]

TIME_RANGE_US = (0, 7_258_118_400 * 1_000_000)
"""[µs] From 1970 (a sensor without the time starts there) to the end of 2199; later or earlier is a slip."""

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_NOT_IN_ID = re.compile(r"[^a-z0-9._-]+")


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
        expected += " (or say that the file has decimal commas)"
    if decimal_comma and _NUMBER.fullmatch(text):
        expected += " (or do not say that the file has decimal commas)"
    raise BadCellError(expected)


def parse_time(text: str, zone: ZoneInfo | None) -> int:
    """Microseconds since the epoch of an ISO 8601 time; without an offset, as clocks in `zone` show it."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise BadCellError("a time such as 2026-03-02T09:00:00Z (ISO 8601)") from None
    if moment.tzinfo is None and zone is None:
        raise BadCellError("an offset such as Z or +01:00 after the time, or a zone stated for the whole file")
    try:
        at_us = from_datetime(moment) if zone is None or moment.tzinfo is not None else local_to_utc_us(moment, zone)
    except ValueError as exc:
        raise BadCellError(
            f"a time that clocks in {zone} show once; a clock change {exc} it: write it with its offset"
        ) from None
    if not TIME_RANGE_US[0] <= at_us < TIME_RANGE_US[1]:
        raise BadCellError("a time in the years 1970 to 2199")
    return at_us


def parse_id(text: str) -> str:
    """The id in `text`."""
    try:
        return check_id(text)
    except ValueError:
        near = _NOT_IN_ID.sub("-", text.lower()).strip("._-")
        raise BadCellError(
            f"an id: lower-case letters, digits, '.', '_' and '-'{f', such as {near!r}' if near else ''}"
        ) from None
