"""Moments are called as they are in the brewer's zone, and what is called so can be meant by nothing else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.forecast.daynames import DayForm, DayNames, by_day
from lullwort.records import HOUR_US, parse_instant

THURSDAY = parse_instant("2026-08-06T06:00:00Z")


def called(at: str, form: DayForm = "near", zone: str | None = "UTC", as_of: str = "2026-08-06T06:00:00Z") -> str:
    return DayNames(parse_instant(as_of), zone, form).of(parse_instant(at))


@pytest.mark.parametrize(
    ("at", "near", "short", "dated"),
    [
        ("2026-08-06T06:00Z", "today (Thu) morning", "Thu morning", "Thu 6 Aug morning"),
        ("2026-08-06T11:00Z", "today (Thu) noon", "Thu noon", "Thu 6 Aug noon"),
        ("2026-08-06T14:00Z", "today (Thu) afternoon", "Thu afternoon", "Thu 6 Aug afternoon"),
        ("2026-08-06T18:00Z", "today (Thu) evening", "Thu evening", "Thu 6 Aug evening"),
        ("2026-08-06T21:59Z", "today (Thu) evening", "Thu evening", "Thu 6 Aug evening"),
        ("2026-08-06T22:00Z", "tonight (to Fri)", "Thu/Fri night", "Thu/Fri 7 Aug night"),
        ("2026-08-07T04:59Z", "tonight (to Fri)", "Thu/Fri night", "Thu/Fri 7 Aug night"),
        ("2026-08-07T05:00Z", "tomorrow (Fri) morning", "Fri morning", "Fri 7 Aug morning"),
        ("2026-08-07T23:00Z", "in the night to Saturday", "Fri/Sat night", "Fri/Sat 8 Aug night"),
        ("2026-08-08T12:00Z", "Saturday noon", "Sat noon", "Sat 8 Aug noon"),
        ("2026-08-12T21:59Z", "Wednesday evening", "Wed evening", "Wed 12 Aug evening"),
        ("2026-08-12T22:00Z", "Wednesday", "Wed", "Wed 12 Aug"),
        ("2026-08-13T12:00Z", "Thursday 13 August", "Thu 13 Aug", "Thu 13 Aug"),
        ("2027-01-02T12:00Z", "Saturday 2 January 2027", "Sat 2 Jan 2027", "Sat 2 Jan 2027"),
    ],
)
def test_by_its_day_and_the_part_of_the_day_and_beyond_six_days_by_its_date(
    at: str, near: str, short: str, dated: str
) -> None:
    assert (called(at), called(at, "short"), called(at, "dated")) == (near, short, dated)


def test_in_the_zone_of_whoever_reads_it() -> None:
    at = "2026-08-07T02:00Z"
    assert called(at, zone=None) == called(at) == "tonight (to Fri)"
    assert called(at, zone="Asia/Tokyo") == "tomorrow (Fri) noon"
    assert called(at, zone="America/Chicago", as_of="2026-08-06T04:59Z") == "tomorrow (Thu) evening"
    assert called(at, zone="America/Chicago", as_of="2026-08-06T05:00Z") == "today (Thu) evening"


def test_on_both_sides_of_a_clock_change_by_the_clock_of_its_own_day() -> None:
    # Clocks in Berlin go back an hour on Sunday 25 October 2026 at 01:00 UTC: the day before, noon begins at 09:00 UTC.
    for at, name in (("24T09:00Z", "today (Sat) noon"), ("25T09:59Z", "tomorrow (Sun) morning"),
                     ("25T10:00Z", "tomorrow (Sun) noon")):  # fmt: skip
        assert called(f"2026-10-{at}", zone="Europe/Berlin", as_of="2026-10-24T06:00Z") == name


def test_after_midnight_the_night_that_runs_and_the_next_are_told_apart() -> None:
    after_midnight = "2026-08-07T01:00Z"
    assert called("2026-08-07T03:00Z", as_of=after_midnight) == "tonight (to Fri)"
    assert called("2026-08-07T23:00Z", as_of=after_midnight) == "in the night to Saturday"
    assert called("2026-08-07T10:00Z", as_of=after_midnight) == "today (Fri) morning"


def test_a_day_alone_is_that_of_the_calendar() -> None:
    names = DayNames(THURSDAY, None)
    days = [names.of(THURSDAY + hours * HOUR_US, day_only=True) for hours in (0, 17, 19, 44)]
    assert days == ["today (Thu)", "today (Thu)", "tomorrow (Fri)", "Saturday"]


@given(st.integers(-1000 * HOUR_US, 1000 * HOUR_US), st.sampled_from(["UTC", "Europe/Berlin", "Pacific/Apia"]))
def test_what_is_past_is_called_as_the_instant_of_the_forecast_is(off_us: int, zone: str) -> None:
    names = DayNames(THURSDAY, zone)
    assert names.of(THURSDAY + min(off_us, 0)) == names.of(THURSDAY)
    later = names.of(THURSDAY + max(off_us, 0))
    assert later == names.of(THURSDAY) or off_us > 0


def test_parts_of_a_day_are_for_ranges_of_up_to_three_days() -> None:
    assert not by_day(0, 72 * HOUR_US)
    assert by_day(0, 72 * HOUR_US + 1)
