"""What a sealed bottle would come to is said truly, or not in numbers at all. All beers here are invented."""

from __future__ import annotations

import json

import msgspec
import pytest

from lullwort.cli.document import document
from lullwort.cli.judging import Entry
from lullwort.cli.sealednow import sealed_now
from lullwort.detector import Judged, Units, judge
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal import invent


def judged(kind: str, hour: float | None = None) -> Judged:
    of = invent(kind, 1)
    as_of = None if hour is None else of.batch.pitched_us + round(hour * HOUR_US)
    return judge(of.batch, VesselReadings.of(of.readings), as_of_us=as_of)


@pytest.fixture(scope="module")
def stuck() -> Judged:
    return judged("stuck warm")


def test_a_stalled_beer_s_bottles_would_burst(stuck: Judged) -> None:
    assert stuck.verdict == "stalled"
    says = sealed_now(stuck, Units())
    assert says.startswith("Sealed now it may wake in the bottle: up to 14.7 points, 8.0 volumes of CO2 and 8.2 bar")
    assert says.endswith("bottles would burst.")
    assert "up to 3.69 °P" in sealed_now(stuck, Units(gravity="plato"))
    assert "at 68.0 °F" in sealed_now(stuck, Units(temperature="F"))


def test_its_document_carries_what_may_wake(stuck: Judged) -> None:
    entry = Entry(vessel="north", batch=stuck.batch, judged=stuck, newest_us=stuck.as_of_us, set_aside=0)
    (vessel,) = json.loads(document([entry]))["vessels"]
    truly_left = invent("stuck warm", 1).truth.points_left[-1]
    assert vessel["points_left"]["value"] == pytest.approx(truly_left, abs=2.0)
    assert vessel["points_left"]["upper"] > truly_left


def test_a_little_above_its_end_bottles_may_burst(stuck: Judged) -> None:
    assert stuck.now.expected is not None
    level = stuck.now.offset + stuck.now.expected.low
    little = msgspec.structs.replace(stuck.now, level=level, must_reach=stuck.now.expected.low - 0.1)
    assert sealed_now(stuck._replace(now=little), Units()).endswith("bottles may burst.")


def test_the_main_fall_is_told_without_numbers() -> None:
    falling = judged("plain ale", 40.0)
    assert falling.verdict == "fermenting"
    assert sealed_now(falling, Units()) == "Sealed now: far more than any bottle holds."


def test_neither_is_what_the_sums_do_not_cover(stuck: Judged) -> None:
    unknown = msgspec.structs.replace(stuck.now, expected=None, must_reach=None)
    assert sealed_now(stuck._replace(now=unknown), Units()) == "Sealed now: far more than any bottle holds."


def test_a_beer_at_its_end_has_its_numbers() -> None:
    done = judged("plain ale")
    assert done.verdict == "ready"
    assert "would still ferment, at most" in sealed_now(done, Units())
