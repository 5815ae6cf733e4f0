from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from lullwort.records import Reading, VesselReadings

READINGS = st.lists(
    st.builds(
        Reading,
        st.sampled_from(["a", "b", "c"]),
        st.just("north"),
        st.integers(0, 20),
        st.none() | st.floats(0.9, 1.2),
        st.none() | st.floats(-5.0, 40.0),
    ),
    max_size=12,
)


def rows(readings: VesselReadings) -> list[Reading]:
    columns = (readings.sensor_codes, readings.at_us, readings.gravity, readings.temperature_c)
    assert {len(column) for column in columns} == {len(readings)}
    return [
        Reading(readings.sensors[s], "north", at_us, None if g != g else g, None if t != t else t)
        for s, at_us, g, t in zip(*(column.tolist() for column in columns), strict=True)
    ]


@given(readings=READINGS)
def test_columns_hold_what_the_readings_say(readings: list[Reading]) -> None:
    columns = VesselReadings.of(readings)
    assert rows(columns) == readings
    assert set(columns.sensors) == {r.sensor for r in readings}


@given(parts=st.lists(READINGS, max_size=4))
def test_parts_are_joined_one_after_the_other_whatever_their_sensors(parts: list[list[Reading]]) -> None:
    joined = VesselReadings.joined([VesselReadings.of(part) for part in parts])
    assert rows(joined) == [r for part in parts for r in part]


@given(readings=READINGS, from_us=st.integers(0, 20), length=st.none() | st.integers(0, 20))
def test_a_span_includes_its_first_instant_and_not_its_end(
    readings: list[Reading], from_us: int, length: int | None
) -> None:
    before_us = None if length is None else from_us + length
    inside = [r for r in readings if from_us <= r.at_us and (before_us is None or r.at_us < before_us)]
    assert rows(VesselReadings.of(readings).within(from_us, before_us)) == inside


def test_some_are_chosen_by_place_or_by_flag() -> None:
    readings = VesselReadings.of([Reading("a", "north", i, 1.0 + i / 100.0, None) for i in range(5)])
    assert readings[np.array([3, 0])].at_us.tolist() == [3, 0]
    assert readings[readings.gravity > 1.025].at_us.tolist() == [3, 4]
    assert readings[1:3].at_us.tolist() == [1, 2]
