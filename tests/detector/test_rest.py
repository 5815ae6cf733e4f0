from __future__ import annotations

import pytest

from lullwort.detector import judge
from lullwort.detector.rest import RestWatch
from lullwort.detector.snapshot import AtRest, Verdict
from lullwort.records import VesselReadings
from lullwort.rehearsal import invent


def watched(*hours: tuple[Verdict, float | None]) -> AtRest | None:
    watch = RestWatch()
    for end_us, (verdict, temp_c) in enumerate(hours, start=1):
        watch.hour(end_us, verdict, temp_c, lambda points=12.0 - end_us: points)  # type: ignore[misc]
    return watch.at_rest


def test_the_warmest_hour_counts_since_the_fall_ended() -> None:
    rest = watched(("fermenting", 24.0), ("holding", 18.0), ("holding", 21.0), ("ready", 4.0))
    assert rest == AtRest(2, 21.0, 3, 9.0)


def test_a_new_fall_begins_anew_and_packaging_ends_it() -> None:
    assert watched(("ready", 22.0), ("moving again", 20.0)) is None
    rest = watched(("ready", 22.0), ("moving again", 20.0), ("holding", 19.0), ("packaged", 30.0))
    assert rest == AtRest(3, 19.0, 3, 9.0)


def test_an_unclear_hour_goes_on_as_the_one_before() -> None:
    assert watched(("fermenting", 20.0), ("unclear", 25.0)) is None
    assert watched(("holding", 20.0), ("unclear", 25.0)) == AtRest(1, 25.0, 2, 10.0)


def test_hours_without_a_temperature_tell_nothing() -> None:
    assert watched(("holding", None), ("holding", 20.0), ("holding", None)) == AtRest(1, 20.0, 2, 10.0)


def test_a_sealed_vessel_keeps_the_temperature_at_which_it_was_closed() -> None:
    invented = invent("sealed vessel", 8100)
    (seal,) = (event for event in invented.batch.events if event.kind == "seal")
    hour = int(invented.hour_of(seal.at_us))
    sealed = judge(
        invented.batch, VesselReadings.of(invented.readings), as_of_us=seal.at_us + 48 * 3_600_000_000
    ).now.sealed
    assert sealed is not None
    assert sealed.at_us == seal.at_us
    assert sealed.temp_c == pytest.approx(invented.truth.temperature_c[hour], abs=0.5)
