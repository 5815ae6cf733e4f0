"""The judge shown the hours to come: it says what it would say if they came, and is left as it was."""

from __future__ import annotations

import msgspec
import pytest

from lullwort.detector import BatchJudge
from lullwort.forecast.ahead import hours_to_ready
from lullwort.records import HOUR_US, Batch, Event, Reading, VesselReadings, parse_instant

PITCHED_US = parse_instant("2026-03-02T09:00:00Z")
FELL_TO, FALLEN_H = 11.0, 80


def at(hour: float) -> int:
    return PITCHED_US + round(hour * HOUR_US)


def level(hour: float) -> float:
    """[points] A wort of 50 that falls evenly to 11, and stands."""
    return max(FELL_TO, 50.0 - 39.0 * max(0.0, hour - 20.0) / (FALLEN_H - 20.0))


def judged_to(hours: int, *events: Event) -> BatchJudge:
    batch = Batch(
        vessel="north", name="north-1", pitched_us=PITCHED_US, original_gravity=1.050, yeast_min_c=14.0,
        expected_final_gravity=(1.010, 1.012), gravity_reported="corrected", events=events,
    )  # fmt: skip
    judge = BatchJudge(batch)
    # a float's tenth of a point, the same each time
    values = [(h + 0.5, level(h + 0.5) + 0.1 * ((h * 7919) % 5 - 2)) for h in range(hours)]
    judge.add(VesselReadings.of([Reading("s", "north", at(h), 1.0 + v / 1000.0, 20.0) for h, v in values]))
    judge.advance(at(hours))
    return judge


def flat(_: float) -> float:
    return FELL_TO


def test_it_comes_when_the_log_goes_on_like_that() -> None:
    foreseen = hours_to_ready(judged_to(110), flat)
    ready_us = next(c.at_us for c in judged_to(260).history if c.verdict == "ready")
    assert foreseen is not None
    assert 110 + foreseen == pytest.approx((ready_us - PITCHED_US) / HOUR_US, abs=12)


def test_the_judge_is_left_as_it_was() -> None:
    asked, other = judged_to(110), judged_to(110)
    hours_to_ready(asked, flat)
    assert asked.snapshot(asked.closed_to_us) == other.snapshot(other.closed_to_us)
    assert asked.history == other.history
    assert asked.watch.trend == other.watch.trend


def test_what_is_noted_for_later_is_not_known() -> None:
    hop = Event(at_us=at(112), kind="dry hop")
    assert hours_to_ready(judged_to(110, hop), flat) == hours_to_ready(judged_to(110), flat)
    known = hours_to_ready(judged_to(110, replace_at(hop, 109)), flat)
    assert known is not None
    assert known > 80  # the longer watch after a dry hop


def replace_at(event: Event, hour: int) -> Event:
    return msgspec.structs.replace(event, at_us=at(hour))


def test_a_beer_that_will_stand_too_high_is_never_ready() -> None:
    assert hours_to_ready(judged_to(70), lambda _: 25.0) is None


def test_a_slow_fall_takes_longer() -> None:
    judge = judged_to(100)
    age_h, now = judge.watch.yeast_age_h, judge.watch.level

    def falling(at_yeast_h: float) -> float:
        return max(FELL_TO - 3.0, now - 0.02 * (at_yeast_h - age_h))

    slow, still = hours_to_ready(judge, falling), hours_to_ready(judge, flat)
    assert slow is not None
    assert still is not None
    assert slow > still + 24
