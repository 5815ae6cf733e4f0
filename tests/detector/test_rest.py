from __future__ import annotations

import pytest

from lullwort.detector import judge
from lullwort.detector.rest import RestWatch
from lullwort.detector.snapshot import AtRest, Verdict
from lullwort.records import HOUR_US, VesselReadings
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


DAY_H = 24


def course(*spans: tuple[int, Verdict, float | None, bool], begins_h: int = 1) -> AtRest | None:
    """Hours, verdict, level at the end of the span (it falls evenly to that) and whether the log tells them."""
    watch, hour, level = RestWatch(pitched_us=0), begins_h, 50.0
    for hours, verdict, ends, told in spans:
        fall = 0.0 if ends is None else (level - ends) / hours
        for _ in range(hours):
            level -= fall
            watch.hour(hour * HOUR_US, verdict, 18.0, lambda: 12.0, level=level, told=told)
            hour += 1
    return watch.at_rest


def test_a_log_from_the_pitch_on_tells_of_the_whole_rest() -> None:
    rest = course((DAY_H, "lag", None, True), (96, "fermenting", 12.0, True), (48, "ready", None, True))
    assert rest is not None
    assert (rest.from_fall, rest.told_since_us) == (True, None)


def test_a_log_that_began_in_the_fall_does_so_too() -> None:
    rest = course((48, "fermenting", 12.0, True), (48, "ready", None, True), begins_h=100)
    assert rest is not None
    assert rest.from_fall


def test_one_that_began_later_does_not_though_its_first_hours_are_called_fermenting() -> None:
    # A slope is not known to be flat at once, and a float that settles in sinks by a point or two.
    rest = course((12, "fermenting", 48.5, True), (48, "ready", None, True), begins_h=168)
    assert rest is not None
    assert (rest.from_fall, rest.told_since_us) == (False, 168 * HOUR_US)


@pytest.mark.parametrize("gap", ["fermenting", "ready"])
def test_a_gap_leaves_open_how_warm_it_was(gap: Verdict) -> None:
    rest = course(
        (96, "fermenting", 12.0, True), (DAY_H, gap, None, False), (48, "ready", None, True)
    )  # fmt: skip
    assert rest is not None
    assert (rest.from_fall, rest.told_since_us) == (False, (97 + DAY_H) * HOUR_US)
    not_yet = course((96, "fermenting", 12.0, True), (48, "ready", None, True), (DAY_H, gap, None, False))
    assert not_yet is None or (not_yet.from_fall, not_yet.told_since_us) == (False, None)


def test_a_log_with_a_hole_of_some_hours_still_tells_of_the_whole_rest() -> None:
    invented = invent("plain ale", 8100)
    ended_us = judge(invented.batch, VesselReadings.of(invented.readings)).now.at_rest.since_us  # type: ignore[union-attr]
    for hole_h, whole in ((8, True), (20, False)):
        kept = [r for r in invented.readings if not 10 <= (r.at_us - ended_us) / HOUR_US < 10 + hole_h]
        rest = judge(invented.batch, VesselReadings.of(kept)).now.at_rest
        assert rest is not None
        assert rest.from_fall == whole


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
