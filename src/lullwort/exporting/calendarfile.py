"""What can be planned for as an iCalendar file [RFC 5545], which a calendar takes in and brings up to date later."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from lullwort.forecast import Planned
from lullwort.records import to_datetime

if TYPE_CHECKING:
    from icalendar import Event

__all__ = ["calendar_text"]

_OURS = UUID("c1ffe995-f6da-4614-a4c1-e001c21ce964")
"""The name space of our events' names: drawn at random once, and never to be changed."""
_MAKER = "-//Lullwort//Forecast of a batch//EN"
_QUARTER_US = 900_000_000
"""[µs] Nobody plans closer than that."""
_LASTS = timedelta(hours=1)
_MINUTE_US = 60_000_000


def calendar_text(batch: str, planned: Iterable[Planned], as_of_us: int, zone: str | None) -> str:
    """The whole file, its lines ended by CR LF; the same for the same forecast, whenever it is written.

    An event is known again by the name of its batch and by what it is: a later file moves it, by its higher SEQUENCE
    [RFC 5545 3.8.7.4]. Days are those of `zone`, UTC where that is None; moments are in UTC.

    Args:    batch: its name.  as_of_us: [µs] of the forecast.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", _MAKER)
    calendar.add("version", "2.0")
    for each in planned:
        calendar.add_component(_event(batch, each, as_of_us, ZoneInfo(zone or "UTC")))
    text: str = calendar.to_ical().decode()
    return text


def _event(batch: str, planned: Planned, as_of_us: int, zone: ZoneInfo) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", str(uuid5(_OURS, f"{batch}/{planned.key}")))
    event.add("dtstamp", to_datetime(as_of_us))
    event.add("last-modified", to_datetime(as_of_us))
    event.add("sequence", max(0, as_of_us // _MINUTE_US))  # of seconds there are too many for its 31 bits in 2038
    if planned.all_day:
        day = to_datetime(planned.at_us).astimezone(zone).date()
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
    else:
        start = _next_quarter(planned.at_us)
        event.add("dtstart", start)
        event.add("dtend", start + _LASTS)
    event.add("summary", _plain(planned.title))
    event.add("description", _plain(planned.says))
    event.add("status", "TENTATIVE")
    event.add("transp", "TRANSPARENT")  # it says when something may be, not that the brewer is busy
    return event


def _next_quarter(at_us: int) -> datetime:
    return to_datetime(-(-at_us // _QUARTER_US) * _QUARTER_US)


def _plain(text: str) -> str:
    """`text` without control characters, which a file of this kind may not hold [RFC 5545 3.1]; lines stay lines."""
    return "".join(c if c == "\n" or unicodedata.category(c) not in ("Cc", "Zl", "Zp") else " " for c in text)
