"""Rows that are no readings: when each was, where it tells that itself, and why it was set aside."""

from __future__ import annotations

import re
from collections import Counter
from typing import NamedTuple

from lullwort.cellarbook import Book
from lullwort.records import SetAside, parse_instant

__all__ = ["AsideRows", "aside_rows", "sorted_out"]

_MOST_LOOKED_AT = 2000
_INSTANT = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(?::\d\d(?:[.,]\d{1,9})?)?(?:Z|[+-]\d\d:?\d\d)", re.ASCII)


class AsideRows(NamedTuple):
    """Rows set aside beside the readings of a vessel.

    Attributes:
        at_us:     [µs] of those that tell their time, within that of the batch, in order.
        elsewhen:  how many tell one beyond that.
        timeless:  how many tell none, or more than one.
        reasons:   what was expected of which column, with how many were not so, the commonest first.
        unread:    how many more there are, at which nobody looked.
    """

    at_us: tuple[int, ...]
    elsewhen: int
    timeless: int
    reasons: tuple[tuple[str, int], ...]
    unread: int


def aside_rows(book: Book, vessel: str, from_us: int, to_us: int) -> AsideRows:
    """Those of a vessel; of a batch the time from `from_us` to `to_us` [µs]."""
    count = book.readings.set_aside_count(vessel)
    rows = book.readings.set_aside(vessel, _MOST_LOOKED_AT) if count else []
    return sorted_out(rows, from_us, to_us)._replace(unread=count - len(rows))


def sorted_out(rows: list[SetAside], from_us: int, to_us: int) -> AsideRows:
    """As `aside_rows`, of these rows."""
    times = [_time_in(row) for row in rows]
    told = [at_us for at_us in times if at_us is not None]
    within = sorted(at_us for at_us in told if from_us <= at_us <= to_us)
    why = Counter(f"{row.column}: expected {row.expected}" for row in rows)
    return AsideRows(tuple(within), len(told) - len(within), len(rows) - len(told), tuple(why.most_common()), 0)


def _time_in(row: SetAside) -> int | None:
    """[µs] The one time with a zone that stands in its text: of two nobody knows which is meant."""
    found = set()
    for written in _INSTANT.findall(row.raw_text):
        try:
            found.add(parse_instant(written.replace(",", ".")))
        except ValueError:
            return None
    return found.pop() if len(found) == 1 else None
