"""All that one page says of a batch, as numbers; `sheet` makes words of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lullwort.analysis import CourseHour, HandReading, MeasuredOriginal, hand_readings, measured_original
from lullwort.detector import Change, Judged, NotedSince, Snapshot, Verdict, noted_since
from lullwort.forecast import Forecast, traits
from lullwort.packaging_day.bythen import batch_by_then
from lullwort.packaging_day.danger import Danger, danger_of
from lullwort.packaging_day.doubted import figures_doubted, gravity_doubted
from lullwort.packaging_day.doubts import Doubts, doubts_of
from lullwort.packaging_day.moved import Moved, moved_of
from lullwort.packaging_day.present import original_gravity
from lullwort.packaging_day.sheetsealing import Closed, closed_of
from lullwort.packaging_day.uncertain import Estimate
from lullwort.records import Batch, Event

__all__ = ["SheetFacts", "TempAt", "ToldThen", "sheet_facts"]


class TempAt(NamedTuple):
    """A temperature [°C] of the hour that ended at `at_us` [µs]."""

    temp_c: float
    at_us: int


class ToldThen(NamedTuple):
    """What the brewer was told at `at_us` [µs] of `verdict`, which stood since `verdict_us` [µs]."""

    at_us: int
    verdict: str
    verdict_us: int


class SheetFacts(NamedTuple):
    """One batch as of `as_of_us` [µs]; None, and nothing in a tuple, where something is not known. Of a packaged one
    that is when the last of it was noted: it is judged for good.

    Attributes:
        batch:    without what was done later than that.
        verdict, verdict_us: that stands, and since when.
        seen:     on what it rests; of a packaged batch what was known when it was packaged.
        before:   how a packaged batch stood until then.
        proved:   the `ready` that stands, or stood when it was packaged.
        rest_us:  [µs] when its activity ended.
        gravity:  [points] of the beer, of a chilled one what it was before the cold.
        doubts:   by what the sensor may be wrong to one side, and since when.
        figures:  of strength, by the names of `figures_of`.
        fermented_c: [°C] median until three quarters of the fall were gone.
        danger:   of what is filled or primed.
        readings: what each sample says.
        told:     in order of time.
        noted:    what was done since, of which the verdict does not know yet.
        no_longer: the batch by all that is known now, where that does not prove any more what was proved then.
    """

    batch: Batch
    as_of_us: int
    verdict: Verdict
    verdict_us: int | None
    seen: Snapshot
    before: Change | None
    proved: Change | None
    forecast: Forecast | None
    rest_us: int | None
    entered_original: MeasuredOriginal | None
    original: Estimate | None
    gravity: Estimate | None
    doubts: Doubts
    figures: dict[str, Estimate]
    coldest: TempAt | None
    warmest: TempAt | None
    fermented_c: float | None
    closed: Closed
    danger: Danger
    moved: Moved | None
    readings: dict[Event, HandReading | None]
    told: tuple[ToldThen, ...]
    noted: NotedSince
    no_longer: Judged | None = None

    @property
    def packaged(self) -> bool:
        """Whether it had been packaged by then."""
        return self.verdict == "packaged"


def sheet_facts(
    judged: Judged, course: Sequence[CourseHour], told: Sequence[ToldThen] = (), forecast: Forecast | None = None,
    no_longer: Judged | None = None, *, noted_by_us: int | None = None,
) -> SheetFacts:  # fmt: skip
    """What is known of a batch as judged.

    Args:    course: its hours up to the same instant, see `hourly_course`.
             no_longer: by all that is known now, where it was proved then and is not any more.
             noted_by_us: [µs] when the last note that counts may have been made; by default that instant, too.
    """
    noted_by_us = judged.as_of_us if noted_by_us is None else max(noted_by_us, judged.as_of_us)
    batch = batch_by_then(judged.batch, judged.as_of_us, noted_by_us)
    last = judged.history[-1] if judged.history else None
    then = judged.before_packaging
    seen, stands = then.now, then.history[-1] if then.history else None
    readings = dict(hand_readings(batch))
    doubts = doubts_of(seen, course, batch, readings, then.ready_us)
    closed = closed_of(batch, judged, proved=judged.proved and no_longer is None)
    temps = [TempAt(hour.temperature_c, hour.end_us) for hour in course if hour.temperature_c is not None]
    return SheetFacts(
        batch=batch,
        as_of_us=max([judged.as_of_us, *(event.at_us for event in batch.events)])
        if judged.verdict == "packaged"
        else judged.as_of_us,
        verdict=judged.verdict,
        verdict_us=None if last is None else last.at_us,
        seen=seen,
        before=stands if judged.verdict == "packaged" else None,
        proved=stands if judged.proved else None,
        forecast=forecast,
        rest_us=None if seen.at_rest is None else seen.at_rest.since_us,
        entered_original=measured_original(batch),
        original=original_gravity(seen),
        gravity=_gravity(seen, doubts),
        doubts=doubts,
        figures=figures_doubted(seen, doubts),
        coldest=min(temps, default=None),
        warmest=max(temps, key=lambda temp: temp.temp_c, default=None),
        fermented_c=traits(judged, course).temperature_c,
        closed=closed,
        danger=danger_of(batch, judged, closed, proved=judged.proved and no_longer is None),
        moved=moved_of(batch),
        readings=readings,
        told=tuple(told),
        noted=noted_since(judged, noted_by_us),
        no_longer=no_longer,
    )


def _gravity(seen: Snapshot, doubts: Doubts) -> Estimate | None:
    return None if seen.split is not None else gravity_doubted(seen, seen.warm_gravity, doubts)
