"""Each of the nine verdicts, on beers drawn by hand: what must be said, and what must not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Units, advice, evidence, judge, reason
from lullwort.records import VesselReadings

Floats = NDArray[np.float64]

Points = Callable[[Floats], Floats]

Bench = Any  # the fixture's class lives in conftest.py


def test_a_plain_ale_goes_from_lag_through_holding_to_ready(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 14))
    assert bench.story(judged) == ["lag", "fermenting", "holding", "ready"]
    (hour,) = bench.hours(judged, "ready")
    # 48 h within 1 point with less than 1 point left is true from hour 135 on (3·exp(−(h−54)/40)).
    assert 135 < hour < 230
    assert judged.ready_us == judged.history[-1].at_us
    assert all(judged.now.passed.values())


def test_a_beer_that_keeps_falling_slowly_is_never_ready(bench: Bench) -> None:
    creep: Points = bench.ale()
    judged = bench.judge(bench.readings(lambda h: creep(h) - np.maximum(h - 100.0, 0.0) * 0.03, 20))
    assert "ready" not in bench.story(judged)


def test_a_beer_stuck_high_is_stalled_and_says_by_how_much(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(end=24.0), 14))
    assert "ready" not in bench.story(judged)
    assert judged.verdict == "stalled"
    assert judged.now.gravity == pytest.approx(24.0, abs=1.0)
    assert "1.011" in reason("stalled", judged.now), "the entry to look at is named"
    assert not judged.now.passed["where it should be"]


def test_a_forced_test_makes_the_same_beer_ready(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(end=24.0), 14), forced_test_gravity=1.023)
    assert judged.verdict == "ready"


def test_without_any_expected_end_a_high_stop_is_not_called_ready(bench: Bench) -> None:
    readings = bench.readings(bench.ale(end=24.0), 14)
    judged = bench.judge(readings, expected_final_gravity=None)
    assert judged.verdict == "stalled"
    assert "forced ferment test" in reason("stalled", judged.now)


def test_without_an_original_gravity_the_sensor_s_own_start_serves_and_is_named(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 14), original_gravity=None, expected_final_gravity=None)
    assert judged.verdict == "ready"
    assert judged.now.original == pytest.approx(50.0, abs=1.5)
    place = {c.check: c.says for c in evidence(judged.now)}["where it should be"]
    assert "Original gravity was not measured" in place


def test_a_slow_starter_is_in_lag_not_done_at_its_original_gravity(bench: Bench) -> None:
    judged = bench.judge(bench.readings(lambda h: np.full(h.size, 60.0), 4), original_gravity=1.060)
    assert bench.story(judged) == ["lag"]


def test_cold_beer_that_holds_still_is_too_cold_until_it_has_been_warm_for_the_window(bench: Bench) -> None:
    def temp(h: Floats) -> Floats:
        return np.where((h > 90) & (h < 220), 10.0, 20.0)

    stopped: Points = bench.ale()
    judged = bench.judge(bench.readings(lambda h: stopped(np.minimum(h, 90.0)), 18, temp_c=temp))
    assert "too cold" in bench.story(judged)
    (cold,) = bench.hours(judged, "too cold")
    assert 90 < cold < 110
    assert all(hour > 220 + 48 for hour in bench.hours(judged, "ready"))


def test_a_cold_crash_after_ready_changes_nothing(bench: Bench) -> None:
    def temp(h: Floats) -> Floats:
        return np.interp(h, [240, 264], [20.0, 2.0])

    def reading_low_in_the_cold(h: Floats) -> Floats:
        return ale(h) - np.interp(h, [240, 264], [0.0, 9.0])

    ale: Points = bench.ale()
    judged = bench.judge(bench.readings(reading_low_in_the_cold, 16, temp_c=temp))
    assert bench.story(judged) == ["lag", "fermenting", "holding", "ready"]


def test_ready_says_where_it_was_proved_and_claims_nothing_of_a_reading_that_has_gone_up(bench: Bench) -> None:
    ale: Points = bench.ale()

    def temp(h: Floats) -> Floats:
        return np.interp(h, [240.0, 264.0], [20.0, 3.0])

    def reading_high(h: Floats) -> Floats:
        return ale(h) + np.interp(h, [240.0, 264.0], [0.0, 9.0])

    crash = bench.event(240, "crash")
    judged = bench.judge(bench.readings(reading_high, 18, temp_c=temp), original_gravity=1.0493, events=(crash,))
    assert judged.verdict == "ready"
    assert judged.now.gravity is not None
    assert judged.now.gravity > 15.5
    proved = judged.history[-1].seen
    assert reason("ready", proved).startswith(f"Gravity has held still at {Units().level(proved.gravity)}, where")
    says = reason("ready", judged.now)
    assert says.startswith(f"Proved when gravity held still at {Units().level(proved.gravity)}, where this beer should")
    assert "where it should be" in says
    assert "does not undo that proof" in says
    assert Units().level(judged.now.gravity) not in says
    assert "Bottles can burst" in advice("ready", judged.now, Units())


@pytest.mark.parametrize(("at_h", "proved"), [(100.5, False), (300.5, True)])
def test_what_was_packaged_was_proved_if_it_was_ready_then(bench: Bench, at_h: float, proved: bool) -> None:
    readings = bench.readings(bench.ale(), 14)
    judged = bench.judge(readings, packaged_us=bench.at(at_h), until_h=330)
    open_still = bench.judge(readings, until_h=at_h)
    assert judged.proved is open_still.proved is proved
    assert judged.before_packaging.verdict == open_still.verdict == judged.history[-2].verdict
    assert judged.before_packaging.now == judged.history[-1].seen
    assert open_still.before_packaging is open_still
    told = advice(judged.verdict, judged.now, Units(), proved=judged.proved)
    assert ("keep an eye on the first bottles" in told) is proved
    assert ("Keep what is filled cold, closed in and away from people" in told) is not proved


def test_a_packaged_batch_is_packaged_and_stays_so(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 14), packaged_us=bench.at(300.5), until_h=330)
    assert judged.verdict == "packaged"
    assert bench.hours(judged, "packaged") == [301.0]


def test_more_caution_is_never_sooner(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 20, noise=1.2)
    hours = [bench.hours(bench.judge(readings, caution=c), "ready")[0] for c in ("brisk", "usual", "careful")]
    assert hours == sorted(hours)
    assert hours[0] < hours[2]


def test_a_longer_window_waits_longer(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 22)
    short, long = (bench.hours(bench.judge(readings, hold_window_h=w), "ready")[0] for w in (48, 120))
    assert short < long


def test_the_next_pitch_ends_a_batch(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    judged = judge(bench.batch(), VesselReadings.of(readings), until_us=bench.at(100))
    assert judged.history[-1].at_us <= bench.at(101)
    assert judged.used <= 201
