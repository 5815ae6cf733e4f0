from __future__ import annotations

from zoneinfo import ZoneInfo

from lullwort.alerts import Quiet
from lullwort.records import format_utc, parse_instant

BERLIN = ZoneInfo("Europe/Berlin")


def over(text: str, quiet: Quiet) -> str:
    return format_utc(quiet.over_us(parse_instant(text)))


def test_quiet_hours_over_midnight_end_in_the_morning_by_the_clock_on_the_wall() -> None:
    quiet = Quiet((22 * 60, 7 * 60), BERLIN)
    assert over("2026-03-02T21:30:00Z", quiet) == "2026-03-03T06:00:00Z"
    assert over("2026-03-03T02:00:00Z", quiet) == "2026-03-03T06:00:00Z"
    assert over("2026-03-03T06:00:00Z", quiet) == "2026-03-03T06:00:00Z"
    assert over("2026-03-03T12:00:00Z", quiet) == "2026-03-03T12:00:00Z"


def test_the_night_of_a_clock_change_ends_at_the_same_hour_of_the_wall() -> None:
    quiet = Quiet((22 * 60, 7 * 60), BERLIN)
    assert over("2026-03-28T22:00:00Z", quiet) == "2026-03-29T05:00:00Z"  # summer time begins: an hour sooner in UTC
    assert over("2026-10-24T21:00:00Z", quiet) == "2026-10-25T06:00:00Z"


def test_quiet_hours_within_a_day_and_none_at_all() -> None:
    assert over("2026-03-02T12:30:00Z", Quiet((13 * 60, 15 * 60), BERLIN)) == "2026-03-02T14:00:00Z"
    assert over("2026-03-02T23:30:00Z", Quiet(None, BERLIN)) == "2026-03-02T23:30:00Z"
