"""The course is what the detector was given, hour by hour."""

from __future__ import annotations

from collections import Counter
from typing import Any

import msgspec
import numpy as np
import pytest

from lullwort.analysis import WHY_PASSED_BY, course_readings, hourly_course
from lullwort.detector import BatchJudge
from lullwort.records import HOUR_US, Batch, Reading, VesselReadings
from lullwort.rehearsal import invent


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["plain ale", "sugar or fruit added", "outliers and garbage"])
@pytest.mark.parametrize("reported", ["uncorrected", "corrected"])
def test_the_course_is_what_the_detector_was_given(kind: str, reported: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    of = invent(kind, 7)
    batch = msgspec.structs.replace(of.batch, gravity_reported=reported)
    given: list[float] = []
    judge = BatchJudge(batch)
    take_up = judge.watch.trend.hour

    def watched(y: float | None, yeast_h: float, temp_moved_k: float) -> None:
        if y is not None:
            given.append(y)
        take_up(y, yeast_h, temp_moved_k)

    monkeypatch.setattr(judge.watch.trend, "hour", watched)
    readings = VesselReadings.of(of.readings)
    judge.add(readings)
    as_of_us = of.readings[-1].at_us
    judge.advance(as_of_us)
    course = list(hourly_course(batch, readings, as_of_us))
    assert [hour.points for hour in course if hour.points is not None] == given
    assert len(given) > 200


def test_hours_without_a_value_are_left_out_and_the_hour_that_is_not_over_too() -> None:
    batch = Batch(vessel="north", name="a", pitched_us=0, gravity_reported="corrected")
    log = VesselReadings.of([
        Reading("north", "north", 1, 1.050, 20.0), Reading("north", "north", 3 * HOUR_US, None, 21.0),
        Reading("north", "north", 4 * HOUR_US, 1.040, None), Reading("north", "north", 5 * HOUR_US, 1.030, 20.0),
    ])  # fmt: skip
    assert [(h.end_us // HOUR_US, h.points, h.temperature_c) for h in hourly_course(batch, log, 6 * HOUR_US - 1)] == [
        (1, pytest.approx(50.0), 20.0), (4, None, 21.0), (5, pytest.approx(40.0), None),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "seed"), [("outliers and garbage", 2), ("sugar or fruit added", 7), ("hop creep", 2), ("gaps", 3)]
)
def test_readings_one_by_one_are_those_of_the_hours(kind: str, seed: int) -> None:
    of = invent(kind, seed)
    readings, as_of_us = VesselReadings.of(of.readings), of.readings[-1].at_us
    course = {hour.end_us: hour.points for hour in hourly_course(of.batch, readings, as_of_us)}
    each = course_readings(of.batch, readings, as_of_us)
    assert np.all(np.diff(each.at_us) >= 0)
    ends_us = (each.at_us // HOUR_US + 1) * HOUR_US
    used = each.why == 0
    assert not np.isnan(each.points[used]).any()
    off = []
    for end_us in np.unique(ends_us[used]).tolist():
        points = course[end_us]
        assert points is not None
        # Each is corrected by its own temperature, the hour's median by that of its hour: a little apart.
        off.append(abs(float(np.median(each.points[used & (ends_us == end_us)])) - points))
    assert max(off) < 0.35
    assert float(np.median(off)) < 0.01


@pytest.mark.parametrize("kind", ["outliers and garbage", "late intruder", "two batches in one log"])
def test_each_reading_that_was_passed_over_has_the_reason_that_its_hour_counts(kind: str) -> None:
    of = invent(kind, 2)
    readings, as_of_us = VesselReadings.of(of.readings), of.readings[-1].at_us
    each = course_readings(of.batch, readings, as_of_us)
    counted = Counter(WHY_PASSED_BY[why] for why in each.why.tolist() if why)
    judge = BatchJudge(of.batch)
    judge.add(readings)
    judge.advance(as_of_us)
    assert counted == judge.watch.passed_over


def test_a_second_sensor_and_a_reading_without_any_temperature_are_told_why() -> None:
    batch = Batch(vessel="v", name="b", pitched_us=0, original_gravity=1.050)
    rows = [Reading("one", "v", at_us, 1.050, None) for at_us in range(0, HOUR_US, HOUR_US // 6)]
    rows += [Reading("two", "v", at_us + 1, 1.040, None) for at_us in range(0, HOUR_US, HOUR_US // 6)]
    each = course_readings(batch, VesselReadings.of(rows), 2 * HOUR_US)
    told = Counter(WHY_PASSED_BY[why] for why in each.why.tolist())
    assert told == {
        "another sensor leads in this vessel": 6,
        "no temperature known by which to correct it": 6,
    }
    steady = msgspec.structs.replace(batch, steady_temperature_c=20.0)
    each = course_readings(steady, VesselReadings.of(rows), 2 * HOUR_US)
    assert Counter(each.why.tolist())[0] == 6
