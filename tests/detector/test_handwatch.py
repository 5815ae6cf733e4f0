"""The nine verdicts from hand samples alone, and what turns each into the next. Beers and samples are invented."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.detector import CHECKS, Judged, Units, advice, changes_when, check_changes_when, evidence, reason
from lullwort.detector import two_day_rule as by_the_rule
from lullwort.records import HOUR_US, Event, Instrument

Bench = Any
JAR = Instrument(name="jar", division=2.0, checked_us=0)
FINE = Instrument(name="fine", division=1.0, checked_us=0)


def samples(bench: Bench, *rows: tuple[float, float], by: str = "jar", temp_c: float | None = 20.0) -> list[Event]:
    warm = {} if temp_c is None else {"temperature_c": temp_c}
    return [bench.event(h, "sample", gravity=g, instrument=by, **warm) for h, g in rows]


def judge(bench: Bench, *events: Event, until_h: float | None = None, **batch: Any) -> Judged:
    ordered = tuple(sorted(events, key=lambda event: event.order))
    judged: Judged = bench.judge([], until_h=until_h, events=ordered, instruments=(JAR, FINE), **batch)
    return judged


def says(judged: Judged, check: str) -> str:
    return next(c.says for c in evidence(judged.now, Units()) if c.check == check)


# -- the good case -----------------------------------------------------------------------------------------------------


def test_two_openings_are_enough_in_the_good_case(bench: Bench) -> None:
    judged = judge(bench, *samples(bench, (190, 1.011), (262, 1.011)))
    assert judged.verdict == "ready"
    assert bench.story(judged) == ["unclear", "holding", "ready"]
    assert judged.now.hand is not None
    assert judged.now.hand.samples == 2
    assert all(judged.now.passed.values())
    assert judged.now.left_upper <= judged.now.left_limit
    assert "hold still" in reason("ready", judged.now) or "holding still" in reason("ready", judged.now)
    assert "burst" in advice("ready", judged.now, Units())


def test_it_is_judged_as_of_the_newest_sample_at_the_end_of_its_hour(bench: Bench) -> None:
    judged = judge(bench, *samples(bench, (190.5, 1.011)))
    assert judged.as_of_us == bench.at(191)


def test_two_samples_within_the_window_prove_nothing_however_equal(bench: Bench) -> None:
    assert judge(bench, *samples(bench, (230, 1.011), (277.5, 1.011))).verdict == "holding"
    assert judge(bench, *samples(bench, (230, 1.011), (278.0, 1.011))).verdict == "ready"


@pytest.mark.no_cover
def test_what_the_instrument_leaves_unsure_counts(bench: Bench) -> None:
    # One point between the two: two days apart an ordinary hydrometer cannot exclude as much again.
    apart_h = {}
    for name in ("jar", "fine"):
        for later in range(48, 132, 12):
            judged = judge(bench, *samples(bench, (200, 1.012), (200 + later, 1.011), by=name))
            if judged.verdict == "ready":
                apart_h[name] = later
                break
    assert apart_h["fine"] < apart_h["jar"]
    assert apart_h["fine"] >= 60
    assert apart_h["jar"] <= 120


def test_an_instrument_that_nobody_checked_proves_a_stop_as_well_but_its_level_is_less_sure(bench: Bench) -> None:
    checked, unchecked = (
        judge(bench, *samples(bench, (190, 1.011), (262, 1.011), by=name)) for name in ("jar", "unknown")
    )
    assert checked.verdict == unchecked.verdict == "ready"
    assert unchecked.now.gravity_sd > checked.now.gravity_sd + 1.0


# -- each verdict ------------------------------------------------------------------------------------------------------


def test_nothing_measured_is_unclear_and_the_first_sample_is_proposed(bench: Bench) -> None:
    judged = judge(bench, until_h=30.0)
    assert judged.verdict == "unclear"
    asked = judged.now.first_sample
    assert asked is not None
    assert 5 * 24 < (asked.from_us - bench.pitched_us) / HOUR_US < 12 * 24
    assert not asked.proves
    assert "none is worth an opening before" in advice("unclear", judged.now, Units())
    assert "; corrected, it should read 1.0" in advice("unclear", judged.now, Units())


def test_a_wort_that_has_not_moved_is_lag(bench: Bench) -> None:
    assert judge(bench, *samples(bench, (14, 1.049))).verdict == "lag"


def test_a_beer_on_its_way_ferments_and_is_left_alone(bench: Bench) -> None:
    judged = judge(bench, *samples(bench, (70, 1.028)))
    assert judged.verdict == "fermenting"
    assert judged.now.hand is not None
    assert judged.now.hand.next is not None
    assert judged.now.hand.next.from_us > bench.at(70 + 48)
    assert judged.now.hand.next.low < 14.0


def test_one_sample_where_it_should_be_is_holding(bench: Bench) -> None:
    judged = judge(bench, *samples(bench, (190, 1.011)))
    assert judged.verdict == "holding"
    asked = judged.now.hand.next  # type: ignore[union-attr]
    assert asked is not None
    assert asked.proves
    assert asked.from_us >= bench.at(190 + 48)
    assert asked.low - 0.1 <= 11.0 <= asked.high + 0.1


def test_a_beer_that_still_falls_where_it_should_be_is_fermenting(bench: Bench) -> None:
    assert judge(bench, *samples(bench, (150, 1.015), (198, 1.011), by="fine")).verdict == "fermenting"


def test_a_beer_that_holds_too_high_is_stalled_and_never_ready(bench: Bench) -> None:
    judged = judge(bench, *samples(bench, (190, 1.020), (262, 1.020), (400, 1.020)))
    assert judged.verdict == "stalled"
    assert "ready" not in bench.story(judged)
    assert judged.now.hand.next is None  # type: ignore[union-attr]


def test_cold_yeast_proves_nothing(bench: Bench) -> None:
    cold = judge(bench, *samples(bench, (190, 1.011), (262, 1.011), temp_c=6.0))
    assert cold.verdict == "too cold"
    assert "6.0 °C" in reason("too cold", cold.now, Units())


def test_a_noted_crash_counts_as_cold_until_it_is_warm_again(bench: Bench) -> None:
    events = [*samples(bench, (190, 1.011), (262, 1.011)), bench.event(200, "crash")]
    assert judge(bench, *events).verdict == "too cold"
    warmed = [*events, bench.event(270, "warm"), *samples(bench, (280, 1.011), (352, 1.011))]
    assert judge(bench, *warmed).verdict == "ready"


def test_hours_too_cold_do_not_count_between_two_samples(bench: Bench) -> None:
    events = [*samples(bench, (200, 1.011), (290, 1.011)), bench.event(205, "crash"), bench.event(270, "warm")]
    judged = judge(bench, *events)
    assert judged.verdict == "holding"
    assert not judged.now.passed["undisturbed"]


def test_without_any_temperature_it_cannot_be_told(bench: Bench) -> None:
    untold = samples(bench, (190, 1.011), (262, 1.011), temp_c=None)
    judged = judge(bench, *untold)
    assert judged.verdict == "unclear"
    assert "temperature" in advice("unclear", judged.now, Units())
    assert judge(bench, *untold, steady_temperature_c=19.0).verdict == "ready"


def test_a_log_of_temperatures_alone_tells_of_warmth(bench: Bench) -> None:
    ale = bench.ale()
    log = [r.__class__(r.sensor, r.vessel, r.at_us, None, r.temperature_c) for r in bench.readings(ale, 12.0)]
    cold = [r.__class__(r.sensor, r.vessel, r.at_us, None, 8.0 if r.at_us > bench.at(150) else 20.0) for r in log]
    events = tuple(samples(bench, (190, 1.011), (262, 1.011), temp_c=None))
    warm = bench.judge(log, events=events, instruments=(JAR,))
    assert warm.verdict == "ready"
    assert bench.judge(cold, events=events, instruments=(JAR,)).verdict == "too cold"


def test_where_it_should_end_must_be_known(bench: Bench) -> None:
    events = samples(bench, (190, 1.011), (262, 1.011))
    unknown = judge(bench, *events, original_gravity=None, expected_final_gravity=None)
    assert unknown.verdict == "unclear"
    assert judge(bench, *events, expected_final_gravity=None).verdict == "ready"
    assert judge(bench, *events, original_gravity=None).verdict == "ready"


def test_a_lower_sample_after_ready_is_moving_again_until_it_is_proved_anew(bench: Bench) -> None:
    rows = [(190, 1.0125), (262, 1.0125), (400, 1.0090)]
    judged = judge(bench, *samples(bench, *rows, by="fine"))
    assert judged.verdict == "moving again"
    assert "bottles" in advice("moving again", judged.now, Units())
    again = judge(bench, *samples(bench, *rows, (500, 1.0088), (600, 1.0088), by="fine"))
    assert bench.story(again)[-2:] == ["moving again", "ready"]


def test_a_packaged_batch_is_packaged(bench: Bench) -> None:
    events = samples(bench, (190, 1.011), (262, 1.011))
    assert judge(bench, *events, packaged_us=bench.at(280), until_h=300.0).verdict == "packaged"


# -- what disturbs it --------------------------------------------------------------------------------------------------


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["rouse", "warm", "seal"])
def test_what_may_wake_the_yeast_takes_ready_back_and_starts_the_proof_anew(bench: Bench, kind: str) -> None:
    events = [*samples(bench, (190, 1.011), (262, 1.011)), bench.event(270, kind)]
    assert judge(bench, *events, until_h=272.0).verdict == "holding"
    soon = [*events, *samples(bench, (300, 1.011))]
    assert judge(bench, *soon).verdict == "holding"
    assert judge(bench, *soon, *samples(bench, (372, 1.011))).verdict == "ready"


@pytest.mark.no_cover
def test_hops_ask_for_a_longer_watch_than_rousing(bench: Bench) -> None:
    def first_ready(kind: str) -> float | None:
        for later in range(12, 120, 24):
            events = [*samples(bench, (190, 1.011), (262, 1.011)), bench.event(270, kind)]
            after = samples(bench, (274, 1.011), (274 + later, 1.011))
            if judge(bench, *events, *after).verdict == "ready":
                return float(later)
        return None

    hops, rouse = first_ready("dry hop"), first_ready("rouse")
    assert hops is not None
    assert rouse is not None
    assert hops >= 80 > rouse


def test_sugar_that_was_put_in_must_come_down_again(bench: Bench) -> None:
    sugar = bench.event(270, "addition", points=8.0)
    before = samples(bench, (190, 1.011), (262, 1.011))
    standing = judge(bench, *before, sugar, *samples(bench, (300, 1.0175), (400, 1.0175)))
    assert standing.verdict in ("stalled", "fermenting")
    gone = judge(bench, *before, sugar, *samples(bench, (400, 1.011), (500, 1.011)))
    assert gone.verdict == "ready"


def test_a_vessel_opened_for_other_things_is_counted_too(bench: Bench) -> None:
    events = [*samples(bench, (190, 1.011)), bench.event(200, "dry hop"), bench.event(210, "rouse")]
    hand = judge(bench, *events, until_h=240.0).now.hand
    assert hand is not None
    assert (hand.samples, hand.others) == (1, 2)


# -- one that is wrong -------------------------------------------------------------------------------------------------


def test_a_sample_far_too_high_takes_ready_back_until_one_more_decides(bench: Bench) -> None:
    rows = [(190, 1.011), (262, 1.011), (300, 1.0185)]
    doubted = judge(bench, *samples(bench, *rows))
    assert doubted.verdict == "unclear"
    assert "one more" in reason("unclear", doubted.now, Units())
    settled = judge(bench, *samples(bench, *rows, (306, 1.011)))
    assert settled.verdict == "ready"
    assert [odd.points for odd in settled.now.hand.odd] == pytest.approx([18.5])  # type: ignore[union-attr]
    assert "left out" in says(settled, "believable")


def test_a_sample_far_too_low_does_no_lasting_harm(bench: Bench) -> None:
    rows = [(190, 1.011), (230, 1.002), (262, 1.011)]
    judged = judge(bench, *samples(bench, *rows))
    assert judged.verdict == "ready"
    assert len(judged.now.hand.odd) == 1  # type: ignore[union-attr]


# -- the rule of the trade ---------------------------------------------------------------------------------------------


def test_the_two_day_rule_is_told_and_where_it_differs(bench: Bench) -> None:
    one = judge(bench, *samples(bench, (190, 1.011)))
    assert "nothing can be said yet" in by_the_rule(one.verdict, one.now)
    differs = judge(bench, *samples(bench, (200, 1.012), (248, 1.011)))
    assert differs.verdict == "holding"
    assert "would call it finished" in by_the_rule(differs.verdict, differs.now)
    assert "flat" in by_the_rule(differs.verdict, differs.now)
    stuck = judge(bench, *samples(bench, (190, 1.020), (262, 1.020)))
    assert "where it should be" in by_the_rule(stuck.verdict, stuck.now)
    agrees = judge(bench, *samples(bench, (190, 1.011), (262, 1.011)))
    assert "finished, too" in by_the_rule(agrees.verdict, agrees.now)
    falling = judge(bench, *samples(bench, (100, 1.020), (150, 1.015)))
    assert "not finished either" in by_the_rule(falling.verdict, falling.now)
    gas = judge(bench, *samples(bench, (190, 1.011), (262, 1.017), (310, 1.011)))
    assert gas.verdict == "ready"
    assert "the last two read differently; the 2 samples that agree show" in by_the_rule(gas.verdict, gas.now)


# -- beside a sensor ---------------------------------------------------------------------------------------------------


def test_while_a_sensor_is_heard_it_speaks(bench: Bench) -> None:
    events = tuple(samples(bench, (190, 1.011), (262, 1.011)))
    judged = bench.judge(bench.readings(bench.ale(), 14.0), events=events, instruments=(JAR,))
    assert judged.now.hand is None


def test_samples_take_over_from_a_sensor_that_has_died(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 7.0)
    silent = bench.judge(readings, until_h=262.0)
    assert silent.verdict == "unclear"
    events = tuple(samples(bench, (190, 1.011), (262, 1.011)))
    judged = bench.judge(readings, events=events, instruments=(JAR,))
    assert judged.verdict == "ready"
    assert judged.now.hand is not None


# -- words -------------------------------------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.floats(6.0, 60.0), st.floats(-2.0, 45.0)), min_size=1, max_size=6), st.floats(2.0, 30.0))
def test_every_state_has_its_words_and_only_one_reading(
    bench: Bench, rows: list[tuple[float, float]], c: float
) -> None:
    at_h, events = 5.0, []
    for step, points in rows:
        at_h += step
        events += samples(bench, (at_h, round(1.0 + points / 1000.0, 4)), temp_c=round(c, 1))
    judged = judge(bench, *events)
    u = Units(gravity="plato", temperature="F", zone="Europe/Berlin", decimal="comma")
    said = [
        reason(judged.verdict, judged.now, u),
        advice(judged.verdict, judged.now, u),
        changes_when(judged.verdict, judged.now, u),
        by_the_rule(judged.verdict, judged.now),
        *(check_changes_when(check, judged.now, u) for check in CHECKS),
        *(check.says for check in evidence(judged.now, u)),
    ]
    assert all(sentence and "nan" not in sentence and "inf " not in sentence for sentence in said)
    assert judged.history[-1].verdict == judged.verdict
    assert judged.now.left_upper >= judged.now.left >= 0.0


def test_the_history_is_the_same_whatever_the_order_of_the_notes(bench: Bench) -> None:
    rows = samples(bench, (70, 1.028), (190, 1.011), (262, 1.011))
    assert judge(bench, *rows).history == judge(bench, *rows[::-1]).history


@pytest.mark.parametrize("apart_h", [0.6, 1.6])
def test_a_sample_drawn_before_sugar_in_the_same_hour_is_one_from_before_it(bench: Bench, apart_h: float) -> None:
    # Who draws a sample and then puts sugar in does both within the hour: that is no contradiction.
    sugar = bench.event(190.1 + apart_h, "addition", points=10.0)
    judged = judge(bench, *samples(bench, (190.1, 1.011)), sugar, until_h=193.0)
    assert judged.verdict == "holding"
    assert judged.now.passed["believable"]
    assert judged.now.left_upper > 10.0


@pytest.mark.parametrize("points", [2.0, 10.0])
def test_of_a_sample_and_sugar_noted_for_one_moment_the_sample_came_first(bench: Bench, points: float) -> None:
    sugar = bench.event(262, "addition", points=points)
    drawn = samples(bench, (190, 1.011), (262, 1.011))
    just_after = judge(bench, *drawn, sugar, until_h=264.0)
    assert just_after.now.passed["believable"]
    assert not just_after.now.passed["undisturbed"]
    # So that it is not one of the two that prove the end of what was put in.
    assert judge(bench, *drawn, sugar, *samples(bench, (340, 1.011)), until_h=341.0).verdict == "holding"


@pytest.mark.parametrize("steady_c", [None, 20.0])
def test_a_crash_in_the_hour_of_the_proof_takes_nothing_back(bench: Bench, steady_c: float | None) -> None:
    drawn = samples(bench, (190.1, 1.011), (262.1, 1.011))
    chilled = judge(bench, *drawn, bench.event(262.7, "crash"), until_h=300.0, steady_temperature_c=steady_c)
    assert chilled.verdict == "ready"
    too_early = judge(bench, drawn[0], bench.event(200, "crash"), drawn[1], steady_temperature_c=steady_c)
    assert too_early.verdict == "too cold"


def test_it_is_said_that_the_temperature_is_that_of_the_sample_as_read(bench: Bench) -> None:
    # A sample grows warm in its jar; only who knows the vessel can tell.
    drawn = samples(bench, (190, 1.011), (262, 1.011))
    assert "20.0 °C when it was read, which is taken for the beer's" in says(judge(bench, *drawn), "warm enough")
    entered = judge(bench, *drawn, steady_temperature_c=19.0)
    assert says(entered, "warm enough").startswith("It was 19.0 °C when that was told last")


def test_where_the_first_sample_should_read_is_no_higher_than_what_is_taken_of_one(bench: Bench) -> None:
    """An end typed as an original gravity, of a book that took it still: °P know no gravity far above 1.2."""
    judged = judge(bench, until_h=150, original_gravity=None, expected_final_gravity=(1.179, 1.179))
    asked = judged.now.first_sample
    assert asked is not None
    assert 100.0 < asked.low <= asked.high == pytest.approx(200.0)
    assert "°P" in advice(judged.verdict, judged.now, Units(gravity="plato"))
