"""Instants as whole microseconds since 1970-01-01T00:00:00Z: exact as keys, cheap in loops, no zone to mix up."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

__all__ = ["HOUR_US", "NOT_BEFORE_US", "format_utc", "from_datetime", "parse_instant", "to_datetime"]

HOUR_US = 3_600_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def from_datetime(moment: datetime) -> int:
    """Microseconds since the epoch of an aware datetime. Raises ValueError for one without a zone.

    >>> from_datetime(datetime(1970, 1, 1, 1, tzinfo=UTC)) == HOUR_US
    True
    """
    if moment.utcoffset() is None:
        raise ValueError(f"{moment.isoformat()} has no zone, expected an offset such as Z or +02:00")
    return (moment - _EPOCH) // timedelta(microseconds=1)


def to_datetime(at_us: int) -> datetime:
    """The UTC datetime of `at_us` [µs since the epoch]."""
    return _EPOCH + timedelta(microseconds=at_us)


def parse_instant(text: str) -> int:
    """Microseconds since the epoch of an ISO 8601 time with offset. Raises ValueError without one.

    >>> parse_instant("1970-01-01T02:00:00+01:00") == HOUR_US
    True
    """
    return from_datetime(datetime.fromisoformat(text.strip()))


def format_utc(at_us: int) -> str:
    """ISO 8601 in UTC with `Z`; fractions of a second only where there are some.

    >>> format_utc(3_600_000_000), format_utc(1_500_000)
    ('1970-01-01T01:00:00Z', '1970-01-01T00:00:01.500000Z')
    """
    return to_datetime(at_us).isoformat().replace("+00:00", "Z")


NOT_BEFORE_US = parse_instant("2026-01-01T00:00:00Z")
"""[µs] A clock that shows an earlier time was never set: this program is younger."""
