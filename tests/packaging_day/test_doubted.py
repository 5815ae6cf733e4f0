"""Sheet and record say the same of a sensor with one fault: the range that its hours tell, or that nobody knows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lullwort.analysis import hourly_course
from lullwort.detector import Judged, judge
from lullwort.exporting import batch_record
from lullwort.packaging_day import SheetFacts, present_gravity, sheet_facts, strength_so_far
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal.invented import brewed, drawn
from lullwort.rehearsal.sensor import Bump, Hold, Sensor


def known(hours: float, **fault: object) -> tuple[Judged, SheetFacts, dict[str, tuple[float, float, float] | None]]:
    """Of a plain ale with an ordinary sensor but for this; and gravity [points] and strength [%] of its record."""
    plan, rng = drawn("plain ale", 6, "tail")
    sensor: Sensor = replace(plan.sensor, **{"drift_points_per_day": 0.0, **fault})  # type: ignore[arg-type]
    of = brewed(replace(plan, sensor=sensor), "v", "v-1", rng, kind="plain ale", seed=6, family="tail")
    readings = VesselReadings.of(of.readings)
    judged = judge(of.batch, readings, as_of_us=of.batch.pitched_us + round(hours * HOUR_US))
    record = batch_record(judged, (), readings, 0)
    told = {
        "gravity": None
        if record.gravity is None
        else (
            1000.0 * (record.gravity.value - 1.0),
            1000.0 * (record.gravity.low - 1.0),
            1000.0 * (record.gravity.high - 1.0),
        ),
        "abv": None if record.abv is None else (record.abv.value, record.abv.low, record.abv.high),
    }
    return judged, sheet_facts(judged, tuple(hourly_course(of.batch, readings, judged.as_of_us))), told


@pytest.mark.parametrize(
    ("hours", "fault"),
    [(240, {}), (260, {"bumps": (Bump(200.0, -5.0),)}), (430, {"drift_points_per_day": 0.3})],
)
def test_the_record_has_the_range_of_the_sheet(hours: float, fault: dict[str, object]) -> None:
    _, sheet, record = known(hours, **fault)
    assert sheet.gravity is not None
    assert record["gravity"] == pytest.approx(tuple(sheet.gravity), abs=0.01)
    assert record["abv"] == pytest.approx(tuple(sheet.figures["abv"]), abs=0.01)


def test_a_knocked_float_leaves_as_little_known_of_strength_as_of_gravity() -> None:
    judged, sheet, _ = known(260, bumps=(Bump(200.0, -5.0),))
    by_sensor = strength_so_far(judged.now)
    assert by_sensor is not None
    abv = sheet.figures["abv"]
    assert abv.value == pytest.approx(by_sensor.value)
    assert abv.high == pytest.approx(by_sensor.high)
    assert by_sensor.low - abv.low > 0.1 * sheet.doubts.more  # % by volume for each point, about 0.13


def test_nothing_is_told_of_a_beer_whose_sensor_stands_still() -> None:
    _, sheet, record = known(110, holds=(Hold(60.0, 120.0, frozen=False),))
    assert sheet.gravity is None
    assert sheet.figures == {}
    assert record == {"gravity": None, "abv": None}


def test_a_sensor_that_is_seen_to_repeat_itself_tells_no_command_of_gravity_or_strength() -> None:
    judged, sheet, record = known(110, holds=(Hold(60.0, 120.0, frozen=True),))
    assert judged.verdict == "unclear"
    assert judged.now.frozen
    assert present_gravity(judged.now) is None
    assert strength_so_far(judged.now) is None
    assert sheet.gravity is None
    assert record == {"gravity": None, "abv": None}
    healthy, _, _ = known(110)
    assert not healthy.now.frozen
    assert present_gravity(healthy.now) is not None


def test_of_a_proved_beer_it_is_known_still_where_the_sensor_stands_since_but_not_where_it_stood_before() -> None:
    later = {"holds": (Hold(300.0, 420.0, frozen=False),), "step_points": 0.1}
    judged, sheet, record = known(400, **later)
    assert judged.verdict == "ready"
    assert sheet.gravity is not None
    assert record["gravity"] is not None
    assert sheet.figures["abv"].value == pytest.approx(known(290, **later)[1].figures["abv"].value, abs=0.1)
    before, pinned, _ = known(280, holds=(Hold(160.0, 300.0, frozen=False),), step_points=0.1)
    assert before.verdict == "ready"
    assert pinned.gravity is None
    assert pinned.doubts.stands_us is not None
