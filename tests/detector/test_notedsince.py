"""What was noted after the last hour that was judged, and moments that have not come."""

from __future__ import annotations

import msgspec
import pytest

from lullwort.detector import Judged, Units, done_to_us, judge, noted_since
from lullwort.records import Batch, Event, VesselReadings, parse_instant
from lullwort.rehearsal import invent

UNITS = Units(zone="UTC")


def at(time: str) -> int:
    """[µs] On 2 August, when an ale has been ready for a week."""
    return parse_instant(f"2026-08-02T{time}:00Z")


@pytest.fixture(scope="module")
def ale() -> tuple[Batch, VesselReadings]:
    invented = invent("plain ale", 6)
    return invented.batch, VesselReadings.of(invented.readings)


def noted(ale: tuple[Batch, VesselReadings], kind: str, time: str, read_to: str) -> Judged:
    """Judged as the commands do it at 14:58, something noted at `time`, and a sensor that was heard up to then."""
    batch, readings = ale
    event = msgspec.convert({"at_us": at(time), "kind": kind}, Event)
    batch = msgspec.structs.replace(batch, events=(event,))
    kept = readings.within(batch.pitched_us, at(read_to))
    read_us = int(kept.at_us.max())
    return judge(batch, kept, as_of_us=done_to_us(batch, read_us, at("14:58")) or read_us)


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("kind", "then"),
    [
        ("dry hop", " Do not package on this answer."),
        ("moved", " Do not package on this answer."),
        ("crash", ""),
        ("sample", ""),
    ],
)
def test_what_was_done_after_the_last_judged_hour_is_told_with_since_when_it_counts(
    ale: tuple[Batch, VesselReadings], kind: str, then: str
) -> None:
    judged = noted(ale, kind, "14:55", "14:57")
    assert judged.verdict == "ready"
    said = noted_since(judged, at("14:58"))
    assert said.says(UNITS) == f"Noted since: {kind} at 14:55; it counts from 15:00 on.{then}"
    assert said.undoes == bool(then)
    assert "; this answer does not know of it yet." in noted_since(judged, at("15:02")).says(UNITS)
    assert noted_since(judged, at("14:54")).says(UNITS) == ""


@pytest.mark.no_cover
def test_what_the_answer_knows_of_is_not_told_again_nor_is_a_remark(ale: tuple[Batch, VesselReadings]) -> None:
    counted = noted(ale, "dry hop", "14:55", "13:57")
    assert counted.verdict != "ready"
    assert noted_since(counted, at("14:58")).says(UNITS) == ""
    assert noted_since(noted(ale, "remark", "14:55", "14:57"), at("14:58")).says(UNITS) == ""


@pytest.mark.no_cover
def test_of_a_beer_that_is_not_ready_it_is_told_more_mildly(ale: tuple[Batch, VesselReadings]) -> None:
    batch, readings = ale
    hopped = (Event(at_us=at("12:10"), kind="dry hop"), Event(at_us=at("14:55"), kind="rouse"))
    batch = msgspec.structs.replace(batch, events=hopped)
    said = noted_since(judge(batch, readings.within(batch.pitched_us, at("14:57"))), at("14:58"))
    assert said.says(UNITS) == "Noted since: rouse at 14:55; it counts from 15:00 on. The proof then begins anew."
    assert not said.undoes


@pytest.mark.no_cover
def test_nobody_is_told_a_moment_that_has_not_come(ale: tuple[Batch, VesselReadings]) -> None:
    judged = noted(ale, "dry hop", "14:55", "13:57")
    assert (judged.as_of_us, judged.since_us) == (at("15:00"), at("15:00"))
    told = judged.told_by(at("14:58"))
    assert (told.as_of_us, told.since_us) == (at("14:58"), at("14:58"))
    assert max(told.now.since_us.values()) == at("14:58")
    assert [change.verdict for change in told.history] == [change.verdict for change in judged.history]
    assert told.history[:-1] == judged.history[:-1]
    assert judged.told_by(at("15:00")) == judged
