"""Readings judged by the calibrations of their sensors: what was reported decides what contradicts, and nothing is
extrapolated."""

from __future__ import annotations

from collections import Counter

import msgspec
import numpy as np
import pytest

from lullwort.analysis import HourGatherer, calibrate, hourly_course, settled_gravities
from lullwort.detector import Units, advice, changes_when, judge, reason
from lullwort.records import (
    HOUR_US,
    Batch,
    CalibrationPoint,
    Reading,
    SensorTraits,
    VesselReadings,
)
from lullwort.rehearsal import Invented, invent
from lullwort.science import water_density

FLAT, SLOPE = 20.0, 0.002
"""An invented float: gravity is 1 + 0.002 (angle - 20)."""
LOWEST, HIGHEST = 0.970, 1.110


def traits(name: str, shift: float = 0.0) -> SensorTraits:
    gravities = np.linspace(LOWEST, HIGHEST, 5).tolist()
    points = tuple(CalibrationPoint(raw=angle_of(g), gravity=g + shift) for g in gravities)
    fit = calibrate("inclination", points, made_us=0, reported="uncorrected")
    return SensorTraits(name=name, calibration=fit.calibration)


def angle_of(gravity: float) -> float:
    return FLAT + (gravity - 1.0) / SLOPE


def batch(*sensors: SensorTraits, reference_c: float = 20.0) -> Batch:
    return Batch(vessel="v", name="b", pitched_us=0, sensors=sensors, reference_c=reference_c)


def inclined(gravity: float, at_us: int = 1, sensor: str = "s") -> Reading:
    return Reading(sensor, "v", at_us, None, 20.0, angle_of(gravity))


def gravities(of: Batch, *readings: Reading) -> list[float]:
    found: list[float] = settled_gravities(of, VesselReadings.of(readings)).readings.gravity.tolist()
    return found


def passed_over(of: Batch, *readings: Reading) -> dict[str, int]:
    gatherer = HourGatherer()
    gatherer.add(settled_gravities(of, VesselReadings.of(readings)).readings)
    counts: Counter[str] = Counter()
    for hour in gatherer.close(1000 * HOUR_US):
        counts.update(dict(hour.passed_over))
    return dict(counts)


def test_an_inclination_becomes_a_gravity_by_its_own_sensors_curve() -> None:
    of = batch(traits("s"), traits("other", shift=0.004))
    readings = inclined(1.040, 1), inclined(1.040, 2, "other"), Reading("third", "v", 3, 1.033, 20.0)
    assert gravities(of, *readings) == pytest.approx([1.040, 1.044, 1.033], abs=1e-9)


def test_a_reported_gravity_becomes_the_true_one() -> None:
    points = tuple(CalibrationPoint(raw=g, gravity=1.0 + 0.9 * (g - 1.0)) for g in (1.0, 1.03, 1.06, 1.09))
    of = batch(SensorTraits(name="s", calibration=calibrate("gravity", points, made_us=0).calibration))
    assert gravities(of, Reading("s", "v", 1, 1.050, 20.0)) == pytest.approx([1.045], abs=1e-9)
    assert np.isnan(gravities(of, Reading("s", "v", 1, 1.0901, 20.0))).all()


def test_without_a_calibration_readings_are_the_very_same() -> None:
    readings = VesselReadings.of([Reading("s", "v", 1, 1.050, 20.0), Reading("s", "v", 2, 1.049, 20.0)])
    assert settled_gravities(batch(traits("another")), readings).readings is readings
    both = Reading("s", "v", 1, 1.050, 20.0, 33.0)  # a sensor that tells both: its own gravity counts
    assert gravities(batch(), both) == [1.050]


