"""What a sealed bottle would come to is said truly, or not in numbers at all. All beers here are invented."""

from __future__ import annotations

import json
import math

import msgspec
import pytest

from lullwort.cli.document import document
from lullwort.detector import Judged, Units, advice, judge
from lullwort.detector.snapshot import Sealed
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal import invent
from lullwort.standing import Entry, sealed_now


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
    assert says.startswith("Sealed now it may wake in the bottle: up to 14.7 points, 8.7 volumes of CO2 and 9.8 bar")
    assert says.endswith("ordinary brown bottles would burst.")
    falls = msgspec.structs.replace(stuck.history[-1], verdict="fermenting")
    assert "Sealed now it would ferment on in the bottle: up to" in sealed_now(stuck._replace(history=[falls]), Units())
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
    level = stuck.now.offset + stuck.now.expected.low - 1.0
    little = msgspec.structs.replace(stuck.now, level=level, must_reach=stuck.now.expected.low - 1.1)
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


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_fermented_in_a_sealed_vessel_is_in_the_beer(seed: int) -> None:
    of = invent("sealed vessel", seed)
    hour = (of.batch.events[0].at_us - of.batch.pitched_us) / HOUR_US
    before = judge(of.batch, VesselReadings.of(of.readings), as_of_us=of.batch.events[0].at_us).now
    now = judge(of.batch, VesselReadings.of(of.readings)).now
    assert before.fallen_sealed is None
    assert now.fallen_sealed is not None
    about, at_most = now.fallen_sealed
    truly = 1000.0 * (of.truth.gravity[int(hour)] - of.truth.gravity[-1])
    assert about == pytest.approx(truly, abs=1.5)
    assert truly <= at_most <= truly + 3.5


def test_a_sealed_vessel_is_not_primed_on_top_of_what_it_holds() -> None:
    done = judged("plain ale")
    assert done.now.gravity is not None
    sealed = Sealed(done.now.gravity + 4.0, 0.0)
    says = sealed_now(done._replace(now=msgspec.structs.replace(done.now, sealed=sealed)), Units())
    # Half a volume a point on top of the 0.85 that beer at 20 °C holds at rest; at most a ninth more, no yeast grown.
    assert (
        "About 4 points have fallen in the sealed vessel: it holds about 2.8 (at most 3.0) volumes of CO2 already"
        in says
    )
    assert "Do not prime on top of that." in says
    assert "with no sugar added, 2.8 (at most 3.2) volumes of CO2 and up to 2.8 bar at 20.0 °C" in says
    lifted = msgspec.structs.replace(done.now, sealed=Sealed(done.now.gravity + 1.0, 6.0))
    says = sealed_now(done._replace(now=lifted), Units())
    assert "About 4 points, at most 7 points since pressure lifts a reading, have fallen" in says
    assert "holds about 2.8 (at most 4.6) volumes" in says


@pytest.mark.parametrize("sealed_at", [50.0, math.inf])
def test_what_no_vessel_holds_is_left_to_its_gauge(sealed_at: float) -> None:
    done = judged("plain ale")
    says = sealed_now(done._replace(now=msgspec.structs.replace(done.now, sealed=Sealed(sealed_at, 0.0))), Units())
    assert "its gauge must tell" in says
    assert "bar" not in says


@pytest.mark.parametrize("confirmed_us", [None, 0])
def test_ready_in_a_sealed_vessel_carries_the_caution_for_pressure(confirmed_us: int | None) -> None:
    now = msgspec.structs.replace(judged("plain ale").now, sealed=Sealed(14.0, 0.0), confirmed_us=confirmed_us)
    says = advice("ready", now, Units())
    assert "draw it as its maker says, with eyes covered, and do not open it" in says
    assert "It holds carbon dioxide already: sugar on top of that can burst" in says
    assert "Before sealing" not in says
    unsealed = advice("ready", msgspec.structs.replace(now, sealed=None), Units())
    assert "do not open it" not in unsealed
    assert "carbon dioxide already" not in unsealed
    assert "do not open it" in advice("stalled", now, Units())
