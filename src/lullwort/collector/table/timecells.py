"""One time as a log file writes it: ISO 8601, day and month in a stated order, seconds since 1970, spreadsheet days."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from lullwort.collector.mapping import Times
from lullwort.collector.table.cells import BadCellError
from lullwort.collector.table.localtime import RepeatedTimeError, SkippedTimeError, local_to_utc_us
from lullwort.records import from_datetime

__all__ = [
    "DAY_US",
    "NO_ZONE",
    "NUMBER",
    "NUMBERED",
    "ORDERED",
    "OUT_OF_RANGE",
    "SERIAL_DAY_0_US",
    "TIME_RANGE_US",
    "full_year",
    "parse_time",
]

TIME_RANGE_US = (0, 7_258_118_400 * 1_000_000)
"""[µs] From 1970 (a sensor without the time starts there) to the end of 2199; later or earlier is a slip."""

OUT_OF_RANGE = "a time in the years 1970 to 2199"
NO_ZONE = "an offset such as Z or +01:00 after the time, or a zone stated for the whole file"

DAY_US = 86_400 * 1_000_000
_SECOND_US = 1_000_000

SERIAL_DAY_0_US = {"serial": -25_569 * DAY_US, "serial-1904": -24_107 * DAY_US}
"""[µs since 1970 on the local clock] Spreadsheets count from the eve of 1900 and believe in a 29 February 1900, so that
later days are those since 30 December 1899; others count from 1 January 1904 [ECMA376] part 1, 18.17.4.1."""

NUMBERED: dict[str, int] = {"unix": _SECOND_US, "unix-ms": 1000}
"""[µs] What one of them is."""

_TIME_OF_DAY = (
    r"(?:[T ,]+(?P<hour>[0-9]{1,2})[:. h](?P<minute>[0-9]{1,2})"
    r"(?:[:. ](?P<second>[0-9]{1,2})(?:[.,](?P<fraction>[0-9]{1,6}))?)? ?(?P<half>[AaPp]\.?[Mm]\.?)?)?"
)
_APART = r"[-./ ]+"
_DAY, _MONTH, _YEAR = r"(?P<day>[0-9]{1,2})", r"(?P<month>[0-9]{1,2})", r"(?P<year>[0-9]{4}|[0-9]{2})"

ORDERED: dict[str, str] = {
    "ymd": rf"^{_YEAR}[-./ ]*{_MONTH}[-./ ]*{_DAY}{_TIME_OF_DAY}$",
    "dmy": rf"^{_DAY}{_APART}{_MONTH}{_APART}{_YEAR}{_TIME_OF_DAY}$",
    "mdy": rf"^{_MONTH}{_APART}{_DAY}{_APART}{_YEAR}{_TIME_OF_DAY}$",
}
"""Patterns that `re` and RE2 read alike; without a time of day it is midnight."""

_PATTERNS = {order: re.compile(pattern) for order, pattern in ORDERED.items()}
_PARTS = ("year", "month", "day", "hour", "minute", "second")
NUMBER = r"[0-9]{1,15}(?:[.,][0-9]{1,12})?"
"""A time that is a number; no sign, no exponent."""

_EXPECTED: dict[Times, str] = {
    "iso": "a time such as 2026-03-02T09:00:00Z (ISO 8601)",
    "ymd": "year, month and day, such as 2026/03/02 09:00",
    "dmy": "day, month and year, such as 02.03.2026 09:00",
    "mdy": "month, day and year, such as 3/2/2026 9:00 AM",
    "unix": "seconds since 1970 such as 1772442000",
    "unix-ms": "milliseconds since 1970 such as 1772442000000",
    "serial": "spreadsheet days such as 46083.375",
    "serial-1904": "spreadsheet days since 1904 such as 44621.375",
}


def parse_time(text: str, times: Times, zone: ZoneInfo | None) -> int:
    """Microseconds since the epoch of `text`; without an offset of its own as clocks in `zone` show it.

    Raises: BadCellError; RepeatedTimeError for a local time that a clock change makes come twice.
    """
    try:
        at_us = _parsed(text, times, zone)
    except RepeatedTimeError:
        raise
    except SkippedTimeError:
        raise BadCellError(f"a time that clocks in {zone} show; a clock change skips this one") from None
    except (ValueError, OverflowError):
        raise BadCellError(_EXPECTED[times]) from None
    if not TIME_RANGE_US[0] <= at_us < TIME_RANGE_US[1]:
        hint = " (milliseconds are stated as unix-ms)" if times == "unix" else ""
        raise BadCellError(f"{OUT_OF_RANGE}{hint}")
    return at_us


def full_year(year: int) -> int:
    """Two digits mean a year of this century."""
    return year + 2000 if year < 100 else year


def _parsed(text: str, times: Times, zone: ZoneInfo | None) -> int:
    if times == "iso":
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is not None:
            return from_datetime(moment)
        return _placed(from_datetime(moment.replace(tzinfo=UTC)), zone)
    if times in NUMBERED:
        return round(_number(text) * NUMBERED[times])
    if times in ORDERED:
        return _placed(_ordered(text, _PATTERNS[times]), zone)
    # Whole seconds: the fraction of a day is often cut to a few digits.
    return _placed(SERIAL_DAY_0_US[times] + round(_number(text) * 86_400) * _SECOND_US, zone)


def _placed(local_us: int, zone: ZoneInfo | None) -> int:
    if zone is None:
        raise BadCellError(NO_ZONE)
    return local_to_utc_us(local_us, zone)


def _ordered(text: str, pattern: re.Pattern[str]) -> int:
    found = pattern.match(text)
    if found is None:
        raise ValueError(text)
    year, month, day, hour, minute, second = (int(found[part] or 0) for part in _PARTS)
    if found["half"]:
        if not 1 <= hour <= 12:
            raise ValueError(text)
        hour = hour % 12 + (12 if found["half"][0] in "pP" else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise ValueError(text)
    days = date(full_year(year), month, day).toordinal() - date(1970, 1, 1).toordinal()
    micro = int((found["fraction"] or "").ljust(6, "0"))
    return days * DAY_US + ((hour * 60 + minute) * 60 + second) * _SECOND_US + micro


def _number(text: str) -> float:
    if re.fullmatch(NUMBER, text) is None:
        raise ValueError(text)
    return float(text.replace(",", "."))
