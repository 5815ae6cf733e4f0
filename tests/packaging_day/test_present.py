"""What is known now has a range, and nothing is made up where nothing is known."""

from __future__ import annotations

import math

import msgspec
import pytest

from lullwort.detector import judge
from lullwort.detector.snapshot import Chilled
from lullwort.packaging_day import alcohol_by_volume, original_gravity, present_gravity, strength_so_far
from lullwort.records import Batch, VesselReadings
from lullwort.rehearsal import invent


def test_before_the_first_reading_nothing_is_known() -> None:
    now = judge(Batch(vessel="north", name="north-1", pitched_us=0), VesselReadings.of(())).now
    assert original_gravity(now) is None
    assert present_gravity(now) is None
    assert strength_so_far(now) is None


def test_an_original_gravity_by_the_sensor_alone_is_known_less_well() -> None:
    of = invent("plain ale", 5)
    measured = judge(of.batch, VesselReadings.of(of.readings)).now
    by_sensor = judge(msgspec.structs.replace(of.batch, original_gravity=None), VesselReadings.of(of.readings)).now
    # Of the 3 points by the sensor 2.4 are in both gravities.
    for now, sd, common in ((measured, 0.5, 0.0), (by_sensor, 3.0, 2.4)):
        original, gravity = original_gravity(now), present_gravity(now)
        assert original is not None
        assert gravity is not None
        # 1.645 standard deviations: the 5 % point of the normal distribution.
        assert original.high - original.value == pytest.approx(1.645 * sd)
        assert gravity.value - gravity.low == pytest.approx(1.645 * math.hypot(now.gravity_sd, now.drift_sd))
        told = strength_so_far(now)
        assert told is not None
        own, others = ((each**2 - common**2) ** 0.5 for each in (sd, now.gravity_sd))
        assert told == alcohol_by_volume(original.value, gravity.value, own, others, common)
        alone = alcohol_by_volume(original.value, gravity.value, sd, now.gravity_sd)
        assert alone is not None
        assert told.high - told.low <= alone.high - alone.low


def test_the_strength_of_a_chilled_beer_is_what_it_was_before_the_cold() -> None:
    # Past its `ready`, and before: the cold sensor reads lower or higher, the beer is the same.
    of = invent("cold crash after the end", 1)
    readings = VesselReadings.of(of.readings)
    chilled = judge(of.batch, readings).now
    assert chilled.gravity is not None
    assert chilled.ready_gravity is not None
    assert chilled.gravity < chilled.ready_gravity - 5.0
    strength = strength_so_far(chilled)
    assert strength is not None
    assert strength == alcohol_by_volume(chilled.original or 0.0, chilled.ready_gravity, 0.5, chilled.gravity_sd)
    asleep = msgspec.structs.replace(
        chilled, ready_gravity=None, chilled=Chilled(0, chilled.ready_gravity, 0.1, 1.0, by_expected=False, awaited="")
    )
    assert strength_so_far(asleep) == strength
    warm = msgspec.structs.replace(chilled, passed={**chilled.passed, "warm enough": True})
    assert strength_so_far(warm) != strength
