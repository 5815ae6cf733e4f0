"""The course is what the detector was given, hour by hour."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from lullwort.analysis import hourly_course
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
