"""What is said to change a verdict does change it, and names the numbers that count. Beers drawn by hand, invented."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, cast

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import CHECKS, VERDICTS, Judged, Units, Verdict, changes_when, check_changes_when, evidence
from lullwort.records import HOUR_US, Reading

Floats = NDArray[np.float64]
Points = Callable[[Floats], Floats]
Bench = Any  # the fixture's class lives in conftest.py


def said(judged: Judged, units: Units | None = None) -> str:
    return changes_when(judged.verdict, judged.now, units)


def frozen(bench: Bench) -> list[Reading]:
    readings: list[Reading] = bench.readings(bench.ale(), 8)
    return [r if r.at_us < bench.at(60) else Reading(r.sensor, r.vessel, r.at_us, 1.0245, 20.0) for r in readings]


def creeping(bench: Bench) -> Points:
    ale: Points = bench.ale()
    return lambda h: ale(h) - np.maximum(h - 260.0, 0.0) * 0.04


def of_verdict(bench: Bench, verdict: Verdict) -> Judged:
    """A beer of which this is said."""
    ale: Points = bench.ale()
    drawn: dict[Verdict, Callable[[], Judged]] = {
        "lag": lambda: bench.judge(bench.readings(ale, 0.5)),
        "fermenting": lambda: bench.judge(bench.readings(ale, 2)),
        "holding": lambda: bench.judge(bench.readings(ale, 5.5)),
        "ready": lambda: bench.judge(bench.readings(ale, 12)),
        "stalled": lambda: bench.judge(bench.readings(bench.ale(end=24.0), 12)),
        "too cold": lambda: bench.judge(
            bench.readings(
                lambda h: ale(np.minimum(h, 90.0)), 6, temp_c=lambda h: np.where(h > 90.0, 10.0, 20.0)
            )
        ),
        "unclear": lambda: bench.judge(bench.readings(ale, 4), until_h=116),
        "moving again": lambda: bench.judge(bench.readings(creeping(bench), 14)),
        "packaged": lambda: bench.judge(bench.readings(ale, 12), packaged_us=bench.at(280.5), until_h=290),
    }  # fmt: skip
    judged = drawn[verdict]()
    assert judged.verdict == verdict
    return judged


NUMBERS: dict[Verdict, list[str]] = {
    "lag": ["more than 5 points"],
    "fermenting": ["at most 1.0150", "48 proving hours", "stalled"],
    "holding": ["flat and little left hold, too", "4 hours in a row", "if nothing disturbs"],
    "ready": ["dry hop", "sugar or fruit", "rousing", "warming", "sealing", "0.65 points", "above 1.0150", "5 points"],
    "stalled": ["at most 1.0150", "forced ferment test", "Warming and rousing"],
    "too cold": ["14.0 °C or warmer", "more proving hours", "(48 h)"],
    "unclear": ["next usable reading"],
    "moving again": ["at most 1.0150", "whole proof"],
    "packaged": ["another date"],
}


@pytest.mark.parametrize("verdict", VERDICTS)
def test_every_verdict_says_what_would_change_it_with_the_numbers_that_count(bench: Bench, verdict: Verdict) -> None:
    judged = of_verdict(bench, verdict)
    says = said(judged)
    assert [number for number in NUMBERS[verdict] if number not in says] == []
    for text in [says, *(check_changes_when(check, judged.now) for check in CHECKS)]:
        assert text[0].isupper()
        assert text.endswith((".", ")."))
        assert "None" not in text
        assert "inf" not in text.replace("information", "")


@pytest.mark.parametrize("verdict", ["fermenting", "holding", "ready", "stalled", "too cold", "moving again"])
def test_it_is_said_in_the_brewer_s_units(bench: Bench, verdict: Verdict) -> None:
    judged, units = of_verdict(bench, verdict), Units(gravity="plato", temperature="F")
    for text in [said(judged, units), *(check_changes_when(check, judged.now, units) for check in CHECKS)]:
        assert " points" not in text
        assert "1.0" not in text
        assert "°C" not in text
    assert "°P" in check_changes_when("where it should be", judged.now, units)
    assert "57.2 °F" in check_changes_when("warm enough", judged.now, units)


def test_a_holding_beer_becomes_ready_in_about_the_hours_that_were_said(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14)
    judged = bench.judge(readings, until_h=132)
    assert judged.verdict == "holding"
    to_go = cast(int, judged.now.hours_to_go)
    assert f"in about {to_go} hours" in said(judged)
    (ready,) = bench.hours(bench.judge(readings), "ready")
    assert 132 + to_go / 2 < ready < 132 + 2 * to_go  # what it is known for is a third, and this is one beer


def test_what_is_left_to_prove_is_counted_down_hour_by_hour(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 10)
    for hour, says in ((151, "84 more"), (152, "83 more"), (234, "1 more")):
        judged = bench.judge(readings, until_h=hour, events=(bench.event(150, "dry hop"),))
        assert f"Holds after {says} proving hour" in check_changes_when("undisturbed", judged.now)
    assert "1 more proving hour:" in check_changes_when("undisturbed", judged.now)
    judged = bench.judge(readings, until_h=235, events=(bench.event(150, "dry hop"),))
    assert judged.now.passed["undisturbed"]
    assert "after a dry hop 84 h" in check_changes_when("undisturbed", judged.now)


@pytest.mark.parametrize("kind", ["dry hop", "addition", "rouse", "warm", "seal"])
def test_what_is_said_to_take_ready_back_does(bench: Bench, kind: str) -> None:
    readings = bench.readings(bench.ale(), 12)
    more = {"points": 3.0} if kind == "addition" else {}
    assert bench.judge(readings, events=(bench.event(280, kind, **more),)).verdict != "ready"


@pytest.mark.parametrize("gravity", [1.0149, 1.0151])
def test_a_hand_sample_takes_ready_back_from_the_gravity_on_that_is_named(bench: Bench, gravity: float) -> None:
    readings = bench.readings(bench.ale(), 12)
    before = bench.judge(readings)
    for says in (said(before), check_changes_when("where it should be", before.now)):
        assert re.search(r"hand sample (reads )?above 1\.0150", says)
    judged = bench.judge(readings, events=(bench.event(280, "sample", gravity=gravity),))
    assert (judged.verdict == "ready") is (gravity < 1.015)


def test_a_sample_cannot_contradict_a_sensor_of_whose_offset_nothing_is_known(bench: Bench) -> None:
    readings = bench.readings(bench.ale(end=4.0), 12)
    unknown = {"original_gravity": None, "expected_final_gravity": (1.004, 1.012)}
    judged = bench.judge(readings, **unknown)
    assert judged.verdict == "ready"
    assert "from the sensor" not in said(judged)
    assert "hand sample" not in check_changes_when("believable", judged.now)
    assert bench.judge(readings, events=(bench.event(280, "sample", gravity=1.012),), **unknown).verdict == "ready"


def test_ready_is_taken_back_below_the_gravity_that_is_named(bench: Bench) -> None:
    readings = bench.readings(creeping(bench), 14)
    (change,) = [c for c in bench.judge(readings).history if c.verdict == "moving again"]
    before = bench.judge(readings, until_h=(change.at_us - bench.pitched_us) / HOUR_US - 1.0)
    assert before.verdict == "ready"
    down_to = before.now.ready_down_to
    assert f"gravity below {Units().level(down_to)} for some hours" in said(before)
    ready = next(c for c in before.history if c.verdict == "ready")
    assert down_to == pytest.approx(ready.seen.gravity - 2.0, abs=0.01)
    assert change.seen.ready_down_to is None


def test_cold_and_silence_leave_ready_standing_as_is_said(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 14, temp_c=lambda h: np.interp(h, [280, 300], [20.0, 2.0]))
    judged = bench.judge(readings, until_h=14 * 24 + 30)
    assert judged.verdict == "ready"
    assert not judged.now.passed["warm enough"]
    assert not judged.now.passed["seen"]
    assert "does not take it back" in said(judged)
    heard = bench.judge(readings)
    assert "unclear" not in check_changes_when("seen", heard.now)


def test_a_stalled_beer_is_not_stalled_after_the_sample_or_the_test_that_is_named(bench: Bench) -> None:
    readings = bench.readings(bench.ale(end=18.0), 14)
    judged = bench.judge(readings)
    assert judged.verdict == "stalled"
    assert "at most 1.0150" in check_changes_when("where it should be", judged.now)
    assert "what still ferments bursts bottles" in check_changes_when("where it should be", judged.now)
    for gravity, verdict in ((1.0148, "ready"), (1.0152, "stalled")):
        sampled = bench.judge(readings, events=(bench.event(300, "sample", gravity=gravity),))
        assert sampled.verdict == verdict
    assert bench.judge(readings, forced_test_gravity=1.017).verdict == "ready"
    assert "entry" not in said(judged)


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ({}, "expected end corrected because it was wrong"),
        ({"expected_final_gravity": None}, "the end that the recipe gives"),
        ({"expected_final_gravity": None, "expected_attenuation": (0.7, 0.8)}, "an attenuation corrected"),
        ({"forced_test_gravity": 1.012}, "test made again"),
    ],
)
def test_a_stall_names_the_entry_that_it_hangs_on(bench: Bench, entered: dict[str, object], says: str) -> None:
    judged = bench.judge(bench.readings(bench.ale(end=24.0), 12), **entered)
    assert judged.verdict == "stalled"
    assert says in said(judged)


def test_sugar_that_has_not_fermented_is_what_must_come_down_and_not_the_entry(bench: Bench) -> None:
    ale: Points = bench.ale()
    readings = bench.readings(lambda h: ale(h) + np.where(h > 130.0, 6.0, 0.0), 14)
    sweetened = {"events": (bench.event(130, "addition", points=6.0),), "expected_final_gravity": (1.011, 1.016)}
    judged = bench.judge(readings, **sweetened)
    assert judged.verdict == "stalled"
    must_reach = cast(float, judged.now.must_reach)
    assert must_reach < 16.0
    for says in (said(judged), check_changes_when("where it should be", judged.now)):
        assert f"come down to {Units().level(must_reach)}" in says
        assert "sample" not in says
    (place,) = [c for c in evidence(judged.now) if c.check == "where it should be"]
    assert place.limit == pytest.approx(1.0 + must_reach / 1000.0, abs=1e-5)
    assert f"must first come down to {Units().level(must_reach)}" in place.says
    # What a sample reads is below what the entry lets pass, and yet the sugar is still there.
    sampled = bench.judge(readings, **{**sweetened, "events": (
        *sweetened["events"], bench.event(300, "sample", gravity=1.0165),
    )})  # fmt: skip
    assert sampled.verdict == "stalled"


def test_one_warm_hour_ends_too_cold(bench: Bench) -> None:
    ale: Points = bench.ale()
    for warmed_c, verdict in ((14.0, "fermenting"), (13.9, "too cold")):
        readings = bench.readings(
            lambda h: ale(np.minimum(h, 90.0)), 6,
            temp_c=lambda h, to=warmed_c: np.where(h > 143.0, to, np.where(h > 90.0, 12.0, 20.0)),
        )  # fmt: skip
        assert bench.judge(readings, until_h=144).verdict == verdict
    assert "enter its minimum" not in check_changes_when("warm enough", bench.judge(readings).now)
    guessed = bench.judge(readings, yeast_min_c=None)
    assert "enter its minimum" in check_changes_when("warm enough", guessed.now)


def test_each_cause_of_unclear_names_its_way_out(bench: Bench) -> None:
    ale: Points = bench.ale()
    rising = bench.readings(lambda h: ale(h) + np.maximum(h - 100.0, 0.0) * 0.1, 12)
    in_f = [Reading(r.sensor, r.vessel, r.at_us, r.gravity, 68.0) for r in bench.readings(ale, 3)]
    no_temp = [Reading(r.sensor, r.vessel, r.at_us, r.gravity, None) for r in bench.readings(ale, 8)]
    silent = bench.judge(bench.readings(ale, 3), until_h=90, original_gravity=None, expected_final_gravity=None)
    ways = [
        (bench.judge([], until_h=30), "first usable readings"),
        (bench.judge(in_f), "right units"),
        (bench.judge(frozen(bench)), "changes again"),
        (bench.judge(rising), "rises by at most 1 point in 48 h"),
        (bench.judge(no_temp), "steady temperature is entered"),
        (bench.judge(bench.readings(ale, 12), events=(bench.event(280, "sample", gravity=1.03),)), "within 5 points"),
        (bench.judge(bench.readings(lambda h: ale(h) / 4.0, 8)), "log's unit"),
        (silent, "next usable reading"),
    ]
    for judged, says in ways:
        assert judged.verdict == "unclear"
        assert says in said(judged)


def test_what_flat_still_wants_is_only_what_is_open(bench: Bench) -> None:
    readings = bench.readings(bench.ale(), 12)
    young = check_changes_when("flat", bench.judge(readings, until_h=40).now)
    assert "more proving hours" in young
    assert "gravity has moved by at most 1 point over 48 proving hours" in young
    assert "can fall at most 0.65 points in 48 h (now " in young
    old = check_changes_when("flat", bench.judge(readings, until_h=140).now)
    assert old.startswith("Holds once ")
    assert "more proving hours" not in old
    done = check_changes_when("flat", bench.judge(readings).now)
    assert done.startswith(
        "Fails if gravity moves by more than 1 point over 48 proving hours, or could fall more than 0.65"
    )


@pytest.mark.no_cover
def test_what_was_known_at_a_change_is_what_judging_as_of_that_hour_says(bench: Bench) -> None:
    readings = bench.readings(creeping(bench), 16)
    events = (bench.event(200, "rouse"),)
    whole = bench.judge(readings, events=events)
    assert len(whole.history) >= 5
    for change in whole.history:
        then = bench.judge(readings, until_h=(change.at_us - bench.pitched_us) / HOUR_US, events=events)
        assert then.now == change.seen
        assert then.verdict == change.verdict
        assert said(then) == changes_when(change.verdict, change.seen)
