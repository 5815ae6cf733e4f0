"""All that the card tells of one vessel, as numbers and records; its pages make words of them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lullwort.analysis import CourseHour, CourseReadings, course_readings, hourly_course
from lullwort.card.known.asiderows import AsideRows, aside_rows
from lullwort.card.known.curvebasis import CurveBasis, curve_basis
from lullwort.card.known.sealedtoday import SealedToday, sealed_today
from lullwort.cellarbook import Book, Posted
from lullwort.detector import Judged
from lullwort.forecast import Forecast
from lullwort.packaging_day import SheetFacts, sheet_facts
from lullwort.records import Batch, VesselReadings
from lullwort.standing import Entry, foreseen_by_book, judge_book, owned_span

__all__ = ["NO_READINGS", "BatchFacts", "VesselFacts", "batch_facts", "batch_readings", "readings_one_by_one"]

NO_READINGS = CourseReadings(
    np.empty(0, np.int64), np.empty(0, np.float32), np.empty(0, np.float32), np.empty(0, np.int8)
)
"""In the place of those that nobody has asked for."""


class BatchFacts(NamedTuple):
    """One batch as of `judged.as_of_us`.

    Attributes:
        judged:   its whole history; the hours to go are those of the forecast.
        forecast: None where nothing is to be foreseen.
        course:   its hours, see `hourly_course`.
        sheet:    gravities, strength, danger, samples and what a closed bottle comes to, see `sheet_facts`.
        set_aside: rows that were no readings in the imports that its vessel is in.
        refilled: whether another batch has been pitched into its vessel since.
        sealed:   what it would come to if it were sealed today; None where there is nothing to seal.
        each:     its readings one by one, see `course_readings`.
        aside:    of the rows set aside when they were, where they tell it, and why.
        basis:    of its curve.
    """

    judged: Judged
    forecast: Forecast | None
    course: tuple[CourseHour, ...]
    sheet: SheetFacts
    set_aside: int
    refilled: bool
    sealed: SealedToday | None
    each: CourseReadings
    aside: AsideRows
    basis: CurveBasis | None = None

    @property
    def batch(self) -> Batch:
        """As entered."""
        return self.judged.batch

    @property
    def over(self) -> bool:
        """Whether it was never closed though another has been pitched into its vessel since."""
        return self.refilled and self.judged.verdict != "packaged"

    @property
    def unmeasured(self) -> bool:
        """Whether nothing has been measured of it yet, so that time alone changes what is to be done."""
        return _unmeasured(self.judged, self.refilled)


class VesselFacts(NamedTuple):
    """One vessel.

    Attributes:
        vessel:   id.
        batch:    the youngest in it; None where it has readings, but no batch.
        earlier:  the others that were in it, youngest first.
        heard_us: [µs] of the newest reading of any sensor in it; None where nothing was heard.
        alerts:   that stand of the batch or its sensors, newest first, seen or not; `alerts_part` shows them.
    """

    vessel: str
    batch: BatchFacts | None
    earlier: tuple[Batch, ...]
    heard_us: int | None
    alerts: tuple[Posted, ...]


def batch_facts(book: Book, batch: Batch, judged: Judged | None, now_us: int) -> BatchFacts:
    """What is known of a batch.

    Args:    judged: as somebody has judged it already; None: it is judged here.
             now_us: [µs] what is dated later has not been done yet.
    """
    own = book.batches.all(batch.vessel)
    if judged is None:
        (entry,) = judge_book(book, batch.vessel, None, now_us=now_us, only={batch.name})
        if entry.judged is not None and _unmeasured(entry.judged, entry.refilled):
            # Up to its pitch nothing can be said of it; when a sample is worth an opening depends on its age.
            (entry,) = judge_book(book, batch.vessel, now_us, now_us=now_us, only={batch.name})
    else:
        refilled = any(other.pitched_us > batch.pitched_us for other in own)
        count = book.readings.set_aside_count(batch.vessel)
        entry = Entry(batch.vessel, batch, judged, book.newest_us(batch.vessel), count, refilled=refilled)
    (entry,) = foreseen_by_book([entry], book, now_us=now_us)
    assert entry.judged is not None
    as_of_us, readings = entry.judged.as_of_us, batch_readings(book, batch)
    course = tuple(hourly_course(batch, readings, as_of_us))
    each = course_readings(batch, readings, as_of_us)
    aside = aside_rows(book, batch.vessel, batch.pitched_us, as_of_us)
    told = entry.judged.told_by(now_us)
    facts = sheet_facts(told, course, forecast=entry.forecast, noted_by_us=now_us)
    basis = curve_basis(facts, told, course, each)
    return BatchFacts(
        told, entry.forecast, course, facts, entry.set_aside, entry.refilled, sealed_today(told), each, aside, basis
    )


def _unmeasured(judged: Judged, refilled: bool) -> bool:
    read = judged.used or judged.passed_over or judged.conflicts
    return not read and judged.now.hand is None and judged.verdict != "packaged" and not refilled


def readings_one_by_one(book: Book, batch: Batch, as_of_us: int) -> CourseReadings:
    """Those of a batch by an instant [µs], where its other facts are known."""
    return course_readings(batch, batch_readings(book, batch), as_of_us)


def batch_readings(book: Book, batch: Batch) -> VesselReadings:
    """All readings that the batch owns, as reported."""
    return book.readings.together(batch.vessel, *owned_span(batch, book.batches.all(batch.vessel)))
