"""One ale judged once, and what its page knows of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import msgspec
import pytest

from lullwort.analysis import CourseHour, hourly_course
from lullwort.detector import Judged, judge
from lullwort.packaging_day import SheetFacts, sheet_facts
from lullwort.records import HOUR_US, Batch, VesselReadings
from lullwort.rehearsal import Invented, invent


@lru_cache(maxsize=1)
def _ale() -> Invented:
    return invent("plain ale", 6)


@lru_cache(maxsize=32)
def _judged(batch: Batch, as_of_us: int | None) -> tuple[Judged, list[CourseHour]]:
    readings = VesselReadings.of(_ale().readings).within(batch.pitched_us, batch.packaged_us)
    judged = judge(batch, readings, as_of_us=as_of_us)
    return judged, list(hourly_course(batch, readings, judged.as_of_us))


@pytest.fixture(scope="session")
def ale() -> Batch:
    """An ale that is ready on its eighth day; packaging not entered."""
    return _ale().batch


@pytest.fixture(scope="session")
def facts_of(ale: Batch) -> Callable[..., SheetFacts]:
    """The facts of that ale with some entries changed, `after_h` [h] after its pitch, by default at its log's end."""

    def made(after_h: float | None = None, **changes: Any) -> SheetFacts:
        batch = msgspec.structs.replace(ale, **changes)
        return sheet_facts(*_judged(batch, None if after_h is None else batch.pitched_us + round(after_h * HOUR_US)))

    return made
