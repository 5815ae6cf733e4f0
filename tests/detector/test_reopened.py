"""What is done to a beer drawn by hand, or falls on in it, takes `ready` back and asks for new proof."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Units, advice
from lullwort.detector.snapshot import ROSE

Floats = NDArray[np.float64]

Points = Callable[[Floats], Floats]

Bench = Any  # the fixture's class lives in conftest.py


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


def test_what_is_ready_before_a_dry_hop_and_flat_after_it_becomes_ready_again(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 24), events=(bench.event(260, "dry hop"),))
    assert bench.story(judged)[3:] == ["ready", "holding", "ready"]
    assert bench.hours(judged, "ready")[1] >= 260 + 84


REOPENED_H = 260.4


@pytest.mark.no_cover
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


def test_water_topped_up_lowers_what_is_awaited_and_the_strength_and_proves_nothing(bench: Bench) -> None:
    # 19 litres and two of water: 12 points become 10.9, an original gravity of 50 45.2.
    def thinned(h: np.ndarray) -> np.ndarray:
        ale = bench.ale(12.0)(h)
        values: NDArray[np.float64] = np.where(h < 300.0, ale, ale * 19.0 / 21.0)
        return values

    water = bench.event(300.0, "addition", points=-1.1, original_points=-4.8)
    judged = bench.judge(bench.readings(thinned, 22), events=(water,))
    assert judged.now.original == pytest.approx(45.2)
    after = [change for change in judged.history if change.at_us > bench.at(300.0)]
    assert after[0].verdict == "holding"  # the proof begins anew
    assert judged.verdict == "ready"
    assert judged.now.gravity == pytest.approx(10.9, abs=1.5)


def test_fruit_raises_the_beer_by_one_number_and_the_original_gravity_by_another(bench: Bench) -> None:
    def fruited(h: np.ndarray) -> np.ndarray:
        values: NDArray[np.float64] = bench.ale(12.0)(h)
        return values + np.where(h < 250.0, 0.0, 2.5 * np.exp(-(h - 250.0) / 30.0))

    fruit = bench.event(250.0, "addition", points=2.5, original_points=-1.0)
    judged = bench.judge(bench.readings(fruited, 22), events=(fruit,))
    assert judged.now.original == pytest.approx(49.0)
    assert judged.verdict == "ready"
