"""Forecasts and hours of a beer drawn by hand, and invented batches with what is known of them. All invented."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from lullwort.analysis import CourseHour, hourly_course
from lullwort.detector import judge
from lullwort.forecast import Forecast, LeftAt, Level, SampleTime, Span, Traits, traits
from lullwort.records import HOUR_US, VesselReadings, parse_instant
from lullwort.rehearsal import Invented
from lullwort.units import FloatArray


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


class Bench:
    """Draws hours, and reads the traits of invented batches."""

    @staticmethod
    def ale(hours: FloatArray) -> FloatArray:
        """[points] From 50 to 11, steepest at 54 h."""
        return np.asarray(11.0 + 39.0 / (1.0 + np.exp(0.1 * (hours - 54.0))))

    @staticmethod
    def course(
        points: Callable[[FloatArray], FloatArray], to_h: int = 240, noise: float = 0.2, seed: int = 1
    ) -> list[CourseHour]:
        """An hour's value for each hour from the pitch, at the instant 0, to `to_h`."""
        hours = np.arange(0.5, to_h)
        values = points(hours) + np.random.default_rng(seed).normal(0.0, noise, hours.size)
        return [CourseHour(int((h + 0.5) * HOUR_US), float(v), 20.0) for h, v in zip(hours, values, strict=True)]

    @staticmethod
    def traits(of: Invented, at_h: float | None = None) -> Traits:
        """Of an invented batch as of its end, or of `at_h` [h since pitch]."""
        readings = VesselReadings.of(of.readings)
        as_of_us = None if at_h is None else of.batch.pitched_us + round(at_h * HOUR_US)
        judged = judge(of.batch, readings, as_of_us=as_of_us)
        return traits(judged, list(hourly_course(of.batch, readings, judged.as_of_us)))


@pytest.fixture
def bench() -> Bench:
    return Bench()
