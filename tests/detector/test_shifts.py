"""What the reading shifted by while the beer stood is in the snapshot, and what pressure may do is told apart."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import pytest

from lullwort.detector import UNKNOWN_SD, Snapshot, judge
from lullwort.detector.shifts import ShiftLog
from lullwort.records import HOUR_US, Event, VesselReadings
from lullwort.rehearsal import invent
from lullwort.rehearsal.invented import brewed, drawn
from lullwort.rehearsal.sensor import Bump


def seen_of(*bumps: Bump, hours: float) -> tuple[Snapshot, int]:
    plan, rng = drawn("plain ale", 6, "tail")
    plan = replace(plan, sensor=replace(plan.sensor, bumps=bumps))
    of = brewed(plan, "v", "v-1", rng, kind="plain ale", seed=6, family="tail")
    readings, pitched_us = VesselReadings.of(of.readings), of.batch.pitched_us
    return judge(of.batch, readings, as_of_us=pitched_us + round(hours * HOUR_US)).now, pitched_us


def test_a_knock_up_is_kept_with_its_hour_and_no_step_down_is_taken_up() -> None:
    still, _ = seen_of(hours=260)
    assert still.shifts == seen_of(Bump(200.0, -5.0), hours=260)[0].shifts == ()
    seen, pitched_us = seen_of(Bump(200.0, 6.0), hours=260)
    (shift,) = seen.shifts
    assert (shift.at_us - pitched_us) / HOUR_US == pytest.approx(203.0, abs=1.5)
    assert shift.points == pytest.approx(6.0, abs=1.0)
    assert seen.offset == pytest.approx(still.offset + shift.points)


def test_a_lift_that_goes_again_is_taken_back() -> None:
    seen, _ = seen_of(Bump(200.0, 6.0), Bump(230.0, -6.0), hours=260)
    assert len(seen.shifts) == 2
    assert sum(shift.points for shift in seen.shifts) == pytest.approx(0.0)


def test_of_very_many_the_last_are_kept() -> None:
    log = ShiftLog()
    for hour in range(100):
        log.hour(hour, float(hour), None)
    assert len(log.kept) == 24
    assert log.kept[-1].at_us == 99


def test_what_was_known_of_the_sensor_before_a_sealing_stays_known_of_that() -> None:
    of = invent("sealed vessel", 3)
    seen = judge(of.batch, VesselReadings.of(of.readings)).now
    assert seen.offset_sd == UNKNOWN_SD
    assert seen.still_sd < UNKNOWN_SD
    open_beer = judge(msgspec.structs.replace(of.batch, events=()), VesselReadings.of(of.readings)).now
    assert open_beer.still_sd == open_beer.offset_sd == seen.still_sd


def test_drift_counts_from_the_last_comparison_and_of_an_unknown_sensor_not_at_all() -> None:
    of = invent("plain ale", 6)
    readings = VesselReadings.of(of.readings)
    late = judge(of.batch, readings).now
    assert late.drift_sd > 0.5
    early = judge(of.batch, readings, as_of_us=of.batch.pitched_us + 200 * HOUR_US).now
    assert early.drift_sd == 0.0
    hour = (of.newest_us - of.batch.pitched_us) // HOUR_US - 24
    sample = Event(at_us=of.batch.pitched_us + hour * HOUR_US, kind="sample", gravity=of.truth.gravity_at(float(hour)))
    sampled = judge(msgspec.structs.replace(of.batch, events=(sample,)), readings).now
    assert sampled.drift_sd == pytest.approx(0.055, abs=0.01)  # a day's
    unknown = judge(msgspec.structs.replace(of.batch, original_gravity=None), readings).now
    assert unknown.drift_sd == 0.0