def test_what_gives_no_gravity_is_passed_over_with_its_own_reason_and_tells_its_temperature() -> None:
    of = batch(traits("s"))
    beyond = inclined(HIGHEST + 0.001), inclined(LOWEST - 0.001, 2)
    assert passed_over(of, *beyond) == {"beyond the points of its sensor's calibration": 2}
    assert passed_over(batch(), inclined(1.050)) == {"an inclination of a sensor that is not calibrated": 1}
    assert passed_over(of, Reading("s", "v", 1, 1.050, 20.0)) == {
        "no inclination, by which its sensor is calibrated": 1
    }
    assert passed_over(of, Reading("s", "v", 1, None, 20.0)) == {"no gravity": 1}
    (hour,) = hourly_course(of, VesselReadings.of([msgspec.structs.replace(beyond[0], temperature_c=17.5)]), HOUR_US)
    assert (hour.points, hour.temperature_c) == (None, 17.5)


def test_whether_reports_agree_is_by_what_was_reported() -> None:
    of = batch(traits("s"))
    # Beyond the calibration both mean nothing, and still they contradict each other.
    both = settled_gravities(of, VesselReadings.of([inclined(1.200), inclined(1.300)]))
    assert (len(both.readings), both.conflicts) == (0, 1)
    same = settled_gravities(of, VesselReadings.of([inclined(1.050), inclined(1.050)]))
    assert (same.readings.gravity.tolist(), same.conflicts) == (pytest.approx([1.050]), 0)
    parts = [Reading("s", "v", 1, None, 20.0), Reading("s", "v", 1, None, None, angle_of(1.050))]
    assert gravities(of, *parts) == pytest.approx([1.050])


def test_a_batch_of_another_reference_is_told_over_water_there() -> None:
    # A float feels density; the batch's gravities are over water at 60 °F.
    of = batch(traits("s"), reference_c=15.56)
    over = float(water_density(20.0)) / float(water_density(15.56))
    assert gravities(of, inclined(1.050)) == pytest.approx([1.050 * over], abs=1e-9)


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["plain ale", "hop creep", "stuck warm"])
def test_a_float_that_tells_inclinations_alone_is_judged_as_one_that_tells_gravities(kind: str) -> None:
    ale = invent(kind, 3)
    raw = [with_inclination(reading) for reading in ale.readings]
    known = msgspec.structs.replace(ale.batch, sensors=tuple(traits(name) for name in {r.sensor for r in ale.readings}))
    by_angle, by_gravity = (
        judge(of, VesselReadings.of(rows)) for of, rows in ((known, raw), (ale.batch, ale.readings))
    )
    assert [(c.at_us, c.verdict) for c in by_angle.history] == [(c.at_us, c.verdict) for c in by_gravity.history]
    assert by_angle.used == by_gravity.used
    assert by_angle.now.level == pytest.approx(by_gravity.now.level, abs=1e-6)


def with_inclination(reading: Reading) -> Reading:
    """What an invented float would have reported: an angle with so many digits that nothing is lost."""
    assert reading.gravity is not None
    return msgspec.structs.replace(reading, gravity=None, inclination=angle_of(reading.gravity))


def test_the_brewer_is_told_to_calibrate_where_that_is_what_is_missing() -> None:
    ale: Invented = invent("plain ale", 3)
    seen = judge(ale.batch, VesselReadings.of(map(with_inclination, ale.readings))).now
    said = reason("unclear", seen)
    assert "an inclination of a sensor that is not calibrated" in said
    assert "unit" not in said
    assert "lullwort calibrate SENSOR --solutions" in advice("unclear", seen, Units())
    assert "calibration" in changes_when("unclear", seen)


def test_the_brewer_is_told_where_a_beer_has_gone_beyond_its_calibration() -> None:
    ale = invent("plain ale", 3)
    ends_early = tuple(CalibrationPoint(raw=angle_of(g), gravity=g) for g in (1.03, 1.05, 1.07, 1.09))
    calibration = calibrate("inclination", ends_early, made_us=0).calibration
    sensors = tuple(SensorTraits(name=name, calibration=calibration) for name in {r.sensor for r in ale.readings})
    judged = judge(
        msgspec.structs.replace(ale.batch, sensors=sensors), VesselReadings.of(map(with_inclination, ale.readings))
    )
    assert judged.verdict == "unclear"
    assert all(change.verdict != "ready" for change in judged.history)
    assert "both sides" in advice("unclear", judged.now, Units())
