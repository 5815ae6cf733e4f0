"""What can be planned for as an iCalendar file [RFC 5545], which a calendar takes in and brings up to date later."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from datetime import timedelta
from typing import TYPE_CHECKING
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from lullwort.forecast import Planned
from lullwort.records import Batch, to_datetime

if TYPE_CHECKING:
    from icalendar import Event

__all__ = ["calendar_text"]

_OURS = UUID("c1ffe995-f6da-4614-a4c1-e001c21ce964")
"""The name space of our events' names: drawn at random once, and never to be changed."""
_MAKER = "-//Lullwort//Forecast of a batch//EN"
_COUNTS_FROM_S = 1_577_836_800
"""[s since 1970 UTC] 2020-01-01T00:00:00Z. From there seconds fit into the 31 bits of a SEQUENCE until January 2088."""
_SECOND_US = 1_000_000


def calendar_text(batch: Batch, planned: Iterable[Planned], now_us: int, zone: str | None) -> str:
    """The whole file, its lines ended by CR LF.

    An event is known again by the name and the pitch of its batch and by what it is. The file that was written later
    moves it, or takes it out, by its higher SEQUENCE [RFC 5545 3.8.7.4], whatever the moment that it was planned from.
    Every event is a whole day, for what is foreseen is some days uncertain: that of `zone`, UTC where that is None.

    Args:    now_us: [µs] when it is written.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", _MAKER)
    calendar.add("version", "2.0")
    for each in planned:
        calendar.add_component(_event(batch, each, now_us, ZoneInfo(zone or "UTC")))
    text: str = calendar.to_ical().decode()
    return text


def _event(batch: Batch, planned: Planned, now_us: int, zone: ZoneInfo) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", str(uuid5(_OURS, f"{batch.name}/{batch.pitched_us}/{planned.key}")))
    event.add("dtstamp", to_datetime(now_us))
    event.add("last-modified", to_datetime(now_us))
    # A clock that was never set counts from 1970, and no number below zero may stand here.
    event.add("sequence", max(0, now_us // _SECOND_US - _COUNTS_FROM_S))
    day = to_datetime(planned.at_us).astimezone(zone).date()
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", _plain(planned.title))
    event.add("description", _plain(planned.says))
    event.add("status", planned.status.upper())
    event.add("transp", "TRANSPARENT")  # it says when something may be, not that the brewer is busy
    return event


def _plain(text: str) -> str:
    """`text` without control characters, which a file of this kind may not hold [RFC 5545 3.1]; lines stay lines."""
    return "".join(c if c == "\n" or unicodedata.category(c) not in ("Cc", "Zl", "Zp") else " " for c in text)
