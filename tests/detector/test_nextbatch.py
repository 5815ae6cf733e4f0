"""Two batches in one log: the split is offered, nothing is split, and nothing else is taken for it. All invented."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.detector import Judged, Units, advice, changes_when, judge, reason
from lullwort.detector.nextbatch import NextBatchWatch
from lullwort.records import HOUR_US, Reading, VesselReadings
from lullwort.rehearsal import KINDS, Family, Invented, invent, shifted

Floats = NDArray[np.float64]
Points = Callable[[Floats], Floats]
Bench = Any  # the fixture's class lives in conftest.py

FAMILIES: tuple[Family, Family] = ("tail", "uptake")
DONE_H = 300.0
"""[h] at which the second batch of `two_ales` goes in; the first has been ready for days."""


def watched(hourly: Iterable[float | None], *, interval_h: float = 1.0) -> NextBatchWatch:
    """After a beer at 11 points these hours, None for one without a reading."""
    watch = NextBatchWatch(interval_h)
    for hour, points in enumerate([24.0, 17.0, 11.0, 11.0, *hourly], start=1):
        if points is not None:
            watch.hour(hour * HOUR_US, points)
    return watch


def test_a_wort_that_stands_for_twelve_hours_is_another_batch_and_tells_where_the_two_meet() -> None:
    assert watched([50.0] * 11).found is None
    found = watched([50.0, 49.0] * 6).found
    assert found is not None
    assert (found.last_us, found.began_us) == (4 * HOUR_US, 4 * HOUR_US)
    assert found.low == pytest.approx(11.0)
    assert found.least == 49.0


def test_after_a_silence_the_two_ends_of_it_are_told() -> None:
    found = watched([None] * 48 + [50.0] * 12).found
    assert found is not None
    assert (found.last_us, found.began_us) == (4 * HOUR_US, 52 * HOUR_US)


@pytest.mark.parametrize(
    "hourly",
    [
        [26.0] * 100,  # fruit that nobody noted
        [30.5] * 100,  # fruit, and the float bumped a little
        [110.0] * 11 + [11.0] * 100,  # the float on a shelf
        [50.0] * 6 + [11.0] * 2 + [50.0] * 6 + [11.0] * 50,  # twice taken out
        [0.0] * 30 + [11.0] * 100,  # the float in water
        [11.0 + 0.15 * h for h in range(400)],  # a rise that creeps
        [26.0] * 48 + [38.0] * 48,  # fruit, and two days later more of it
    ],
)
def test_what_else_lifts_a_reading_is_no_batch(hourly: list[float]) -> None:
    assert watched(hourly).found is None


def test_a_float_that_was_out_of_the_beer_for_long_is_told_no_longer_once_it_is_back() -> None:
    out = [110.0] * 30
    assert watched([*out, *[12.0] * 5]).found is not None
    assert watched([*out, *[12.0] * 6]).found is None
    # What is rinsed for an hour or two, or falls as the quickest beer does, is another batch still.
    assert watched([*[50.0] * 20, *[0.0] * 2, *[48.0] * 10]).found is not None
    assert watched([50.0 - 2.0 * max(0, h - 20) for h in range(40)] + [11.0] * 100).found is not None
    fallen = [50.0 - max(0, h - 20) for h in range(60)]
    assert watched([*fallen, 110.0, *[11.0] * 50, *[110.0] * 30, *[11.0] * 50]).found is not None


def test_a_float_in_water_does_not_lower_the_beer_that_it_goes_back_into() -> None:
    watch = NextBatchWatch(1.0)
    for hour, points in enumerate([27.0] * 5 + [0.0] * 40 + [27.0] * 40, start=1):
        watch.hour(hour * HOUR_US, points)
    assert watch.found is None


def test_a_lone_odd_hour_does_not_make_the_count_begin_anew() -> None:
    assert watched([50.0] * 6 + [20.0] + [50.0] * 6).found is not None
    assert watched([50.0] * 6 + [20.0] * 2 + [50.0] * 6).found is None


@pytest.mark.parametrize("first", [[46.0, 74.0], [74.0, 46.0], [110.0, 74.0]])
def test_a_wild_hour_at_the_very_start_is_no_low(first: list[float]) -> None:
    watch = NextBatchWatch(1.0)
    for hour, points in enumerate([*first, *(74.0 - 0.3 * h for h in range(200))], start=1):
        watch.hour(hour * HOUR_US, points)
    assert watch.found is None


def test_where_readings_are_hours_apart_as_many_hours_are_enough() -> None:
    hourly = ([None] * 5 + [48.0]) * 3
    assert watched(hourly).found is None
    assert watched(hourly, interval_h=6.0).found is not None


def test_what_was_noted_as_added_explains_as_much_before_and_after() -> None:
    watch = watched([])
    watch.added(30.0)
    for hour in range(5, 40):
        watch.hour(hour * HOUR_US, 41.0)
    assert watch.found is None
    later = watched([41.0] * 12)
    later.added(5.0)
    assert later.found is not None
    later.added(25.0)
    assert later.found is None


def test_another_float_may_read_higher() -> None:
    watch = watched([])
    watch.another_sensor()
    for hour in range(5, 40):
        watch.hour(hour * HOUR_US, 33.0)
    assert watch.found is None


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "two batches in one log"])
def test_the_split_is_never_offered_on_one_batch_of_any_kind(kind: str) -> None:
    for seed, family in enumerate(FAMILIES, start=11):
        invented = invent(kind, seed, family=family)
        judged = judge(invented.batch, VesselReadings.of(invented.readings))
        assert judged.now.split is None
        assert not [change for change in judged.history if change.seen.split is not None]


def one_log(first: Invented, second: Invented, gap_h: int) -> tuple[int, list[Reading]]:
    """When [µs] the second went into the vessel of the first, and the readings of both."""
    ends_us = max(r.at_us for r in first.readings)
    begins_us = (ends_us // HOUR_US + 1 + gap_h) * HOUR_US
    later = shifted(second, begins_us - second.batch.pitched_us)
    vessel = first.batch.vessel
    as_one = [Reading(vessel, vessel, r.at_us, r.gravity, r.temperature_c) for r in later.readings]
    return begins_us, first.readings + as_one


@pytest.mark.no_cover
@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize(("seed", "gap_h", "then"), [(1, 48, "plain ale"), (2, 0, "fast ale"), (3, 0, "cold lager")])
def test_two_invented_batches_in_one_log_are_told_within_a_day_and_no_ready_stands_after(
    family: Family, seed: int, gap_h: int, then: str
) -> None:
    first = invent("plain ale", seed, family=family)
    begins_us, readings = one_log(first, invent(then, seed + 100, family=family), gap_h)
    soon = judge(first.batch, VesselReadings.of(readings), as_of_us=begins_us + 14 * HOUR_US)
    assert soon.verdict == "unclear"
    assert soon.now.split is not None
    assert abs(soon.now.split.began_us - begins_us) <= HOUR_US
    whole = judge(first.batch, VesselReadings.of(readings))
    assert whole.verdict == "unclear"
    assert not [c for c in whole.history if c.verdict == "ready" and c.at_us > begins_us]


def two_ales(bench: Bench) -> Points:
    ale: Points = bench.ale()
    return lambda h: np.where(h < DONE_H, ale(h), ale(np.maximum(h - DONE_H, 0.0)) + 4.0)


def judged_two(bench: Bench, days: float = 26.0, **batch: object) -> Judged:
    judged: Judged = bench.judge(bench.readings(two_ales(bench), days), **batch)
    return judged


def test_ready_falls_at_once_and_what_stands_is_unclear_with_the_commands_that_take_the_two_apart(bench: Bench) -> None:
    judged = judged_two(bench)
    assert bench.story(judged)[3] == "ready"
    soon = bench.judge(bench.readings(two_ales(bench), 26), until_h=DONE_H + 6.0)
    assert soon.now.split is None
    assert soon.now.gravity == pytest.approx(54.0, abs=1.5)  # no offset of the float's is made of it
    taken_back = judged.history[4]
    assert bench.at(DONE_H) < taken_back.at_us <= bench.at(DONE_H + 4)
    assert bench.story(judged)[-1] == "unclear"
    assert bench.hours(judged, "unclear") == [DONE_H + 12.0]
    assert not judged.now.passed["believable"]
    says = reason("unclear", judged.now)
    for part in ("Another batch seems to have begun", "1.011", "1.05", "2026-03-14T21:00:00Z", "unless you do it"):
        assert part in says
    assert "once that one is entered, or once an addition is noted" in changes_when("unclear", judged.now)
    next_step = advice("unclear", judged.now, Units())
    assert [line for line in next_step.splitlines() if "lullwort" in line] == [
        "  lullwort batch close batch:north-12 --packaged 2026-03-14T21:00:00Z",
        "  lullwort batch open north --pitched 2026-03-14T21:00:00Z --reported corrected",
        "  lullwort note batch:north-12 addition --at 2026-03-14T21:00:00Z --points POINTS",
    ]
    assert "°P" in reason("unclear", judged.now, Units(gravity="plato"))


def test_what_holds_of_the_sensor_goes_into_the_command_for_the_next_batch(bench: Bench) -> None:
    judged = judged_two(bench, gravity_reported="uncorrected", steady_temperature_c=19.5, reading_interval_h=2.0)
    assert judged.now.split is not None
    assert judged.now.split.commands[1].endswith("Z --steady-temperature 19.5C --reading-interval 2")


def test_it_stands_until_the_brewer_closes_enters_or_explains(bench: Bench) -> None:
    readings = VesselReadings.of(bench.readings(two_ales(bench), 26))
    closed = judge(bench.batch(packaged_us=bench.at(DONE_H)), readings, as_of_us=bench.at(600))
    assert (closed.verdict, closed.now.split) == ("packaged", None)
    pitched_us = bench.at(DONE_H + 20)  # the wort stood for the night
    entered = judge(bench.batch(), readings, until_us=pitched_us)
    assert entered.now.split is None
    far = judge(bench.batch(), readings, until_us=bench.at(DONE_H + 200))  # the one between is still not entered
    assert far.now.split is not None
    explained = judge(bench.batch(events=(bench.event(DONE_H, "addition", points=43.0),)), readings)
    assert explained.now.split is None
    not_explained = judge(bench.batch(events=(bench.event(DONE_H, "addition", points=8.0),)), readings)
    assert not_explained.now.split is not None


def test_each_of_the_two_is_judged_by_itself_once_they_are_apart(bench: Bench) -> None:
    readings = VesselReadings.of(bench.readings(two_ales(bench), 26))
    split = judge(bench.batch(), readings).now.split
    assert split is not None
    first = judge(bench.batch(packaged_us=split.last_us), readings, as_of_us=split.last_us + HOUR_US)
    assert bench.story(first)[-2:] == ["ready", "packaged"]
    second = judge(
        bench.batch(
            pitched_us=split.began_us, name="north-13", original_gravity=1.054, expected_final_gravity=(1.015, 1.015)
        ),
        readings,
    )
    assert bench.story(second) == ["lag", "fermenting", "holding", "ready"]
    assert second.now.split is None
