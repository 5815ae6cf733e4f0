"""What a sensor does that is no beer: silence, repetition, a bump, an offset, pressure. The beer is drawn by hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Judged, Units, advice, evidence, reason
from lullwort.records import Reading

Floats = NDArray[np.float64]

Points = Callable[[Floats], Floats]

Bench = Any  # the fixture's class lives in conftest.py


def test_a_silent_sensor_is_unclear_and_proves_nothing(bench: Bench) -> None:
    readings = [r for r in bench.readings(bench.ale(), 14) if not bench.at(80) < r.at_us < bench.at(180)]
    judged = bench.judge(readings)
    (silent,) = bench.hours(judged, "unclear")
    assert 92 <= silent <= 94
    assert all(hour > 180 + 48 for hour in bench.hours(judged, "ready"))


def test_a_log_that_ends_becomes_unclear_as_time_passes(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 4), until_h=4 * 24 + 20)
    assert judged.verdict == "unclear"
    assert "20 h old" in reason("unclear", judged.now)


def test_a_frozen_sensor_is_not_believed(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    frozen = [r if r.at_us < bench.at(60) else Reading(r.sensor, r.vessel, r.at_us, 1.0245, 20.0) for r in readings]
    judged = bench.judge(frozen)
    assert judged.verdict == "unclear"
    assert "exactly the same" in reason("unclear", judged.now)


def read_seldom(readings: list[Reading], every_h: int) -> list[Reading]:
    """One reading of whole points and degrees every `every_h` hours, from a log of half hours."""
    return [
        Reading(r.sensor, r.vessel, r.at_us, round(r.gravity, 3), 20.0) for r in readings[1 :: 2 * every_h] if r.gravity
    ]


@pytest.mark.no_cover
@pytest.mark.parametrize("end", [10.7, 10.8, 10.9, 11.0, 11.1, 11.2, 11.3])
def test_a_coarse_sensor_that_is_read_seldom_is_not_taken_for_a_frozen_one(bench: Bench, end: float) -> None:
    log = read_seldom(bench.readings(bench.ale(end=end), 24, noise=0.1), 12)
    judged = bench.judge(log, reading_interval_h=12.0, original_gravity=1.0495)
    assert judged.verdict == "ready"
    assert "unclear" not in bench.story(judged)


def test_a_coarse_sensor_that_is_read_seldom_and_freezes_is_told_within_five_days(bench: Bench) -> None:
    ale: Points = bench.ale()
    log = read_seldom(bench.readings(lambda h: ale(np.minimum(h, 66.0)), 14, noise=0.0), 12)
    judged = bench.judge(log, reading_interval_h=12.0)
    assert judged.verdict == "unclear"
    assert "exactly the same" in reason("unclear", judged.now)
    assert bench.hours(judged, "unclear")[-1] <= 66.0 + 132.0
    assert "ready" not in bench.story(judged)


def test_a_silence_does_not_throw_away_what_was_proved_before_it(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 20)
    (whole,) = bench.hours(bench.judge(readings), "ready")
    gap_h = whole - 6.0
    gappy = bench.judge([r for r in readings if not bench.at(gap_h) < r.at_us < bench.at(gap_h + 20.0)])
    (after,) = bench.hours(gappy, "ready")
    assert gap_h + 20.0 + 24.0 <= after <= gap_h + 20.0 + 40.0  # half a window is seen after it, not a whole one


def test_a_sensor_that_reads_low_from_the_start_is_no_fall(bench: Bench) -> None:
    ale: Points = bench.ale()
    judged = bench.judge(bench.readings(lambda h: ale(h) - 8.0, 14))
    (begins,) = bench.hours(judged, "fermenting")
    assert bench.hours(bench.judge(bench.readings(ale, 14)), "fermenting") == [begins]


def test_a_sensor_put_in_late_without_an_original_gravity_is_not_in_lag_for_ever(bench: Bench) -> None:
    def late(from_h: float) -> Judged:
        readings = [r for r in bench.readings(bench.ale(), 20) if r.at_us >= bench.at(from_h)]
        judged: Judged = bench.judge(readings, original_gravity=None)
        return judged

    assert bench.story(late(48.0))[-3:] == ["fermenting", "holding", "ready"]
    assert "lag" not in bench.story(late(160.0))
    assert late(160.0).verdict == "ready"


def test_what_pressure_lifts_is_not_called_stalled_until_a_hand_sample_tells(bench: Bench) -> None:
    ale: Points = bench.ale()

    def sealed(points: float, **batch: object) -> Judged:
        lifted = bench.readings(lambda h: ale(h) + points * np.clip((h - 60.0) / 40.0, 0.0, 1.0), 16)
        judged: Judged = bench.judge(lifted, **{"events": (bench.event(60, "seal"),), **batch})
        return judged

    judged = sealed(7.0)
    assert judged.verdict == "unclear"
    assert "stalled" not in bench.story(judged)
    assert "pressure lifts a reading" in reason("unclear", judged.now)
    assert "under pressure" in advice("unclear", judged.now, Units())
    assert sealed(7.0, events=()).verdict == "stalled"
    assert sealed(12.0).verdict == "stalled", "more than pressure does"
    seal, low, high = bench.event(60, "seal"), *(bench.event(300, "sample", gravity=g) for g in (1.0112, 1.018))
    assert sealed(7.0, events=(seal, low)).now.passed["where it should be"]
    assert sealed(7.0, events=(seal, high)).verdict == "stalled"


def test_a_rising_gravity_is_not_believed(bench: Bench) -> None:
    ale: Points = bench.ale()
    judged = bench.judge(bench.readings(lambda h: ale(h) + np.maximum(h - 100.0, 0.0) * 0.1, 14))
    assert "ready" not in bench.story(judged)
    assert judged.verdict == "unclear"
    assert "rises" in reason("unclear", judged.now)


def test_a_bump_of_the_sensor_raises_no_alarm_and_its_offset_is_taken_off(bench: Bench) -> None:
    ale: Points = bench.ale()
    judged = bench.judge(bench.readings(lambda h: ale(h) + np.where(h > 160, 6.0, 0.0), 14))
    assert "moving again" not in bench.story(judged)
    assert judged.now.gravity == pytest.approx(11.0, abs=1.0)
    assert "high, which is taken off" in bench.placed(judged)


def test_an_offset_of_the_sensor_is_found_from_the_original_gravity(bench: Bench) -> None:
    ale: Points = bench.ale()
    for above, says in (
        (6.0, r"[56]\S* points high, which is taken off"),
        (-4.0, r"[34]\S* points low, which is added"),
    ):
        judged = bench.judge(bench.readings(lambda h, above=above: ale(h) + above, 14))
        assert judged.verdict == "ready"
        assert judged.now.gravity == pytest.approx(11.0, abs=1.0)
        assert re.search(f"By the original gravity the sensor reads {says} here", bench.placed(judged))


def test_without_any_temperature_cold_cannot_be_ruled_out(bench: Bench) -> None:
    readings = [Reading(r.sensor, r.vessel, r.at_us, r.gravity, None) for r in bench.readings(bench.ale(), 14)]
    judged = bench.judge(readings)
    assert judged.verdict == "unclear"
    assert "no temperature" in reason("unclear", judged.now)
    assert bench.judge(readings, steady_temperature_c=20.0).verdict == "ready"


def test_no_readings_at_all_is_unclear(bench: Bench) -> None:
    judged = bench.judge([], until_h=30)
    assert judged.verdict == "unclear"
    assert reason("unclear", judged.now) == "No usable reading of this batch yet."


def test_readings_that_are_all_passed_over_say_why_and_claim_nothing(bench: Bench) -> None:
    readings = [Reading(r.sensor, r.vessel, r.at_us, r.gravity, 68.0) for r in bench.readings(bench.ale(), 3)]
    judged = bench.judge(readings)
    assert judged.verdict == "unclear"
    assert "temperature outside -5 to 45 °C" in reason("unclear", judged.now)
    assert "right units" in advice("unclear", judged.now, Units())
    checks = {c.check: c for c in evidence(judged.now)}
    assert not checks["believable"].passed
    for name in ("where it should be", "warm enough", "believable", "flat"):
        assert checks[name].says == "No usable reading yet."
