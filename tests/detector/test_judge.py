"""Each of the nine verdicts, on beers drawn by hand: what must be said, and what must not."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Judged, Units, advice, evidence, judge, reason
from lullwort.detector.snapshot import ROSE
from lullwort.records import Reading, VesselReadings

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


def test_sugar_that_nobody_noted_takes_ready_back_until_it_has_fermented(bench: Bench) -> None:
    ale: Points = bench.ale()

    def sugared(h: Floats) -> Floats:
        return ale(h) + np.where(h > 300.0, 8.0 * np.exp(-np.maximum(h - 312.0, 0.0) / 30.0), 0.0)

    judged = bench.judge(bench.readings(sugared, 26), yeast_min_c=None)
    first, again = bench.hours(judged, "ready")
    (withdrawn,) = [hour for hour in bench.hours(judged, "holding") if hour > first][:1]
    assert first < 300.0 < withdrawn < 306.0
    assert again > 312.0 + 30.0 * np.log(8.0)  # less than a point of it left


def test_hops_that_nobody_noted_are_seen_by_their_raft_and_asked_for(bench: Bench) -> None:
    ale: Points = bench.ale()

    def hopped(h: Floats) -> Floats:
        raft = np.where(h > 300.0, 1.8 * np.exp(-np.maximum(h - 300.0, 0.0) / 24.0), 0.0)
        return ale(h) + raft - np.where(h > 330.0, 4.0 * (1.0 - np.exp(-np.maximum(h - 330.0, 0.0) / 40.0)), 0.0)

    readings = bench.readings(hopped, 30)
    judged = bench.judge(readings)
    first, again = bench.hours(judged, "ready")
    (withdrawn,) = [hour for hour in bench.hours(judged, "holding") if hour > first][:1]
    assert first < 300.0 < withdrawn < 306.0
    assert again > 330.0 + 40.0 * np.log(4.0 / 2.0)
    then = bench.judge(readings, until_h=withdrawn).now
    assert (then.restarted_by, then.needed_h) == (ROSE, 84)
    assert "note it" in advice("holding", then, Units())
    noted = bench.judge(readings, until_h=320, events=(bench.event(300, "dry hop"),))
    assert noted.now.restarted_by == "dry hop"


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


def test_a_dry_hop_before_the_end_restarts_the_clock_with_a_longer_watch(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 20)
    judged = bench.judge(readings, events=(bench.event(150, "dry hop"),))
    assert all(hour >= 150 + 84 for hour in bench.hours(judged, "ready"))
    assert judged.verdict == "ready"
    assert judged.now.restarted_by == "dry hop"


def test_hop_creep_after_ready_withdraws_it_and_keeps_it_withdrawn(bench: Bench) -> None:
    ale: Points = bench.ale()

    def creeping(h: Floats) -> Floats:
        return ale(h) - 6.0 * (1.0 - np.exp(-np.maximum(h - 264.0, 0.0) / 60.0))

    judged = bench.judge(bench.readings(creeping, 16), events=(bench.event(260, "dry hop"),))
    story = bench.story(judged)
    assert story[:4] == ["lag", "fermenting", "holding", "ready"]
    assert story[4] != "ready"
    assert judged.verdict != "ready"


def test_gravity_that_moves_after_ready_is_told_as_moving_again(bench: Bench) -> None:
    ale: Points = bench.ale()
    judged = bench.judge(bench.readings(lambda h: ale(h) - np.maximum(h - 260.0, 0.0) * 0.04, 18))
    assert bench.story(judged)[3:5] == ["ready", "moving again"]
    assert judged.ready_us is None


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


def test_sugar_added_raises_the_original_gravity_and_restarts_the_clock(bench: Bench) -> None:
    ale: Points = bench.ale()

    def sugared(h: Floats) -> Floats:
        return ale(h) + np.where(h > 130, 8.0 * np.exp(-np.maximum(h - 130.0, 0.0) / 24.0), 0.0)

    judged = bench.judge(bench.readings(sugared, 18), events=(bench.event(130, "addition", points=8.0),))
    assert judged.now.original == pytest.approx(58.0)
    assert all(hour > 130 + 48 for hour in bench.hours(judged, "ready"))


def test_a_second_addition_soon_after_the_first_comes_on_top_of_what_that_must_ferment(bench: Bench) -> None:
    ale: Points = bench.ale()
    readings = bench.readings(lambda h: ale(h) + np.where(h > 250.0, 3.5, 0.0), 22)
    at_once = bench.judge(readings, original_gravity=1.0493, events=(bench.event(250, "addition", points=3.5),))
    two = (bench.event(250, "addition", points=3.0), bench.event(250.3, "addition", points=0.5))
    apart = bench.judge(readings, original_gravity=1.0493, events=two)
    assert apart.now.must_reach == pytest.approx(at_once.now.must_reach, abs=0.1)
    assert bench.story(apart) == bench.story(at_once)
    assert apart.verdict == "stalled"


def test_a_packaged_batch_is_packaged_and_stays_so(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 14), packaged_us=bench.at(300.5), until_h=330)
    assert judged.verdict == "packaged"
    assert bench.hours(judged, "packaged") == [301.0]


def placed(judged: Judged) -> str:
    return {c.check: c.says for c in evidence(judged.now)}["where it should be"]


def test_a_bump_of_the_sensor_raises_no_alarm_and_its_offset_is_taken_off(bench: Bench) -> None:
    ale: Points = bench.ale()
    judged = bench.judge(bench.readings(lambda h: ale(h) + np.where(h > 160, 6.0, 0.0), 14))
    assert "moving again" not in bench.story(judged)
    assert judged.now.gravity == pytest.approx(11.0, abs=1.0)
    assert "high, which is taken off" in placed(judged)


def test_an_offset_of_the_sensor_is_found_from_the_original_gravity(bench: Bench) -> None:
    ale: Points = bench.ale()
    for above, says in (
        (6.0, r"[56]\S* points high, which is taken off"),
        (-4.0, r"[34]\S* points low, which is added"),
    ):
        judged = bench.judge(bench.readings(lambda h, above=above: ale(h) + above, 14))
        assert judged.verdict == "ready"
        assert judged.now.gravity == pytest.approx(11.0, abs=1.0)
        assert re.search(f"By the original gravity the sensor reads {says} here", placed(judged))


def test_a_hand_sample_replaces_the_offset(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    judged = bench.judge(readings, events=(bench.event(280, "sample", gravity=1.008),))
    assert judged.now.gravity == pytest.approx(8.0, abs=0.4)
    assert "By the hand sample the sensor reads" in placed(judged)


def test_more_caution_is_never_sooner(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 20, noise=1.2)
    hours = [bench.hours(bench.judge(readings, caution=c), "ready")[0] for c in ("brisk", "usual", "careful")]
    assert hours == sorted(hours)
    assert hours[0] < hours[2]


def test_a_longer_window_waits_longer(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 22)
    short, long = (bench.hours(bench.judge(readings, hold_window_h=w), "ready")[0] for w in (48, 120))
    assert short < long


def test_without_any_temperature_cold_cannot_be_ruled_out(bench: Bench) -> None:
    readings = [Reading(r.sensor, r.vessel, r.at_us, r.gravity, None) for r in bench.readings(bench.ale(), 14)]
    judged = bench.judge(readings)
    assert judged.verdict == "unclear"
    assert "no temperature" in reason("unclear", judged.now)
    assert bench.judge(readings, steady_temperature_c=20.0).verdict == "ready"


def test_the_next_pitch_ends_a_batch(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    judged = judge(bench.batch(), VesselReadings.of(readings), until_us=bench.at(100))
    assert judged.history[-1].at_us <= bench.at(101)
    assert judged.used <= 201


def test_no_readings_at_all_is_unclear(bench: Bench) -> None:
    judged = bench.judge([], until_h=30)
    assert judged.verdict == "unclear"
    assert reason("unclear", judged.now) == "No usable reading of this batch yet."


def test_what_is_ready_before_a_dry_hop_and_flat_after_it_becomes_ready_again(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 24), events=(bench.event(260, "dry hop"),))
    assert bench.story(judged)[3:] == ["ready", "holding", "ready"]
    assert bench.hours(judged, "ready")[1] >= 260 + 84


def test_two_samples_at_one_instant_are_taken_in_either_order(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    plain = bench.event(280, "sample", gravity=1.008)
    warm = bench.event(280, "sample", gravity=1.008, temperature_c=20.0)
    one, other = (bench.judge(readings, events=events) for events in ((plain, warm), (warm, plain)))
    assert one.history == other.history
    assert one.now == other.now


def test_a_sample_far_above_the_sensor_takes_ready_back_and_asks_for_another(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 16)
    judged = bench.judge(readings, events=(bench.event(300, "sample", gravity=1.030),))
    assert bench.story(judged)[3:] == ["ready", "unclear"]
    assert not judged.now.passed["believable"]
    assert judged.now.disagreement == pytest.approx(19.0, abs=1.0)
    assert "above what the sensor said" in reason("unclear", judged.now)
    assert "second hand sample" in advice("unclear", judged.now, Units())


def test_a_second_sample_decides_between_the_first_and_the_sensor(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 18)
    high = bench.event(300, "sample", gravity=1.030)
    for_the_sensor = bench.judge(readings, events=(high, bench.event(310, "sample", gravity=1.011)))
    assert for_the_sensor.verdict == "ready"
    assert for_the_sensor.now.gravity == pytest.approx(11.0, abs=0.5)
    for_the_sample = bench.judge(readings, events=(high, bench.event(310, "sample", gravity=1.0295)))
    assert for_the_sample.verdict == "stalled"
    assert for_the_sample.now.gravity == pytest.approx(29.5, abs=0.5)


def test_a_sample_above_the_expected_end_takes_ready_back_even_where_it_agrees_with_the_sensor(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 16)
    judged = bench.judge(readings, events=(bench.event(300, "sample", gravity=1.0155),))
    assert bench.story(judged)[3:] == ["ready", "stalled"]


def test_an_agreeing_sample_confirms_ready_and_the_advice_says_so(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 16)
    alone = bench.judge(readings)
    confirmed = bench.judge(readings, events=(bench.event(300, "sample", gravity=1.011),))
    assert "rests on a sensor alone" in advice("ready", alone.now, Units())
    assert confirmed.now.confirmed_us == bench.at(300)
    assert "sensor and hand sample agree" in advice("ready", confirmed.now, Units())
    assert "burst" in advice("ready", confirmed.now, Units())
    early = bench.judge(readings, events=(bench.event(20, "sample", gravity=1.049),))
    assert early.verdict == "ready"
    assert early.now.confirmed_us is None


def test_a_log_that_begins_far_from_the_original_gravity_is_not_believed_until_a_sample_settles_it(
    bench: Bench,
) -> None:
    def in_another_unit(h: Floats) -> Floats:
        return np.asarray(bench.ale()(h) / 4.0)

    readings = bench.readings(in_another_unit, 16)
    judged = bench.judge(readings)
    assert "ready" not in bench.story(judged)
    assert judged.verdict == "unclear"
    assert "Is the log's unit stated rightly" in reason("unclear", judged.now)
    assert "unit" in advice("unclear", judged.now, Units())


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


REOPENED_H = 260.4
"""[h] at which something is done to a beer that has been ready for days."""


@pytest.mark.parametrize(
    ("kind", "points", "again_h"),
    [("warm", None, 48), ("dry hop", None, 84), ("addition", 4.0, 48), ("rouse", None, 48), ("seal", None, 48)],
)
def test_what_may_wake_the_yeast_takes_ready_back_in_its_very_hour_and_asks_for_new_proof(
    bench: Bench, kind: str, points: float | None, again_h: int
) -> None:
    ale: Points = bench.ale()

    def done_to(h: Floats) -> Floats:
        return ale(h) + np.where(h > REOPENED_H, (points or 0.0) * np.exp(-(h - REOPENED_H) / 20.0), 0.0)

    more = {} if points is None else {"points": points}
    judged = bench.judge(bench.readings(done_to, 24), events=(bench.event(REOPENED_H, kind, **more),))
    assert bench.story(judged)[3] == "ready"
    assert judged.history[4].at_us == bench.at(261.0)
    assert judged.verdict == "ready"
    _, again = bench.hours(judged, "ready")
    assert again >= REOPENED_H + again_h


def test_warming_that_only_the_log_shows_takes_ready_back_once_it_stands_out_from_day_and_night(
    bench: Bench,
) -> None:
    def temp(h: Floats) -> Floats:
        return np.interp(h, [REOPENED_H, REOPENED_H + 6.0], [20.0, 25.0])

    judged = bench.judge(bench.readings(bench.ale(), 24, temp_c=temp))
    assert bench.story(judged)[3:] == ["ready", "holding", "ready"]
    assert bench.hours(judged, "holding")[1] <= REOPENED_H + 9.0
    assert bench.hours(judged, "ready")[1] >= REOPENED_H + 48


def test_warming_after_a_crash_reopens_what_was_ready_before_it(bench: Bench) -> None:
    def temp(h: Floats) -> Floats:
        return np.interp(h, [240.0, 264.0, 320.0, 340.0], [20.0, 3.0, 3.0, 20.0])

    judged = bench.judge(bench.readings(bench.ale(), 22, temp_c=temp))
    assert bench.story(judged)[3:] == ["ready", "holding", "ready"]
    assert 320.0 < bench.hours(judged, "holding")[1] < 345.0
    assert bench.hours(judged, "ready")[1] >= 340.0 + 48


@pytest.mark.parametrize("kind", ["warm", "dry hop", "rouse", "seal"])
def test_what_falls_on_after_it_was_reopened_and_ready_again_moves_again(bench: Bench, kind: str) -> None:
    ale: Points = bench.ale()
    readings = bench.readings(lambda h: ale(h) - np.maximum(h - 400.0, 0.0) * 0.04, 22)
    judged = bench.judge(readings, events=(bench.event(REOPENED_H, kind),))
    assert bench.story(judged)[3:7] == ["ready", "holding", "ready", "moving again"]
    assert judged.ready_us is None


def test_what_falls_at_once_after_it_was_reopened_is_never_ready(bench: Bench) -> None:
    ale: Points = bench.ale()
    readings = bench.readings(lambda h: ale(h) - np.maximum(h - REOPENED_H, 0.0) * 0.04, 18)
    judged = bench.judge(readings, events=(bench.event(REOPENED_H, "rouse"),))
    story = bench.story(judged)
    assert story[3:6] == ["ready", "holding", "fermenting"]
    assert story.count("ready") == 1
