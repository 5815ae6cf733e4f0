"""A hand sample beside the sensor of a beer drawn by hand: what it settles, and what it takes back."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Units, advice, reason

Floats = NDArray[np.float64]

Bench = Any  # the fixture's class lives in conftest.py


def test_a_hand_sample_replaces_the_offset(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    judged = bench.judge(readings, events=(bench.event(280, "sample", gravity=1.008),))
    assert judged.now.gravity == pytest.approx(8.0, abs=0.4)
    assert "By the hand sample the sensor reads" in bench.placed(judged)


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


def test_an_estimate_by_refractometer_changes_nothing(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 16)
    plain = bench.judge(readings)
    # By hydrometer 1.030 would take `ready` back; 11 °Bx of this wort are about as much.
    sampled = bench.judge(readings, events=(bench.event(300, "sample", brix=11.0),))
    assert sampled.history == plain.history
    assert sampled.now == plain.now


def test_a_sample_of_the_wort_does_what_an_entered_original_gravity_does(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    entered = bench.judge(readings, original_gravity=1.047)
    sampled = bench.judge(readings, original_gravity=None, events=(bench.event(0, "sample", gravity=1.047),))
    assert [change.verdict for change in sampled.history] == [change.verdict for change in entered.history]
    assert sampled.now.offset == entered.now.offset != 0.0
    assert sampled.now.original_measured
    # As sure as an ordinary hydrometer that nobody has checked.
    assert sampled.now.original_sd == pytest.approx(2.1, abs=0.05)
    assert entered.now.original_sd == 0.5
