"""A batch that is written reads back as it was, whatever a brewer may enter."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lullwort.collector import read_batches_file
from lullwort.exporting import batches_text
from lullwort.records import (
    BESIDE_A_BATCH,
    CAUTIONS,
    CONTAINER_NAMES,
    SUGAR_NAMES,
    Batch,
    BottleLot,
    Event,
    Instrument,
    PackagingDay,
    parse_instant,
)

PITCH = parse_instant("2026-03-02T09:00:00Z")
YEAR_US = 365 * 24 * 3_600_000_000

ids = st.from_regex(r"[a-z0-9][a-z0-9._-]{0,20}", fullmatch=True)
texts = st.text(st.characters(codec="utf-8"), max_size=30)
moments = st.integers(PITCH + 1, PITCH + YEAR_US)
ends = st.floats(0.98, 1.03)


def pairs(low: float, high: float) -> st.SearchStrategy[tuple[float, float]]:
    return st.tuples(st.floats(low, high), st.floats(low, high)).map(lambda pair: (min(pair), max(pair)))


events = st.one_of(
    st.builds(Event, at_us=moments, kind=st.sampled_from(["dry hop", "rouse", "crash", "moved"]), note=texts),
    st.builds(Event, at_us=moments, kind=st.just("remark"), note=texts.filter(str.strip)),
    st.builds(Event, at_us=moments, kind=st.just("addition"), points=st.floats(0.1, 100.0), note=texts),
    st.builds(
        Event, at_us=moments, kind=st.just("addition"), points=st.floats(-7.0, 100.0),
        original_points=st.floats(-7.0, 100.0), note=texts,
    ),
    st.builds(
        Event, at_us=moments, kind=st.just("sample"), gravity=ends, note=texts,
        temperature_c=st.none() | st.floats(0.0, 40.0), calibrated_c=st.none() | st.floats(0.0, 40.0),
    ),
    st.builds(Event, at_us=moments, kind=st.just("sample"), gravity=ends, instrument=st.just("glass")),
)  # fmt: skip
brix = st.builds(
    Event,
    at_us=moments,
    kind=st.just("sample"),
    brix=st.floats(-2.0, 30.0),
    instrument=st.sampled_from([None, "prism"]),
)
instruments = st.tuples(
    st.builds(
        Instrument, name=st.just("glass"), calibrated_c=st.floats(0.0, 40.0), division=st.floats(0.1, 10.0),
        error=st.floats(-10.0, 10.0), checked_us=st.none() | moments,
    ),
    st.builds(
        Instrument, name=st.just("prism"), kind=st.just("refractometer"), division=st.floats(0.01, 1.0),
        error=st.floats(-2.5, 2.5), checked_us=st.none() | moments, wort_factor=st.floats(0.95, 1.1),
    ),
)  # fmt: skip
lots = st.lists(st.builds(BottleLot, st.floats(0.05, 1000.0), st.integers(0, 100_000)), max_size=3).map(tuple)
packaging_days = st.builds(
    PackagingDay,
    target_g_l=st.none() | st.floats(1.0, 14.0),
    container=st.none() | st.sampled_from(CONTAINER_NAMES),
    limit_bar=st.none() | st.floats(0.5, 20.0),
    sugar=st.sampled_from(SUGAR_NAMES),
    losses_l=st.none() | st.floats(0.0, 0.05),
    bottles=lots,
    moved_l=st.none() | st.just(0.1),
    # more in a tenth of a litre would be another unit, or another volume
    primed_g=st.none() | st.floats(0.0, 2.5),
    filled=st.lists(st.builds(BottleLot, st.floats(0.05, 0.35), st.just(1)), max_size=3).map(tuple),
)
batches = st.builds(
    Batch,
    vessel=ids,
    name=ids,
    pitched_us=st.integers(PITCH - YEAR_US, PITCH),
    recipe=st.none() | texts,
    packaged_us=st.none() | moments,
    original_gravity=st.none() | st.floats(1.031, 1.2),
    expected_final_gravity=st.none() | pairs(0.98, 1.03),
    expected_attenuation=st.none() | pairs(0.0, 1.25),
    forced_test_gravity=st.none() | ends,
    yeast_min_c=st.none() | st.floats(-5.0, 19.0),
    yeast_max_c=st.none() | st.floats(20.0, 45.0),
    volume_l=st.none() | st.floats(0.1, 1e5),
    hold_window_h=st.integers(24, 168),
    tolerance=st.floats(0.0002, 0.005),
    caution=st.sampled_from(CAUTIONS),
    gravity_reported=st.sampled_from(["uncorrected", "corrected"]),
    reference_c=st.floats(0.0, 40.0),
    steady_temperature_c=st.none() | st.floats(-5.0, 45.0),
    sensor_expansion_per_k=st.floats(0.0, 0.001),
    reading_interval_h=st.floats(0.01, 48.0),
    packaging_day=packaging_days,
    events=st.lists(events, max_size=4).map(lambda some: tuple(sorted(some, key=lambda event: event.order))),
)
measured = st.builds(
    msgspec.structs.replace, batches, original_gravity=st.floats(1.031, 1.2), events=brix.map(lambda event: (event,))
)


def test_every_key_is_tried() -> None:
    # A key that is added to a batch must be added above, where leaving it out would go unnoticed.
    assert Batch.__struct_fields__ == (
        "vessel", "name", "pitched_us", "recipe", "packaged_us", "original_gravity", "expected_final_gravity",
        "expected_attenuation", "forced_test_gravity", "yeast_min_c", "yeast_max_c", "volume_l", "hold_window_h",
        "tolerance", "caution", "gravity_reported", "reference_c", "steady_temperature_c", "sensor_expansion_per_k",
        "reading_interval_h", "packaging_day", *BESIDE_A_BATCH,
    )  # fmt: skip
    assert Event.__struct_fields__ == (
        "at_us",
        "kind",
        "points",
        "original_points",
        "gravity",
        "temperature_c",
        "instrument",
        "calibrated_c",
        "brix",
        "note",
    )
    assert PackagingDay.__struct_fields__ == (
        "target_g_l", "container", "limit_bar", "sugar", "losses_l", "bottles", "moved_l", "primed_g", "filled",
    )  # fmt: skip
    assert Instrument.__struct_fields__ == (
        "name", "kind", "calibrated_c", "division", "error", "checked_us", "wort_factor",
    )  # fmt: skip


@pytest.mark.no_cover
@given(
    written=st.lists(batches | measured, max_size=3, unique_by=(lambda b: b.name, lambda b: b.vessel)), used=instruments
)
@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_is_written_reads_back_as_it_was(
    written: list[Batch], used: tuple[Instrument, ...], tmp_path: Path
) -> None:
    path = tmp_path / "batches.toml"
    written = [msgspec.structs.replace(batch, instruments=used) for batch in written]
    path.write_text(batches_text(written), encoding="utf-8", newline="")
    assert read_batches_file(path) == written


def test_what_was_not_entered_is_not_written() -> None:
    batch = Batch(vessel="north", name="north-12", pitched_us=PITCH, events=(Event(at_us=PITCH, kind="rouse"),))
    assert batches_text([batch, msgspec.structs.replace(batch, name="b", events=())]).splitlines() == [
        "[[batch]]", 'vessel = "north"', 'name = "north-12"', "pitched = 2026-03-02T09:00:00Z",
        'gravity_reported = "uncorrected"', "reference_c = 20.0",
        "  [[batch.event]]", "  at = 2026-03-02T09:00:00Z", '  kind = "rouse"',
        "",
        "[[batch]]", 'vessel = "north"', 'name = "b"', "pitched = 2026-03-02T09:00:00Z",
        'gravity_reported = "uncorrected"', "reference_c = 20.0",
    ]  # fmt: skip
