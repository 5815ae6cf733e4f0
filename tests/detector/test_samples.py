"""A hand sample beside the sensor of a beer drawn by hand: what it settles, and what it takes back."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Units, advice, check_changes_when, evidence, reason
from lullwort.records import Instrument

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


def believed(judged: Any) -> str:
    return {c.check: c.says for c in evidence(judged.now)}["believable"]


def steep(bench: Bench, scale: float, offset: float) -> Any:
    """An ale as a sensor reads it that is off by this scale and offset."""
    ale = bench.ale()
    return bench.readings(lambda h: offset + scale * ale(h), 18)


@pytest.mark.parametrize(("scale", "offset"), [(1.05, 1.0), (0.95, -1.0), (1.0, 4.0)])
def test_one_sample_at_the_start_and_one_at_the_end_are_enough(bench: Bench, scale: float, offset: float) -> None:
    readings = steep(bench, scale, offset)
    wort, end = bench.event(0.5, "sample", gravity=1.050), bench.event(300, "sample", gravity=1.011)
    judged = bench.judge(readings, original_gravity=None, events=(wort, end))
    assert judged.verdict == "ready"
    assert judged.now.confirmed_us == bench.at(300)
    assert judged.now.gravity == pytest.approx(11.0, abs=0.4)
    # Before the float counts as at rest the beer has fallen a little.
    assert abs(judged.now.scale - scale) < 0.7 * abs(scale - 1.0) + 0.011


def test_samples_far_apart_mend_the_scale_and_it_is_said(bench: Bench) -> None:
    ale = bench.ale()
    hours = (30.0, 50.0, 70.0, 250.0, 300.0)
    events = tuple(
        bench.event(h, "sample", gravity=round(1.0 + float(ale(np.array([h]))[0]) / 1000.0, 4)) for h in hours
    )
    judged = bench.judge(steep(bench, 1.06, -2.0), events=events)
    assert judged.now.scale == pytest.approx(1.06, abs=0.03)
    assert judged.now.samples == 5
    assert "By 5 hand samples the sensor reads" in bench.placed(judged)
    assert "% too steep, which is mended here" in bench.placed(judged)
    assert judged.now.gravity == pytest.approx(11.0, abs=0.3)


@pytest.mark.parametrize("wrong", [8.0, -8.0])
def test_one_bad_sample_is_named_and_leaves_nothing_behind(bench: Bench, wrong: float) -> None:
    readings = bench.readings(bench.ale(), 20)
    first, last = bench.event(290, "sample", gravity=1.011), bench.event(350, "sample", gravity=1.0113)
    bad = bench.event(320, "sample", gravity=1.011 + wrong / 1000.0)
    without, judged = (bench.judge(readings, events=events) for events in ((first, last), (first, bad, last)))
    assert judged.now.odd_sample is not None
    assert judged.now.odd_sample.at_us == bench.at(320)
    assert judged.now.odd_sample.above == pytest.approx(wrong, abs=1.0)
    lies = f"{'above' if wrong > 0 else 'below'} what the other two and the sensor say: it is left out"
    assert lies in believed(judged)
    same = ("offset", "scale", "offset_sd", "scale_sd", "gravity", "samples", "confirmed_us", "disputed_from")
    assert {name: getattr(judged.now, name) for name in same} == {name: getattr(without.now, name) for name in same}
    assert judged.verdict == without.verdict == "ready"


@pytest.mark.parametrize("wrong", [8.0, -8.0])
def test_a_bad_sample_in_the_fall_is_settled_by_the_next(bench: Bench, wrong: float) -> None:
    ale = bench.ale()
    at_fall = float(ale(np.array([54.0]))[0])
    bad = bench.event(54, "sample", gravity=round(1.0 + (at_fall + wrong) / 1000.0, 4))
    readings = bench.readings(ale, 16)
    open_ = bench.judge(readings, events=(bad,), until_h=80.0)
    assert open_.verdict == "unclear"
    settled = bench.judge(readings, events=(bad, bench.event(78, "sample", gravity=1.0147)))
    assert settled.verdict == "ready"
    assert settled.now.odd_sample.at_us == bench.at(54)
    assert "what the other and the sensor say" in believed(settled)


def test_no_high_sample_is_left_out_on_the_word_of_one_other(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 20)
    high, low = bench.event(300, "sample", gravity=1.020), bench.event(310, "sample", gravity=1.011)
    third = bench.event(330, "sample", gravity=1.0112)
    unmeasured = {"original_gravity": None}
    two = bench.judge(readings, events=(high, low), **unmeasured)
    assert two.verdict == "unclear"
    assert bench.judge(readings, events=(high, low, third), **unmeasured).verdict == "ready"


def test_three_that_all_contradict_each_other_stay_open_until_one_agrees(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 18)
    events = [bench.event(h, "sample", gravity=g) for h, g in ((300, 1.030), (306, 1.0195), (312, 1.0198))]
    two = bench.judge(readings, events=tuple(events[:2]))
    assert two.verdict == "unclear"
    assert abs(two.now.disagreement) > 3.0
    three = bench.judge(readings, events=tuple(events))
    assert three.now.gravity == pytest.approx(19.65, abs=0.5)
    assert three.verdict == "stalled"


def test_samples_that_agree_against_the_sensor_count_and_that_is_said(bench: Bench) -> None:
    samples = tuple(bench.event(h, "sample", gravity=1.0295) for h in (300, 310))
    judged = bench.judge(bench.readings(bench.ale(), 18), events=samples)
    assert judged.now.outvoted
    assert "the samples count" in believed(judged)
    assert judged.verdict == "stalled"


@pytest.mark.no_cover
def test_how_far_a_sample_may_differ_follows_from_what_is_known(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 18)
    first = bench.event(300, "sample", gravity=1.011)
    start, sampled = (bench.judge(readings, events=events).now for events in ((), (first,)))
    assert start.disputed_from == pytest.approx(5.4, abs=0.5)
    assert sampled.disputed_from == pytest.approx(3.2, abs=0.3)
    assert "more than 5." in check_changes_when("believable", start)
    assert bench.judge(readings, original_gravity=None).now.disputed_from is None
    for before, apart in (((), start.disputed_from), ((first,), sampled.disputed_from)):
        for share, believed in ((0.85, True), (1.2, False)):
            low = bench.event(330, "sample", gravity=round(1.011 - share * apart / 1000.0, 4))
            now = bench.judge(readings, events=(*before, low)).now
            assert (now.odd_sample is None and not now.disagreement) is believed


# -- the forced ferment test -------------------------------------------------------------------------------------------


def test_a_forced_test_is_the_target_from_when_it_is_noted(bench: Bench) -> None:
    readings = bench.readings(bench.ale(end=17.0), 18)
    test = bench.event(320, "forced test", gravity=1.016)
    judged = bench.judge(readings, events=(test,))
    assert judged.now.expected.source == "forced test"
    assert judged.verdict == "ready"
    assert bench.hours(judged, "ready")[0] > 320
    assert bench.story(judged)[-3:] == ["stalled", "holding", "ready"]
    before = bench.judge(readings)
    assert judged.history[: len(before.history)] == before.history
    entered = bench.judge(readings, forced_test_gravity=1.016)
    assert bench.hours(entered, "ready")[0] < 320


def test_a_forced_test_lower_than_the_beer_takes_ready_back(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 18)
    judged = bench.judge(readings, events=(bench.event(320, "forced test", gravity=1.006),))
    assert bench.story(judged)[-2:] == ["ready", "stalled"]
    assert "by the forced ferment test it should end at 1.005 to 1.007" in bench.placed(judged)


def test_how_unsure_a_forced_test_is_lets_no_higher_beer_pass(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    coarse = Instrument(name="coarse", division=10.0)
    for instruments in ((), (coarse,)):
        name = {"instrument": coarse.name} if instruments else {}
        test = bench.event(200, "forced test", gravity=1.010, **name)
        expected = bench.judge(readings, events=(test,), instruments=instruments).now.expected
        assert expected.low < 10.0 < expected.high
        assert 13.0 <= expected.ceiling <= 14.0


def test_a_forced_test_is_corrected_as_a_sample_is(bench: Bench) -> None:
    warm = bench.event(200, "forced test", gravity=1.0085, temperature_c=30.0)
    expected = bench.judge(bench.readings(bench.ale(), 14), events=(warm,)).now.expected
    assert 0.5 * (expected.low + expected.high) == pytest.approx(11.3, abs=0.3)


def test_a_forced_test_that_cannot_be_gets_a_sentence(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 18)
    above = bench.judge(readings, events=(bench.event(200, "forced test", gravity=1.052),))
    assert above.now.expected.source == "recipe"
    assert "Was it the wort that was read" in bench.placed(above)
    passed = bench.judge(readings, events=(bench.event(320, "forced test", gravity=1.022),))
    assert "the test had not ended when it was read" in bench.placed(passed)


def test_a_forced_test_takes_a_ready_back_that_rests_on_samples_alone(bench: Bench) -> None:
    samples = tuple(
        bench.event(h, "sample", gravity=1.011, temperature_c=20.0, instrument="jar") for h in (240, 300, 360)
    )
    checked = (Instrument(name="jar", division=1.0, checked_us=0),)
    alone = bench.judge([], events=samples, instruments=checked, until_h=480.0)
    assert alone.verdict == "ready"
    for gravity, verdict in ((1.0115, "ready"), (1.005, "stalled")):
        tested = (*samples, bench.event(400, "forced test", gravity=gravity, instrument="jar"))
        judged = bench.judge([], events=tested, instruments=checked, until_h=480.0)
        assert judged.verdict == verdict
        assert judged.now.expected.source == "forced test"


def test_once_the_sensor_is_lost_samples_speak_without_its_scale(bench: Bench) -> None:
    ale = bench.ale()
    hours = (30.0, 60.0, 200.0)
    early = tuple(
        bench.event(h, "sample", gravity=round(1.0 + float(ale(np.array([h]))[0]) / 1000.0, 4)) for h in hours
    )
    late = tuple(bench.event(h, "sample", gravity=1.0111, temperature_c=20.0) for h in (300, 360))
    readings = [r for r in steep(bench, 1.06, -2.0) if r.at_us < bench.at(220)]
    judged = bench.judge(readings, events=(*early, *late), until_h=380.0)
    assert judged.now.hand is not None
    assert judged.now.scale == 1.0
    assert judged.now.gravity == pytest.approx(11.1, abs=0.4)
    assert "the sensor reads" not in bench.placed(judged)


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


@pytest.mark.parametrize("sugar_h", [250.1, 250.4, 251.4])
def test_a_sample_just_before_sugar_is_held_against_the_sensor_as_it_was_then(bench: Bench, sugar_h: float) -> None:
    ale = bench.ale()

    def sugared(h: Floats) -> Floats:
        return np.asarray(ale(h) + np.where(h >= sugar_h, 10.0 * np.exp(-np.maximum(h - sugar_h, 0.0) / 24.0), 0.0))

    events = (bench.event(250.1, "sample", gravity=1.011), bench.event(sugar_h, "addition", points=10.0))
    judged = bench.judge(bench.readings(sugared, 22.0), events=events)
    assert abs(judged.now.offset) < 0.5
    assert judged.now.disagreement == 0.0
    assert judged.verdict == "ready"


def test_of_a_sample_that_waits_for_the_sensor_what_was_put_in_since_is_added(bench: Bench) -> None:
    ale = bench.ale()
    heard = [
        r
        for r in bench.readings(lambda h: ale(h) + 10.0 * (h >= 251.0), 12.0)
        if not bench.at(248) < r.at_us < bench.at(253)
    ]
    events = (bench.event(249.5, "sample", gravity=1.011), bench.event(251.0, "addition", points=10.0))
    judged = bench.judge(heard, events=events, until_h=258.0)
    assert judged.now.samples == 1
    assert abs(judged.now.offset) < 2.0


@pytest.mark.parametrize("sampled", [False, True])
@pytest.mark.parametrize("points", [-4.0, 5.0])
def test_what_is_put_in_on_the_first_day_is_no_offset_of_the_sensor(bench: Bench, points: float, sampled: bool) -> None:
    ale = bench.ale(11.0, 50.0 + points)
    sugar = bench.event(1.3, "addition", points=points, **({"original_points": points} if points < 0.0 else {}))
    events = [bench.event(1.1, "sample", gravity=1.050)] if sampled else []
    readings = bench.readings(lambda h: ale(h) - points * (h < 1.3), 16.0)
    for original in (1.050, None):
        judged = bench.judge(readings, events=(*events, sugar), original_gravity=original)
        assert abs(judged.now.offset) < 1.5
        assert judged.now.disagreement == 0.0
        assert judged.now.original == pytest.approx(50.0 + points, abs=1.5)
        assert judged.verdict == "ready"


@pytest.mark.parametrize("hour", [60.0, 80.0])
def test_a_sample_of_the_fall_says_nothing_of_a_sensor_that_is_heard_long_after_it(bench: Bench, hour: float) -> None:
    ale = bench.ale()
    silent = [r for r in bench.readings(ale, 20) if not bench.at(50) <= r.at_us < bench.at(300)]
    drawn = bench.event(hour, "sample", gravity=round(1.0 + float(ale(np.array([hour]))[0]) / 1000.0, 4))
    judged, without = (bench.judge(silent, events=events) for events in ((drawn,), ()))
    assert judged.verdict == without.verdict == "ready"
    assert judged.now.gravity == pytest.approx(11.0, abs=0.8)
