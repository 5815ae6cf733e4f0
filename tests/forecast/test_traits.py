"""Traits of invented batches against their truth, and what cannot be known yet."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import msgspec
import numpy as np
import pytest

from lullwort.analysis import hourly_course
from lullwort.detector import judge
from lullwort.forecast import Traits, traits
from lullwort.records import HOUR_US, Batch, Event, VesselReadings
from lullwort.rehearsal import Family, Invented, invent

Bench = Any  # the fixture's class lives in conftest.py

NAMES = ("lag_h", "steepest", "gone_h", "tail_h", "end")


def true_traits(of: Invented, ready_h: float, begun_fall: float) -> dict[str, float]:
    """What somebody who sees the truth says, at rest once it was `ready`."""
    points, hours = 1000.0 * (of.truth.gravity - 1.0), of.truth.hours
    rest = float(points[int(ready_h)])

    def reached(level: float) -> float:
        return float(np.interp(-level, -points[: int(ready_h)], hours[: int(ready_h)]))

    gone_h = reached(points[0] - 0.75 * (points[0] - rest))
    return {
        "lag_h": reached(points[0] - begun_fall),
        "steepest": float((points[:-24] - points[24:]).max()),
        "gone_h": gone_h,
        "tail_h": reached(rest + 1.0) - gone_h,
        "end": rest,
    }


@pytest.mark.no_cover
@pytest.mark.parametrize("family", ["tail", "uptake", "vigour"])
def test_traits_lie_near_the_truth_in_every_family(bench: Bench, family: Family) -> None:
    # A snapshot: on ten times as many the medians are those of DEVELOPERS.md.
    off: dict[str, list[float]] = {name: [] for name in NAMES}
    for kind in ("plain ale", "slow tail", "outliers and garbage", "cold lager", "noisy sensor"):
        for seed in (11, 12):
            of = invent(kind, seed, family=family)
            seen = bench.traits(of)
            original = 1000.0 * ((of.batch.original_gravity or 0.0) - 1.0)
            truth = true_traits(of, seen.ready_h.value, max(3.0, 0.1 * original))
            for name in NAMES:
                off[name].append(abs(getattr(seen, name).value - truth[name]))
    median, most = ({name: float(of(off[name])) for name in NAMES} for of in (np.median, np.max))
    assert max(median["lag_h"], median["gone_h"]) < 4.5
    assert max(most["lag_h"], most["gone_h"]) < 16.0
    assert (median["steepest"], most["steepest"]) < (1.5, 5.0)
    assert (median["tail_h"], most["tail_h"]) < (18.0, 60.0)
    assert (median["end"], most["end"]) < (1.8, 6.0)


def test_while_it_runs_only_what_has_come_is_known(bench: Bench) -> None:
    ale = invent("plain ale", 6)
    over = bench.traits(ale)
    lag_h, gone_h = over.lag_h.value, over.gone_h.value
    still = bench.traits(ale, 0.5 * lag_h)
    assert still[:7] == (None,) * 7
    assert still.temperature_c == pytest.approx(over.temperature_c, abs=1.0)
    assert still.not_ready_h == pytest.approx(0.5 * lag_h, abs=0.01)
    assert [still.no_lag_end_h, still.not_gone_h] == pytest.approx([0.5 * lag_h] * 2, abs=1.0)
    begun = bench.traits(ale, lag_h + 12.0)
    assert begun.lag_h.value == pytest.approx(lag_h, abs=1.0)
    assert (begun.gone_h, begun.steepest, begun.end, begun.no_lag_end_h) == (None, None, None, None)
    assert begun.not_gone_h == pytest.approx(lag_h + 12.0, abs=2.0)
    late = bench.traits(ale, gone_h + 30.0)
    # by the expected end, which is not where it ended
    assert abs(late.gone_h.value - gone_h) < 3.0 * late.gone_h.sd
    assert late.gone_h.sd > over.gone_h.sd
    assert late.steepest.value == pytest.approx(over.steepest.value, abs=0.5)
    assert (late.tail_h, late.end, late.ready_h, late.not_gone_h) == (None, None, None, None)
    assert (over.no_lag_end_h, over.not_gone_h, over.not_ready_h) == (None, None, None)


def test_a_stuck_beer_is_seen_not_to_have_come_as_far(bench: Bench) -> None:
    # below where it would have three quarters behind it by what is expected of it
    of = invent("stuck warm", 3)
    high = 1000.0 * (of.truth.gravity[-1] - 1.0) - 15.0
    expected = (1.0 + (high - 1.0) / 1000.0, 1.0 + (high + 1.0) / 1000.0)
    stuck = bench.traits(replace(of, batch=msgspec.structs.replace(of.batch, expected_final_gravity=expected)))
    assert stuck.gone_h is None
    assert stuck.not_gone_h == pytest.approx(stuck.not_ready_h, abs=2.0)
    assert stuck.not_gone_h > 300.0
    assert stuck.lag_h is not None
    # where it stands about there nothing is claimed, neither that it has come nor that it has not
    doubtful = bench.traits(of)
    assert (doubtful.gone_h, doubtful.not_gone_h) == (None, None)


def packaged(of: Invented, at_h: float, *events: Event, **more: Any) -> Batch:
    packaged_us = of.batch.pitched_us + round(at_h * HOUR_US)
    return msgspec.structs.replace(of.batch, packaged_us=packaged_us, events=events, **more)


def traits_of(batch: Batch, of: Invented) -> Any:
    readings = VesselReadings.of(of.readings).within(batch.pitched_us, batch.packaged_us)
    judged = judge(batch, readings, as_of_us=None if batch.packaged_us is None else batch.packaged_us + HOUR_US)
    return traits(judged, list(hourly_course(batch, readings, judged.as_of_us)))


def test_the_end_is_known_of_what_was_packaged_at_rest_and_of_nothing_else(bench: Bench) -> None:
    ale = invent("plain ale", 6)
    over = bench.traits(ale)
    ready = traits_of(packaged(ale, over.ready_h.value + 24.0), ale)
    assert ready.ready_h == over.ready_h
    assert ready.end.value == pytest.approx(over.end.value, abs=0.3)
    while_falling = traits_of(packaged(ale, over.gone_h.value + 2.0), ale)
    assert (while_falling.end, while_falling.tail_h, while_falling.ready_h) == (None, None, None)
    assert while_falling.gone_h is None or while_falling.gone_h.sd > over.gone_h.sd
    holding = traits_of(packaged(ale, over.ready_h.value - 12.0), ale)
    assert holding.ready_h is None
    assert holding.end.value == pytest.approx(over.end.value, abs=1.0)


def test_a_hand_sample_tells_the_end_and_without_an_original_gravity_it_is_less_sure(bench: Bench) -> None:
    ale = invent("offset and scale", 4)
    over = bench.traits(ale)
    truth = 1000.0 * (ale.truth.gravity[-1] - 1.0)
    assert over.end.value == pytest.approx(truth, abs=3.0 * over.end.sd)
    at_us = ale.batch.pitched_us + round((over.ready_h.value - 6.0) * HOUR_US)
    sample = Event(at_us=at_us, kind="sample", gravity=round(1.0 + truth / 1000.0, 4))
    sampled = traits_of(msgspec.structs.replace(ale.batch, events=(sample,)), ale)
    assert sampled.end.value == pytest.approx(truth, abs=0.7)
    assert sampled.end.sd < over.end.sd
    plain = invent("plain ale", 6)
    over = bench.traits(plain)
    unmeasured = traits_of(msgspec.structs.replace(plain.batch, original_gravity=None), plain)
    assert unmeasured.end.sd > over.end.sd
    assert unmeasured.gone_h.value == pytest.approx(over.gone_h.value, abs=1.5)


def test_sugar_put_in_late_makes_three_quarters_late(bench: Bench) -> None:
    fed = invent("sugar or fruit added", 5)
    added = sum(event.points or 0.0 for event in fed.batch.events)
    known, unknown = bench.traits(fed), traits_of(msgspec.structs.replace(fed.batch, events=()), fed)
    assert added > 3.0
    assert known.gone_h.value > unknown.gone_h.value + 1.0
    assert known.end.value == pytest.approx(1000.0 * (fed.truth.gravity[-1] - 1.0), abs=3.0)


def test_a_log_that_begins_late_has_no_lag_but_its_original_gravity_tells_the_rest(bench: Bench) -> None:
    ale = invent("plain ale", 6)
    over = bench.traits(ale)
    from_us = ale.batch.pitched_us + round((over.lag_h.value + 8.0) * HOUR_US)
    readings = VesselReadings.of([r for r in ale.readings if r.at_us >= from_us])
    judged = judge(ale.batch, readings)
    late = traits(judged, list(hourly_course(ale.batch, readings, judged.as_of_us)))
    assert late.lag_h is None
    assert late.no_lag_end_h is None
    assert late.gone_h is not None
    assert abs(late.gone_h.value - over.gone_h.value) < 2.0 * late.gone_h.sd


def test_a_silence_over_the_steepest_day_hides_it(bench: Bench) -> None:
    ale = invent("plain ale", 6)
    over = bench.traits(ale)
    middle_us = ale.batch.pitched_us + round(over.steepest_at_h * HOUR_US)
    readings = VesselReadings.of([r for r in ale.readings if abs(r.at_us - middle_us) > 8 * HOUR_US])
    judged = judge(ale.batch, readings)
    assert traits(judged, list(hourly_course(ale.batch, readings, judged.as_of_us))).steepest is None


def test_of_a_batch_without_readings_nothing_is_known() -> None:
    batch = Batch(vessel="north", name="north-1", pitched_us=0)
    judged = judge(batch, VesselReadings.of(()), as_of_us=30 * HOUR_US)
    assert traits(judged, []) == Traits(not_ready_h=30.0)
