"""A batch's history is a function of its readings and entries, whatever the order in which they came."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.detector import Judged, LiveJudge, judge
from lullwort.records import HOUR_US, Batch, Reading, VesselReadings
from lullwort.rehearsal import Invented, invent

pytestmark = pytest.mark.no_cover


@pytest.fixture(scope="module", params=["plain ale", "sugar or fruit added", "outliers and garbage"])
def invented(request: pytest.FixtureRequest) -> Invented:
    return invent(request.param, 7)


def same(a: Judged, b: Judged) -> bool:
    return (a.history, a.now, a.used, a.passed_over, a.conflicts) == (
        b.history, b.now, b.used, b.passed_over, b.conflicts,
    )  # fmt: skip


def at_once(batch: Batch, readings: list[Reading], *, as_of_us: int | None = None) -> Judged:
    return judge(batch, VesselReadings.of(readings), as_of_us=as_of_us)


def cut(readings: list[Reading], random: Random) -> list[list[Reading]]:
    chunks = []
    while readings:
        size = random.choice([1, 5, 200, 2000])
        chunks.append(readings[:size])
        readings = readings[size:]
    return chunks


@pytest.fixture(scope="module")
def in_order(invented: Invented) -> Judged:
    return at_once(invented.batch, invented.readings)


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32))
def test_shuffled_readings_give_the_same_history(invented: Invented, in_order: Judged, seed: int) -> None:
    shuffled = list(invented.readings)
    Random(seed).shuffle(shuffled)
    assert len(in_order.history) >= 4
    assert same(at_once(invented.batch, shuffled), in_order)


class Record:
    """What has come so far, as a book would recall it."""

    def __init__(self) -> None:
        self.readings: list[Reading] = []

    def recall(self, from_us: int, before_us: int) -> VesselReadings:
        return VesselReadings.of(self.readings).within(from_us, before_us)

    def take(self, live: LiveJudge, readings: list[Reading]) -> None:
        self.readings += readings
        live.heard(min(r.at_us for r in readings))


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32), orderly=st.booleans())
def test_live_judging_in_chunks_gives_the_same_history(
    invented: Invented, in_order: Judged, seed: int, orderly: bool
) -> None:
    random = Random(seed)
    readings = list(invented.readings)
    if not orderly:
        random.shuffle(readings)
    newest = max(r.at_us for r in readings)
    record = Record()
    live = LiveJudge(invented.batch, record.recall)
    for i, chunk in enumerate(cut(readings, random)):
        record.take(live, chunk)
        if i % 3 == 0:
            live.judged(max(r.at_us for r in chunk))
    assert same(live.judged(newest), in_order)


def test_live_judging_one_reading_at_a_time_gives_the_same_history() -> None:
    invented = invent("plain ale", 3)
    readings = invented.readings[:600]
    record = Record()
    live = LiveJudge(invented.batch, record.recall)
    for reading in readings:
        record.take(live, [reading])
        live.judged(reading.at_us)
    assert same(live.judged(readings[-1].at_us), at_once(invented.batch, readings))


def test_a_change_on_record_is_taken_up_when_told() -> None:
    invented = invent("plain ale", 3)
    record = Record()
    live = LiveJudge(invented.batch, record.recall)
    record.take(live, invented.readings)
    newest = invented.readings[-1].at_us
    live.judged(newest)
    record.readings = invented.readings[: len(invented.readings) // 2]  # as after an import was withdrawn
    live.start_over()
    assert same(live.judged(newest), at_once(invented.batch, record.readings, as_of_us=newest))


def test_a_reading_sent_twice_changes_nothing() -> None:
    invented = invent("plain ale", 3)
    assert same(at_once(invented.batch, invented.readings * 2), at_once(invented.batch, invented.readings))


def test_readings_that_contradict_each_other_are_left_out_and_counted() -> None:
    invented = invent("plain ale", 3)
    first = invented.readings[0]
    other = Reading(first.sensor, first.vessel, first.at_us, 1.111, first.temperature_c)
    judged = at_once(invented.batch, [*invented.readings, other])
    assert judged.conflicts == 1
    assert judged.history == at_once(invented.batch, invented.readings[1:]).history


def test_an_hour_uses_only_what_is_dated_before_its_end() -> None:
    invented = invent("plain ale", 3)
    whole = at_once(invented.batch, invented.readings)
    middle = whole.history[2].at_us
    early = at_once(invented.batch, invented.readings, as_of_us=middle)
    assert early.history == [change for change in whole.history if change.at_us <= middle]
    later_only_differs = [
        r if r.at_us < middle else Reading(r.sensor, r.vessel, r.at_us, 1.2, 5.0) for r in invented.readings
    ]
    assert at_once(invented.batch, later_only_differs, as_of_us=middle).history == early.history


def test_verdicts_are_dated_at_full_hours_in_rising_order() -> None:
    invented = invent("hop creep", 1)
    times = [change.at_us for change in at_once(invented.batch, invented.readings).history]
    assert times == sorted(set(times))
    assert all(at % HOUR_US == 0 for at in times)
