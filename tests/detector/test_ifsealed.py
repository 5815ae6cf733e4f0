"""A beer that stands too high promises nothing of a bottle by standing still. All beers here are invented."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import pytest

from lullwort.detector import Judged, evidence, if_sealed, judge
from lullwort.records import VesselReadings
from lullwort.rehearsal import Family, invent

Bench = Any  # the fixture's class lives in conftest.py


@pytest.fixture(scope="module")
def stuck(bench: Bench) -> Judged:
    judged: Judged = bench.judge(bench.readings(bench.ale(end=23.0), 16))
    return judged


def test_a_stalled_beer_keeps_what_lies_above_its_expected_end_and_its_check_does_not_reassure(stuck: Judged) -> None:
    left = if_sealed(stuck.now)
    assert stuck.verdict == "stalled"
    assert stuck.now.left_upper < 1.0  # by its own pace
    assert left.may_wake
    assert left.about == pytest.approx(12.0, abs=0.5)  # 23 - 11
    assert left.at_most == pytest.approx(12.0 + 4.0, abs=0.5)  # and the margin of a recipe
    little = evidence(stuck.now)[1]
    assert little.passed
    assert "what stands still may still be there: up to 16" in little.says


def test_without_any_known_end_all_that_its_wort_may_hold_is_the_bound(stuck: Judged) -> None:
    unknown = msgspec.structs.replace(stuck.now, expected=None, must_reach=None)
    assert if_sealed(unknown).at_most == stuck.now.fermentable
    assert "where it should end is not known" in evidence(unknown)[1].says


def test_a_beer_at_its_end_keeps_what_its_own_tail_tells(bench: Bench) -> None:
    done = bench.judge(bench.readings(bench.ale(), 16))
    assert done.verdict == "ready"
    assert if_sealed(done.now) == (done.now.left, done.now.left_upper, False)
    assert "may still be there" not in evidence(done.now)[1].says
    # What was proved stands, whatever the sensor reads later.
    lifted = msgspec.structs.replace(done.now, level=40.0)
    assert if_sealed(lifted) == (done.now.left, done.now.left_upper, False)


def test_added_sugar_that_has_yet_to_ferment_counts_though_the_end_entered_lies_above(stuck: Judged) -> None:
    assert stuck.now.gravity is not None
    sugared = msgspec.structs.replace(stuck.now, must_reach=stuck.now.gravity - 20.0)
    assert if_sealed(sugared).at_most == pytest.approx(20.0)


@pytest.mark.parametrize("hour", [30.0, 48.0, 60.0])
def test_no_more_is_left_than_the_wort_holds(bench: Bench, hour: float) -> None:
    now = bench.judge(bench.readings(bench.ale(), 4), until_h=hour).now
    gravity = float(bench.ale()(np.array(hour)))
    # A wort of 1.050 that is fermented out altogether comes to 0.989 (Balling and Tabarié).
    assert now.fermentable == pytest.approx(gravity + 11.1, abs=1.5)
    assert now.left <= now.left_upper <= now.fermentable
    assert if_sealed(now).at_most <= now.fermentable


def test_a_sample_ends_the_doubt_of_pressure_and_sugar_added_ferments_in_the_sealed_vessel(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 8)
    seal, sample = bench.event(70.0, "seal"), bench.event(150.0, "sample", gravity=1.0115)
    sugar = bench.event(100.0, "addition", points=5.0)
    then = float(bench.ale()(np.array([70.0]))[0])
    for events, lift, gravity in (((seal,), 6.0, then), ((seal, sample), 0.0, then), ((seal, sugar), 6.0, then + 5.0)):
        sealed = bench.judge(readings, events=events).now.sealed
        assert sealed.lift == lift
        assert sealed.gravity == pytest.approx(gravity, abs=1.0)
    assert bench.judge(readings).now.sealed is None
    # Sealed as a wort: no more than the original gravity.
    at_once = bench.judge(readings, events=(bench.event(0.1, "seal"),)).now
    assert at_once.sealed.gravity == pytest.approx(50.0)


@pytest.mark.no_cover
@pytest.mark.parametrize(("seed", "family"), [(8104, "tail"), (8110, "tail"), (8102, "uptake"), (8104, "vigour")])
def test_what_was_proved_before_the_cold_is_what_may_be_left_in_it(seed: int, family: Family) -> None:
    invented = invent("cold crash after the end", seed, family=family)
    judged = judge(invented.batch, VesselReadings.of(invented.readings))
    assert judged.verdict == "ready"
    left = if_sealed(judged.now)
    truly = invented.truth.points_left_at(invented.hour_of(judged.as_of_us))
    assert truly <= left.at_most <= judged.now.left_limit
    assert judged.now.left_upper > left.at_most, "the cold sensor's own tail"
