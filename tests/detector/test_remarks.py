"""A remark is nothing that was done: whatever is remarked, a batch is judged and foreseen as if it were not."""

from __future__ import annotations

from functools import cache

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.detector import Judged, judge
from lullwort.forecast import foreseen
from lullwort.records import HOUR_US, Batch, Event, VesselReadings
from lullwort.rehearsal import Invented, invent

NONE = VesselReadings.of(())
BY_HAND = Batch(
    vessel="v", name="b", pitched_us=0, original_gravity=1.050, expected_final_gravity=(1.010, 1.012),
    events=tuple(Event(at_us=day * 24 * HOUR_US, kind="sample", gravity=1.0115) for day in (8, 11, 15)),
)  # fmt: skip
HOURS = st.lists(st.floats(-48.0, 900.0), min_size=1, max_size=3).map(tuple)


@cache
def ale(kind: str) -> tuple[Invented, VesselReadings, Judged]:
    of = invent(kind, 3)
    readings = VesselReadings.of(of.readings)
    return of, readings, judge(of.batch, readings)


def remarked(batch: Batch, hours: tuple[float, ...]) -> Batch:
    remarks = (
        Event(at_us=batch.pitched_us + int(hour * HOUR_US), kind="remark", note=f"remark {place}")
        for place, hour in enumerate(hours)
    )
    return msgspec.structs.replace(
        batch, events=tuple(sorted((*batch.events, *remarks), key=lambda event: event.order))
    )


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["plain ale", "hop creep"])
@given(hours=HOURS)
@settings(max_examples=5, deadline=None)
def test_whatever_is_remarked_the_history_is_the_same(kind: str, hours: tuple[float, ...]) -> None:
    of, readings, bare = ale(kind)
    assert judge(remarked(of.batch, hours), readings)._replace(batch=of.batch) == bare


@pytest.mark.no_cover
def test_and_so_it_is_by_hand_samples_alone() -> None:
    # before the pitch, within the hour of a sample, between two of them, and weeks after the last
    more = remarked(BY_HAND, (-20.0, 8 * 24.0 + 0.2, 240.0, 900.0))
    assert judge(more, NONE)._replace(batch=BY_HAND) == judge(BY_HAND, NONE)


@pytest.mark.no_cover
def test_the_forecast_takes_no_notice_either() -> None:
    of, readings, _ = ale("plain ale")
    at_us = of.batch.pitched_us + 70 * HOUR_US
    bare, more = (
        foreseen(batch, readings, as_of_us=at_us) for batch in (of.batch, remarked(of.batch, (40.0, 69.5, 71.0)))
    )
    assert bare == more
    assert bare is not None
