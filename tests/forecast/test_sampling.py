"""When a hand sample tells most: at once where something is open, else where one opening serves for two."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np

from lullwort.forecast import Forecast, SampleTime, foreseen
from lullwort.records import HOUR_US, Batch, Event, Reading, VesselReadings, parse_instant

PITCHED_US = parse_instant("2026-03-02T09:00:00Z")


def at(hour: float) -> int:
    return PITCHED_US + round(hour * HOUR_US)


def asked(hour: float, *, end: float = 11.0, off: float = 0.0, **more: Any) -> Forecast:
    """An ale that falls evenly from 50 to `end` [points] between hour 24 and 84; the sensor reads `off` too high."""
    hours = np.arange(0.25, hour, 0.5)
    values = np.interp(hours, (24.0, 84.0), (50.0, end)) + off + np.random.default_rng(1).normal(0.0, 0.2, hours.size)
    fields: dict[str, Any] = {
        "vessel": "north", "name": "north-1", "pitched_us": PITCHED_US, "original_gravity": 1.050,
        "expected_final_gravity": (1.010, 1.012), "yeast_min_c": 14.0, "gravity_reported": "corrected",
    }  # fmt: skip
    readings = [
        Reading("s", "north", at(float(h)), round(1.0 + float(v) / 1000.0, 5), 20.0)
        for h, v in zip(hours, values, strict=True)
    ]
    batch = msgspec.convert({**fields, **more}, Batch)
    return foreseen(batch, VesselReadings.of(readings), as_of_us=at(hour))


def now(forecast: Forecast) -> str:
    assert forecast.sample is not None
    assert forecast.sample.at_us == forecast.as_of_us
    return forecast.sample.why


def test_while_it_goes_as_it_should_one_opening_when_it_will_be_ready() -> None:
    for hour in (12, 60, 100):
        forecast = asked(hour)
        assert forecast.ready is not None
        assert forecast.sample == SampleTime(
            forecast.ready.about_us, "one opening then gives the final gravity and confirms the sensor"
        )


def test_an_original_gravity_that_was_not_measured_can_be_had_until_it_falls() -> None:
    unmeasured = asked(12, original_gravity=None, expected_final_gravity=(1.010, 1.012))
    assert now(unmeasured).startswith("while nothing has fallen it still gives the original gravity")
    fallen = asked(60, original_gravity=None, expected_final_gravity=(1.010, 1.012))
    assert fallen.sample is None or "original" not in fallen.sample.why


def test_a_beer_that_stands_too_high_is_sampled_at_once() -> None:
    assert now(asked(240, end=24.0)) == "it tells a beer that has stopped from a sensor that reads high"


def test_where_the_sensor_cannot_tell_whether_it_is_low_enough_a_sample_can() -> None:
    # 15 points: above the expected 12, and within what a sensor errs of the 16 that still pass.
    assert now(asked(130, end=15.0)) == "the sensor cannot tell whether this is low enough, and a sample can"
    low_enough = asked(130, end=12.5).sample  # above the expected 12, too, but far from the 16
    assert low_enough is not None
    assert low_enough.at_us > at(130)
    told = Event(at_us=at(125), kind="sample", gravity=1.0150)
    settled = asked(130, end=15.0, events=(told,)).sample
    assert settled is None or settled.at_us > at(130)


def test_a_sample_that_contradicts_the_sensor_asks_for_a_second() -> None:
    wrong = Event(at_us=at(125), kind="sample", gravity=1.0250)
    assert now(asked(140, events=(wrong,))) == "a second one tells whether the sensor or the first is wrong"


def test_what_pressure_lifts_is_told_by_a_sample() -> None:
    hours_sealed = Event(at_us=at(86), kind="seal")
    assert now(asked(300, end=17.0, events=(hours_sealed,))) == "it tells what the pressure lifts the reading by"
    falls_on = asked(72, events=(Event(at_us=at(70), kind="seal"),))
    assert falls_on.sample is not None
    assert falls_on.sample.at_us > at(72)
