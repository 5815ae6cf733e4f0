"""The record of one batch: all that the book has of it, in one JSON document that stands on its own."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec

from lullwort.analysis import HandReading, hand_readings, hourly_course
from lullwort.cellarbook import Told
from lullwort.detector import ExpectedEnd, Judged, evidence, if_sealed, reason
from lullwort.exporting.recordshape import (
    SCHEMA_ID,
    BatchRecord,
    CheckSeen,
    CoursePoint,
    Entries,
    EventDone,
    ExpectedRange,
    InstrumentUsed,
    PackagingEntries,
    Range,
    ReadingCounts,
    ToldLine,
    VerdictChange,
)
from lullwort.packaging_day import Estimate, doubts_of, estimated, figures_doubted, gravity_doubted, original_gravity
from lullwort.records import Batch, Event, VesselReadings, format_utc

__all__ = ["batch_record", "record_text"]

_AS_NOTED = frozenset(Event.__struct_fields__)


def batch_record(judged: Judged, told: Iterable[Told], readings: VesselReadings, set_aside: int) -> BatchRecord:
    """The record of a batch as judged; gravities in SG, temperatures in °C, times in UTC.

    Args:
        told: what the brewer was told of it, in order of time.
        readings: that it owns, in any order.
        set_aside: rows that were no readings in the logs of its vessel.
    """
    batch, now = judged.batch, judged.now
    course, left = tuple(hourly_course(batch, readings, judged.as_of_us)), if_sealed(now)
    doubts = doubts_of(now, course, batch, dict(hand_readings(batch)), judged.before_packaging.ready_us)
    gravity = gravity_doubted(now, now.gravity, doubts)
    known = gravity is not None and now.split is None
    return BatchRecord(
        record=SCHEMA_ID,
        batch=batch.name,
        vessel=batch.vessel,
        as_of=format_utc(judged.as_of_us),
        entries=_entries(batch),
        events=_events(batch),
        verdict=judged.verdict,
        reason=reason(judged.verdict, now),
        history=[
            VerdictChange(
                format_utc(change.at_us),
                change.verdict,
                reason(change.verdict, change.seen),
                [CheckSeen(**msgspec.structs.asdict(check)) for check in evidence(change.seen)],
            )
            for change in judged.history
        ],
        told=[ToldLine(format_utc(t.told_us), t.verdict, format_utc(t.verdict_us), t.says) for t in told],
        original_gravity=_range_sg(original_gravity(now)),
        original_measured=now.original_measured,
        gravity=_range_sg(gravity),
        sensor_offset=round(now.reads_high / 1000.0, 6),
        sensor_scale=round(now.scale, 5),
        abv=_range(figures_doubted(now, doubts).get("abv")),
        points_left=round(left.about, 3) if known else None,
        points_left_upper=round(left.at_most, 3) if known else None,
        expected_end=None if now.expected is None else _expected(now.expected),
        readings=ReadingCounts(
            used=judged.used,
            passed_over=dict(sorted(judged.passed_over.items())),
            conflicts=judged.conflicts,
            set_aside=set_aside,
            first_at=format_utc(int(readings.at_us.min())) if len(readings) else None,
            last_at=format_utc(int(readings.at_us.max())) if len(readings) else None,
        ),
        course=[
            CoursePoint(
                format_utc(hour.end_us),
                None if hour.points is None else _sg(hour.points),
                None if hour.temperature_c is None else round(hour.temperature_c, 3),
            )
            for hour in course
        ],
        instruments=_instruments(batch),
    )


def record_text(record: BatchRecord) -> str:
    """The JSON document, for people too."""
    return msgspec.json.format(msgspec.json.encode(record), indent=2).decode() + "\n"


def _entries(batch: Batch) -> Entries:
    fields: dict[str, Any] = {name: getattr(batch, name) for name in Entries.__struct_fields__ if name[-3:] != "_at"}
    packaged_at = None if batch.packaged_us is None else format_utc(batch.packaged_us)
    fields["packaging_day"] = msgspec.convert(batch.packaging_day, PackagingEntries, from_attributes=True)
    return Entries(pitched_at=format_utc(batch.pitched_us), packaged_at=packaged_at, **fields)


def _events(batch: Batch) -> list[EventDone]:
    said = dict(hand_readings(batch))
    return [_event(event, said.get(event)) for event in batch.events]


def _event(event: Event, said: HandReading | None) -> EventDone:
    fields: dict[str, Any] = {name: getattr(event, name) for name in EventDone.__struct_fields__ if name in _AS_NOTED}
    corrected = None if said is None else _range_sg(estimated(said.points, said.sd))
    return EventDone(
        at=format_utc(event.at_us), **fields, corrected=corrected, estimate=said is not None and said.estimate
    )


def _instruments(batch: Batch) -> list[InstrumentUsed]:
    named = {event.instrument for event in batch.events}
    return [
        InstrumentUsed(
            one.name, one.kind, one.calibrated_c, one.division, one.error,
            None if one.checked_us is None else format_utc(one.checked_us), one.wort_factor,
        )
        for one in batch.instruments if one.name in named
    ]  # fmt: skip


def _sg(points: float) -> float:
    return round(1.0 + points / 1000.0, 6)


def _range_sg(points: Estimate | None) -> Range | None:
    return None if points is None else Range(*map(_sg, points))


def _range(estimate: Estimate | None) -> Range | None:
    return None if estimate is None else Range(*(round(value, 3) for value in estimate))


def _expected(expected: ExpectedEnd) -> ExpectedRange:
    return ExpectedRange(_sg(expected.low), _sg(expected.high), _sg(expected.ceiling), expected.source)
