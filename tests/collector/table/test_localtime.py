from __future__ import annotations

from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.collector.table.localtime import local_to_utc_us, locals_to_utc_us
from lullwort.records import to_datetime

# Half an hour of summer time, quarters of an hour from UTC, a day left out, a clock set for war: what zones can do.
ZONES = ("Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu", "Pacific/Apia", "UTC")


@given(st.integers(0, 130 * 366 * 24 * 60), st.sampled_from(ZONES))
def test_many_at_once_are_converted_as_one_is(minute: int, zone_name: str) -> None:
    zone = ZoneInfo(zone_name)
    local_us = minute * 60_000_000 + 1
    many = locals_to_utc_us(np.array([local_us, local_us]), zone)
    try:
        one = local_to_utc_us(local_us, zone)
    except ValueError:
        assert many is None
    else:
        assert many is None or many.tolist() == [one, one]
        back = to_datetime(one).astimezone(zone).replace(tzinfo=None)
        assert back == to_datetime(local_us).replace(tzinfo=None)


@pytest.mark.parametrize(
    ("zone_name", "first_utc_hour"),
    [("Europe/Berlin", "2026-10-25T00"), ("Europe/Berlin", "2026-03-29T00"), ("Australia/Lord_Howe", "2026-04-04T14")],
)
def test_around_a_clock_change_every_minute_of_utc_is_refused_or_found_again(
    zone_name: str, first_utc_hour: str
) -> None:
    from lullwort.records import parse_instant

    zone, start = ZoneInfo(zone_name), parse_instant(f"{first_utc_hour}:00:00+00:00")
    found = 0
    for minute in range(180):
        utc_us = start + minute * 60_000_000
        local = to_datetime(utc_us).astimezone(zone).replace(tzinfo=None)
        local_us = (local - to_datetime(0).replace(tzinfo=None)) // timedelta(microseconds=1)
        many = locals_to_utc_us(np.array([local_us]), zone)
        if many is not None:
            assert many.tolist() == [utc_us] == [local_to_utc_us(local_us, zone)]
            found += 1
    assert found >= 60


def test_beyond_the_calendar_nothing_is_converted() -> None:
    assert locals_to_utc_us(np.array([10**18]), ZoneInfo("Europe/Berlin")) is None
