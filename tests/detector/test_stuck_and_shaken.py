"""A stuck beer meets an ordinary mishap of its sensor: none of them may make it `ready`. All drawn by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Judged, judge
from lullwort.records import HOUR_US, Reading, VesselReadings
from lullwort.rehearsal import Family, invent

Floats = NDArray[np.float64]
Points = Callable[[Floats], Floats]
Bench = Any  # the fixture's class lives in conftest.py


def stuck(bench: Bench, end: float = 19.0) -> Points:
    """It should end at 11 and up to 15 passes."""
    ale: Points = bench.ale(end=end)
    return ale


def lifted(beer: Points, points: float, from_h: float, to_h: float = np.inf) -> Points:
    return lambda h: beer(h) + np.where((h > from_h) & (h < to_h), points, 0.0)


def swapped(bench: Bench, beer: Points, old: float, new: float, at_h: float, days: float = 16.0) -> list[Reading]:
    """Two floats after each other, which read so much too high [points]."""
    first = [r for r in bench.readings(lambda h: beer(h) + old, days) if r.at_us < bench.at(at_h)]
    later = [r for r in bench.readings(lambda h: beer(h) + new, days) if r.at_us >= bench.at(at_h)]
    return first + [msgspec.structs.replace(r, sensor="another") for r in later]


def never_ready(bench: Bench, judged: Judged) -> bool:
    return "ready" not in bench.story(judged)


@pytest.mark.parametrize("points", [4.0, 6.0, 8.0, 12.0])
@pytest.mark.parametrize("noted", [None, "dry hop", "seal"])
def test_what_lay_on_the_float_and_went_leaves_no_offset(bench: Bench, points: float, noted: str | None) -> None:
    readings = bench.readings(lifted(stuck(bench), points, 120.0, 168.0), 16)
    judged = bench.judge(readings, events=() if noted is None else (bench.event(120, noted),))
    assert never_ready(bench, judged)
    assert judged.now.gravity == pytest.approx(19.0, abs=1.0)


@pytest.mark.no_cover
@pytest.mark.parametrize("family", ["tail", "uptake"])
def test_a_raft_on_invented_stuck_beers_makes_none_ready(bench: Bench, family: Family) -> None:
    for seed in range(100, 106):
        of = invent("stuck warm", seed, family=family)
        from_us = of.batch.pitched_us + 192 * HOUR_US
        readings = [
            msgspec.structs.replace(r, gravity=(r.gravity or 0.0) + 0.008)
            if from_us <= r.at_us < from_us + 48 * HOUR_US
            else r
            for r in of.readings
        ]
        assert never_ready(bench, judge(of.batch, VesselReadings.of(readings)))


def test_a_raft_that_fades_leaves_a_finished_beer_at_its_own_gravity(bench: Bench) -> None:
    ale: Points = bench.ale()
    readings = bench.readings(lambda h: ale(h) + np.where(h > 200, 5.0 * np.exp(-np.maximum(h - 200, 0) / 20), 0.0), 20)
    assert bench.judge(readings).now.gravity == pytest.approx(11.0, abs=1.2)


@pytest.mark.parametrize("original", [None, 1.050])
@pytest.mark.parametrize("points", [15.0, -15.0])
def test_a_float_that_comes_to_rest_late_gives_no_offset(bench: Bench, original: float | None, points: float) -> None:
    beer = stuck(bench, 22.0)
    shape: Points = lambda h: np.where(h < 4, h / 4, np.exp(-np.maximum(h - 4, 0) / 4))  # noqa: E731
    layered: Points = lambda h: np.where(h < 5, 1.0, np.clip((7 - h) / 2, 0.0, 1.0))  # noqa: E731
    start = shape if points > 0 else layered
    judged = bench.judge(bench.readings(lambda h: beer(h) + points * start(h), 14), original_gravity=original)
    assert never_ready(bench, judged)
    assert judged.now.gravity == pytest.approx(22.0, abs=1.8)


@pytest.mark.parametrize("first_h", [1.25, 2.25, 5.25])
def test_one_reading_of_a_slow_log_does_not_show_that_the_float_stood_still(bench: Bench, first_h: float) -> None:
    beer = stuck(bench, 22.0)
    high = bench.readings(lambda h: beer(h) + 15.0 * np.where(h < 4, h / 4, np.exp(-np.maximum(h - 4, 0) / 10)), 16)
    slow = [r for r in high if round((r.at_us - bench.at(first_h)) / HOUR_US, 2) % 12 == 0]
    judged = bench.judge(slow, reading_interval_h=12.0)
    assert judged.now.offset == 0.0
    assert never_ready(bench, judged)


@pytest.mark.parametrize(("old", "new"), [(5.0, 0.0), (0.0, -5.0), (4.0, 4.0)])
def test_another_float_does_not_inherit_an_offset(bench: Bench, old: float, new: float) -> None:
    judged = bench.judge(swapped(bench, stuck(bench, 18.0), old, new, 150.0))
    assert never_ready(bench, judged)
    assert judged.now.gravity == pytest.approx(18.0, abs=1.2)


def test_another_float_after_ready_is_no_fall(bench: Bench) -> None:
    assert bench.judge(swapped(bench, bench.ale(), 0.0, -4.0, 250.0)).verdict == "ready"


@pytest.mark.parametrize("points", [-4.0, 4.0, 5.5])
def test_a_noted_move_leaves_the_beer_what_it_was(bench: Bench, points: float) -> None:
    moved = bench.event(300, "moved")
    done = bench.judge(bench.readings(lifted(bench.ale(), points, 300.0), 20), events=(moved,))
    assert bench.story(done)[-1] == "ready"
    assert "moving again" not in bench.story(done)
    assert done.now.gravity == pytest.approx(11.0, abs=1.0)
    early = bench.event(140, "moved")
    assert never_ready(
        bench, bench.judge(bench.readings(lifted(stuck(bench, 18.0), points, 140.0), 16), events=(early,))
    )


@pytest.mark.parametrize("lost", [3.5, 6.0])
def test_what_was_lost_unseen_after_ready_is_a_fall_and_not_the_float_s(bench: Bench, lost: float) -> None:
    ale: Points = bench.ale()
    falls = bench.readings(lambda h: ale(h) - lost * np.clip((h - 300.0) / 100.0, 0.0, 1.0), 24)
    unseen = [r for r in falls if not bench.at(290) < r.at_us < bench.at(450)]
    assert "moving again" in bench.story(bench.judge(unseen))


@pytest.mark.parametrize("original", [None, 1.050])
def test_a_sample_in_a_silence_waits_for_the_sensor_and_counts_at_once(bench: Bench, original: float | None) -> None:
    beer = stuck(bench, 20.0)
    readings = [r for r in bench.readings(beer, 14) if not bench.at(50) < r.at_us < bench.at(90)]
    sample = bench.event(88, "sample", gravity=1.0 + float(beer(np.array([88.0]))[0]) / 1000.0)
    judged = bench.judge(readings, original_gravity=original, events=(sample,))
    assert never_ready(bench, judged)
    assert judged.now.gravity == pytest.approx(20.0, abs=1.5)


def test_a_high_sample_after_the_sensor_fell_silent_takes_ready_back(bench: Bench) -> None:
    readings = [r for r in bench.readings(bench.ale(), 14) if r.at_us < bench.at(250)]
    sampled = (bench.event(290, "sample", gravity=1.020),)
    assert bench.judge(readings, until_h=300).verdict == "ready"
    assert bench.judge(readings, until_h=300, events=sampled).verdict != "ready"


def test_a_sample_of_the_wort_before_the_float_has_come_to_rest_is_held_against_the_wort(bench: Bench) -> None:
    ale: Points = bench.ale()
    sample = bench.event(0.1, "sample", gravity=1.050)
    judged = bench.judge(bench.readings(lambda h: ale(h) + 8.0, 14), original_gravity=None, events=(sample,))
    assert judged.now.offset == pytest.approx(8.0, abs=1.0)
    assert judged.verdict == "ready"


@pytest.mark.parametrize("first_h", [100.0, 200.0])
@pytest.mark.parametrize("original", [None, 1.050])
def test_a_float_put_in_when_most_was_gone_is_judged_too(bench: Bench, first_h: float, original: float | None) -> None:
    late = [r for r in bench.readings(bench.ale(), 18) if r.at_us >= bench.at(first_h)]
    (ready,) = bench.hours(bench.judge(late, original_gravity=original), "ready")
    assert first_h + 48.0 < ready < first_h + 100.0
