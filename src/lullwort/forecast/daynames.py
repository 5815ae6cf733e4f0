"""What a brewer calls a moment to come: its day and the part of the day, in local time."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

from lullwort.records import HOUR_US, to_datetime

__all__ = ["DayForm", "DayNames", "by_day"]

DayForm = Literal["near", "short", "dated"]
"""How days are called: as one says it, seen from the instant of the forecast; short; or always with their date, for
whoever reads it some days later."""

_WEEK_D = 6
"""[days] Further ahead a weekday alone may be taken for this week's, and the part of a day cannot be known."""
_WIDE_US = 72 * HOUR_US
"""[µs] In a range this wide the part of a day says more than is known."""
_PARTS = ((5, "morning"), (11, "noon"), (14, "afternoon"), (18, "evening"), (22, "night"))
"""From which local hour on each is meant; what is before the first belongs to the night. Common practice, no source."""
_DAWN_H = _PARTS[0][0]
_NIGHTFALL_H = _PARTS[-1][0]


def by_day(low_us: int, high_us: int) -> bool:
    """Whether a range from `low_us` to `high_us` [µs] is too wide for parts of a day."""
    return high_us - low_us > _WIDE_US


class DayNames(NamedTuple):
    """The names of moments in `zone`, UTC where that is None, as seen from `as_of_us` [µs].

    A moment before `as_of_us` is called as that itself, for what is foreseen cannot have been.

    >>> names = DayNames(6 * HOUR_US, None)  # a Thursday
    >>> [names.of(hours * HOUR_US) for hours in (19, 26, 36)]
    ['today (Thu) evening', 'tonight (to Fri)', 'tomorrow (Fri) noon']
    >>> [names.of(hours * HOUR_US) for hours in (62, 73, 240)]
    ['Saturday afternoon', 'in the night to Sunday', 'Sunday 11 January']
    """

    as_of_us: int
    zone: str | None
    form: DayForm = "near"

    def of(self, at_us: int, *, day_only: bool = False) -> str:
        """The moment `at_us` [µs]; `day_only` leaves the part of the day out, as does more than six days ahead."""
        zone = ZoneInfo(self.zone or "UTC")
        now = to_datetime(self.as_of_us).astimezone(zone)
        local = to_datetime(max(at_us, self.as_of_us)).astimezone(zone)
        part = next((name for hour, name in reversed(_PARTS) if local.hour >= hour), "night")
        # A night is called by the morning it leads to, too: of one day's night nobody knows which end is meant.
        day = local.date() + timedelta(days=local.hour >= _NIGHTFALL_H)
        if day_only or (day - now.date()).days > _WEEK_D:
            return self._day(local.date(), now.date())
        if part != "night":
            return f"{self._day(day, now.date())} {part}"
        evening = day - timedelta(days=1)
        if self.form != "near":
            return f"{evening:%a}/{self._day(day, now.date())} night"
        if (now - timedelta(hours=_DAWN_H)).date() == evening:
            return f"tonight (to {day:%a})"
        return f"in the night to {day:%A}"

    def _day(self, day: date, today: date) -> str:
        ahead = (day - today).days
        if self.form == "near" and ahead <= 1:
            return f"{'tomorrow' if ahead else 'today'} ({day:%a})"
        weekday, month = (f"{day:%A}", f"{day:%B}") if self.form == "near" else (f"{day:%a}", f"{day:%b}")
        if self.form != "dated" and ahead <= _WEEK_D:
            return weekday
        return f"{weekday} {day.day} {month}" + (f" {day.year}" if day.year != today.year else "")
