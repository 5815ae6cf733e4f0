"""What a batch teaches of its sensor's answer to temperature, and what several batches come to."""

from __future__ import annotations

from random import Random

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.analysis import answer_of, answers_in
from lullwort.records import AnswerInBatch, Batch, Reading, SensorTraits, TemperatureAnswer, VesselReadings
from lullwort.rehearsal import Family, Invented, invent
from lullwort.rehearsal.invented import drawn


def lesson(of: Invented, batch: Batch | None = None, readings: list[Reading] | None = None) -> AnswerInBatch | None:
    (only,) = answers_in(batch or of.batch, VesselReadings.of(readings or of.readings), of.newest_us)
    assert (only.answer is None) == (only.why_not is not None)
    return only.answer


def found(per_k: float, sd: float, **other: object) -> AnswerInBatch:
    made = AnswerInBatch(batch="a", points_per_k=per_k, sd=sd, low_c=4.0, high_c=20.0, hours=100)
    return msgspec.structs.replace(made, **other)


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["cold crash after the end", "day and night"])
@pytest.mark.parametrize("family", ["tail", "uptake"])
@pytest.mark.parametrize("seed", [1, 2, 4])
def test_what_was_invented_is_found_again(kind: str, family: Family, seed: int) -> None:
    true = drawn(kind, seed, family)[0].sensor.points_per_c
    answer = lesson(invent(kind, seed, family=family))
    assert answer is not None
    assert abs(answer.points_per_k - true) < 3.0 * answer.sd
    assert answer.sd < 0.15
    assert answer.low_c < answer.high_c


def test_temperature_that_stands_teaches_nothing_and_that_is_said() -> None:
    of = invent("plain ale", 3)
    steady = [msgspec.structs.replace(r, temperature_c=20.0) for r in of.readings]
    (only,) = answers_in(of.batch, VesselReadings.of(steady), of.newest_us)
    assert (only.sensor, only.answer, only.why_not) == (of.readings[0].sensor, None, "steady")


def test_while_the_main_fall_runs_nothing_is_learned() -> None:
    of = invent("day and night", 1)
    falling = [r for r in of.readings if of.hour_of(r.at_us) < 72.0]
    (only,) = answers_in(of.batch, VesselReadings.of(falling), falling[-1].at_us)
    assert only.answer is None


def test_a_beer_that_falls_meanwhile_teaches_nothing_and_that_is_said() -> None:
    of = invent("day and night", 4)
    falling = [
        msgspec.structs.replace(r, gravity=r.gravity - 0.00002 * max(0.0, of.hour_of(r.at_us) - 150.0))
        for r in of.readings
        if r.gravity is not None
    ]
    (only,) = answers_in(of.batch, VesselReadings.of(falling), of.newest_us)
    assert only.why_not == "moving"


def test_the_order_in_which_readings_came_changes_nothing() -> None:
    of = invent("cold crash after the end", 5)
    mixed = list(of.readings)
    Random(1).shuffle(mixed)
    assert lesson(of, readings=mixed) == lesson(of)


def test_what_is_taken_off_already_is_learned_again_and_not_as_nothing() -> None:
    of = invent("cold crash after the end", 1)
    kept = TemperatureAnswer(points_per_k=0.5, sd=0.02, reference_c=20.0, hours=9, learned_us=0)
    traits = SensorTraits(name=of.readings[0].sensor, answer=kept)
    assert lesson(of, msgspec.structs.replace(of.batch, sensors=(traits,))) == lesson(of)


def test_it_is_noted_what_was_taken_off_before() -> None:
    of = invent("cold crash after the end", 1)
    answer = lesson(of, msgspec.structs.replace(of.batch, gravity_reported="corrected", sensor_expansion_per_k=5e-5))
    assert answer is not None
    assert answer.corrected
    assert answer.expansion_per_k == 5e-5


def test_an_answer_that_bends_is_taken_where_beer_ferments() -> None:
    of = invent("cold crash after the end", 6)
    true = drawn("cold crash after the end", 6, "tail")[0].sensor.points_per_c
    bent = [
        msgspec.structs.replace(r, gravity=r.gravity + 0.0012 * max(0.0, 11.0 - r.temperature_c))
        for r in of.readings
        if r.gravity is not None and r.temperature_c is not None
    ]
    answer = lesson(of, readings=bent)
    assert answer is not None
    assert answer.low_c > 9.0
    assert abs(answer.points_per_k - true) < 3.0 * answer.sd


def test_several_batches_come_to_their_weighted_mean() -> None:
    # Worked by hand: weights 2500 and 625, so (500 + 150)/3125 and 1/sqrt(3125).
    together = answer_of([found(0.20, 0.02), found(0.24, 0.04)], 20.0, 7)
    assert isinstance(together, TemperatureAnswer)
    assert together.points_per_k == pytest.approx(0.208)
    assert together.sd == pytest.approx(0.0179, abs=1e-4)
    assert (together.batches, together.hours, together.learned_us, together.reference_c) == (2, 200, 7, 20.0)


def test_no_batch_is_no_answer() -> None:
    assert answer_of([], 20.0, 0) is None


def test_batches_that_contradict_each_other_come_to_nothing() -> None:
    assert answer_of([found(0.4, 0.04), found(-0.2, 0.04)], 20.0, 0) == "disagree"


def test_what_might_be_anything_comes_to_nothing_and_what_is_small_for_certain_does() -> None:
    assert answer_of([found(0.15, 0.2)], 20.0, 0) == "vague"
    assert isinstance(answer_of([found(0.01, 0.05)], 20.0, 0), TemperatureAnswer)
    assert isinstance(answer_of([found(0.4, 0.1)], 20.0, 0), TemperatureAnswer)


def test_what_was_corrected_otherwise_counts_nothing() -> None:
    together = answer_of([found(-0.5, 0.03, corrected=True), found(0.4, 0.04)], 20.0, 0)
    assert isinstance(together, TemperatureAnswer)
    assert (together.points_per_k, together.batches, together.corrected) == (0.4, 1, False)


@given(st.lists(st.tuples(st.floats(-1.0, 1.0), st.floats(0.02, 0.3)), min_size=1, max_size=6))
def test_more_batches_that_agree_are_never_less_sure(values: list[tuple[float, float]]) -> None:
    alike = [found(0.3, sd) for _, sd in values]
    one, all_of_them = answer_of(alike[:1], 20.0, 0), answer_of(alike, 20.0, 0)
    if isinstance(one, TemperatureAnswer):
        assert isinstance(all_of_them, TemperatureAnswer)
        assert all_of_them.sd <= one.sd
    mixed = answer_of([found(per_k, sd) for per_k, sd in values], 20.0, 0)
    if isinstance(mixed, TemperatureAnswer):
        sizes = [per_k for per_k, _ in values]
        assert min(sizes) - 1e-4 <= mixed.points_per_k <= max(sizes) + 1e-4
