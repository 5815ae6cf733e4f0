"""On which days a batch is warmed for a rest, chilled and packaged: by what is foreseen, or back from a wished day."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

from lullwort.detector import Judged
from lullwort.explained import COMMON_PRACTICE, OURS, Explained
from lullwort.forecast import Forecast, Span
from lullwort.records import from_datetime, to_datetime

__all__ = [
    "CRASH_DAYS", "CRASH_DAYS_MOST", "DATES_EXPLAINED", "REST_DAYS", "REST_POINTS", "Dates", "DaySpan", "Wish",
    "noon_us", "packaging_dates",
]  # fmt: skip

CRASH_DAYS, CRASH_DAYS_MOST = 2, 14
"""Days that beer is usually kept cold before it is packaged, and the most that may be asked for. Common practice, no
source: 1 to 3."""
REST_POINTS, REST_DAYS = 3.0, 2
"""[points] left at which a warm rest begins, and how many days it lasts. Common practice, no source: 2 to 5 points, 1
to 7 days."""
_FURTHEST_DAYS = 366
# That far ahead the year is most likely mistyped.
_BY_HOUR = 18
# Of the local day: what is ready later than that is chilled or packaged on the day after.


class DaySpan(NamedTuple):
    """Days between which something falls with a chance of 80 %, and the likeliest."""

    low: date
    about: date
    high: date


class Wish(NamedTuple):
    """A packaging day that was wished for.

    Attributes:
        on, crash_on: that day, and when the beer would have to be chilled for it; the same where it is not.
        stands: "safe" where the proof is there by then or comes in 9 of 10 cases, "likely" where it does more likely
            than not; any other refuses the day.
    """

    on: date
    crash_on: date
    stands: Literal["safe", "likely", "too soon", "not foreseen", "cold too short", "past", "too far"]

    @property
    def refused(self) -> bool:
        """Whether the day is no plan."""
        return self.stands not in ("safe", "likely")


class Dates(NamedTuple):
    """The days of one batch, in one zone; None where there is none to plan, or none can be told.

    Attributes:
        as_of:      the day from which they are told.
        crash_days: how many days it is to be cold.
        rest:       when about REST_POINTS will be left; None where that is past.
        crash:      when it may be chilled: never before the verdict is `ready`.
        packaging:  when it may be packaged.
        cold_since_us: [µs] since when a beer that is proved has been cold; None where it is warm.
        proved:     whether the verdict is `ready`.
        unsaid:     a sentence that says why no day can be told; empty where one can.
        wish:       the day that was wished for; if it stands, `crash` and `packaging` are planned back from it.
    """

    as_of: date
    crash_days: int
    rest: DaySpan | None
    crash: DaySpan | None
    packaging: DaySpan | None
    cold_since_us: int | None
    proved: bool
    unsaid: str
    wish: Wish | None


_BY_HAND = "Hand samples alone tell of it, and no day is foreseen before the next one is drawn."
_UNTEMPERED = "The log gives no temperature: none of its gravities can be judged before one is entered."
_OVER = "It is packaged."
_NOTHING = "Nothing is foreseen of it."


def packaging_dates(
    judged: Judged, forecast: Forecast | None, zone: str | None, *, crash_days: int = CRASH_DAYS, on: date | None = None
) -> Dates:
    """The days, in local time of `zone` (UTC where None).

    The beer is chilled on the first day by whose evening it is ready, as cold hides what is left to ferment, and
    packaged so many days later; one that is ready is chilled at once.

    Args:    forecast: of the same instant; None where nothing is foreseen. crash_days: 0 to CRASH_DAYS_MOST; 0: it is
             not chilled. on: the day wished for.
    """
    as_of = _local(judged.as_of_us, zone).date()
    cold_since_us = _cold_since_us(judged)
    proved, over = judged.verdict == "ready", judged.verdict == "packaged"
    ready = _ready(judged, forecast)
    dates = Dates(
        as_of, crash_days, None if over else _rest(forecast, zone), None, None, cold_since_us, proved,
        "" if proved or ready is not None else _unsaid(judged, forecast), None,
    )  # fmt: skip
    chilled = None
    if proved:
        chilled = DaySpan(as_of, as_of, as_of)
    elif ready is not None:
        chilled = DaySpan(*(_first_day(at_us, zone) for at_us in ready))
    if chilled is not None:
        dates = _planned_on(dates, chilled, zone)
    if on is None:
        return dates
    wish = _wish(dates, on)
    if wish.refused:
        return dates._replace(wish=wish)
    crash = None if dates.crash is None else DaySpan(*[wish.crash_on] * 3)
    return dates._replace(wish=wish, crash=crash, packaging=DaySpan(*[on] * 3))


def noon_us(day: date, zone: str | None) -> int:
    """[µs] Noon of a day in `zone`, UTC where that is None."""
    return _at_us(day, time(12), zone)


def _planned_on(dates: Dates, chilled: DaySpan, zone: str | None) -> Dates:
    """With the days on which it may be chilled and packaged."""
    cold = timedelta(days=dates.crash_days)
    if dates.cold_since_us is not None:
        day = max(dates.as_of, _local(dates.cold_since_us, zone).date() + cold)
        return dates._replace(packaging=DaySpan(day, day, day))
    packaging = DaySpan(*(day + cold for day in chilled))
    return dates._replace(crash=chilled if dates.crash_days else None, packaging=packaging)


def _wish(dates: Dates, on: date) -> Wish:
    if on < dates.as_of:
        return Wish(on, on, "past")
    crash_on = on - timedelta(days=dates.crash_days)
    if (on - dates.as_of).days > _FURTHEST_DAYS:
        return Wish(on, crash_on, "too far")
    if dates.packaging is None:
        return Wish(on, crash_on, "not foreseen")
    if on >= dates.packaging.high:
        return Wish(on, crash_on, "safe")
    if dates.proved:
        return Wish(on, crash_on, "cold too short")
    return Wish(on, crash_on, "likely" if on >= dates.packaging.about else "too soon")


def _ready(judged: Judged, forecast: Forecast | None) -> Span | None:
    """When the proof will be there, if that is foreseen."""
    if judged.verdict == "packaged" or forecast is None or forecast.ready is None:
        return None
    return Span(*(max(at_us, judged.as_of_us) for at_us in forecast.ready))


def _unsaid(judged: Judged, forecast: Forecast | None) -> str:
    if judged.verdict == "packaged":
        return _OVER
    if judged.now.untempered:
        return _UNTEMPERED
    if judged.now.hand is not None or judged.now.first_sample is not None:
        return _BY_HAND
    return forecast.unsaid if forecast is not None and forecast.unsaid else _NOTHING


def _rest(forecast: Forecast | None, zone: str | None) -> DaySpan | None:
    if forecast is None:
        return None
    ahead = [left.when for left in forecast.left if left.points == REST_POINTS]
    if not ahead or ahead[0].about_us <= forecast.as_of_us:
        return None
    return DaySpan(*(_local(max(at_us, forecast.as_of_us), zone).date() for at_us in ahead[0]))


def _cold_since_us(judged: Judged) -> int | None:
    """Since when a proved beer has been cold, by its log or by a crash that was noted and not ended."""
    if judged.ready_us is None:
        return None
    noted = [e for e in judged.batch.events if e.kind in ("crash", "warm") and e.at_us <= judged.as_of_us]
    if noted and noted[-1].kind == "crash":
        return noted[-1].at_us
    return None if judged.now.passed["warm enough"] else judged.now.since_us["warm enough"]


def _local(at_us: int, zone: str | None) -> datetime:
    return to_datetime(at_us).astimezone(ZoneInfo(zone or "UTC"))


def _at_us(day: date, at: time, zone: str | None) -> int:
    return from_datetime(datetime.combine(day, at, ZoneInfo(zone or "UTC")))


def _first_day(ready_us: int, zone: str | None) -> date:
    """The first day by whose evening it is ready."""
    local = _local(ready_us, zone)
    return local.date() + timedelta(days=local.hour >= _BY_HOUR)


DATES_EXPLAINED = (
    Explained(
        "warm rest",
        "from when about 3 points are left by the forecast, before the proof begins; 2 days, 1 to 7 are usual",
        COMMON_PRACTICE,
    ),
    Explained(
        "crash start",
        "the day by whose evening (18 h) the verdict is ready, likeliest and 80 % range of the forecast; never before "
        "it, for cold hides what is left to ferment",
        OURS,
    ),
    Explained(
        "packaging day", "the crash start and the days in the cold: 2 unless told, 1 to 3 are usual", COMMON_PRACTICE
    ),
    Explained(
        "wished packaging day",
        "refused unless the proof is likelier than not by the evening of the day on which it must be chilled",
        OURS,
    ),
)
