"""Forecasts drawn by hand; every one of them is invented."""

from __future__ import annotations

from typing import Any

import pytest

from lullwort.forecast import Forecast, LeftAt, Level, SampleTime, Span
from lullwort.records import HOUR_US, parse_instant


class Foreseen:
    """Helpers for tests of what is said of a forecast. Its instant is a Thursday morning; hours count from there."""

    at_us = parse_instant("2026-08-06T06:00:00Z")

    @classmethod
    def span(cls, low_h: float, about_h: float, high_h: float) -> Span:
        return Span(*(cls.at_us + round(hours * HOUR_US) for hours in (low_h, about_h, high_h)))

    @classmethod
    def forecast(cls, **other: Any) -> Forecast:
        """Ready on Saturday evening; what is `other`."""
        whole = Forecast(
            as_of_us=cls.at_us,
            ready=cls.span(40, 61, 78),
            end=Level(12.1, 13.0, 14.2),
            left=(
                LeftAt(5.0, cls.span(2, 6, 13)),
                LeftAt(3.0, cls.span(8, 13, 27)),
                LeftAt(2.0, cls.span(14, 25, 40)),
                LeftAt(1.0, cls.span(20, 33, 50)),
            ),
            sample=SampleTime(cls.at_us + 36 * HOUR_US, "it then settles the sensor's offset and the end at once"),
            unsaid="",
            moved="the dry hop of Sun 2 Aug 12:00 began the proof anew",
            repeats=3,
        )
        return whole._replace(**other)


@pytest.fixture
def foreseen() -> Foreseen:
    return Foreseen()
