"""Quiet hours: when something that is not urgent may go out."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from lullwort.records import from_datetime, to_datetime

__all__ = ["Quiet", "parse_span", "parse_time_of_day"]

_DAY_MIN = 24 * 60


def parse_time_of_day(text: str) -> int:
    """Minutes since midnight. Raises ValueError.

    >>> parse_time_of_day("07:30")
    450
    """
    if not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", text):
        raise ValueError(text)
    hours, _, minutes = text.partition(":")
    return 60 * int(hours) + int(minutes)


def parse_span(text: str) -> tuple[int, int]:
    """From and to in minutes since midnight; over midnight where to comes first. Raises ValueError.

    >>> parse_span("22:00-07:00")
    (1320, 420)
    """
    begin, dash, end = text.partition("-")
    span = parse_time_of_day(begin.strip()), parse_time_of_day(end.strip())
    if not dash or span[0] == span[1]:
        raise ValueError(text)
    return span


@dataclass(frozen=True)
class Quiet:
    """Quiet hours by the clock on the wall of `zone`; none where `span` [minutes of the day] is None."""

    span: tuple[int, int] | None
    zone: ZoneInfo

    def over_us(self, now_us: int) -> int:
        """[µs] from when on something may go out: now, or the end of the quiet hours in which now lies."""
        if self.span is None:
            return now_us
        begin, end = self.span
        local = to_datetime(now_us).astimezone(self.zone)
        minute = 60 * local.hour + local.minute
        if (minute - begin) % _DAY_MIN >= (end - begin) % _DAY_MIN:
            return now_us
        return self._next(local, end)

    def next_us(self, minute_of_day: int, after_us: int) -> int:
        """[µs] When the clock on the wall next shows that minute."""
        return self._next(to_datetime(after_us).astimezone(self.zone), minute_of_day)

    def _next(self, local: datetime, minute_of_day: int) -> int:
        hour, minute = divmod(minute_of_day, 60)
        then = local.replace(hour=hour, minute=minute, second=0, microsecond=0, fold=0)
        if then <= local:
            # By the wall, not by 24 hours: one of these days has 23 or 25.
            then = then.replace(tzinfo=None) + timedelta(days=1)
            then = then.replace(tzinfo=self.zone)
        return from_datetime(then)
