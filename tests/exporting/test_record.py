"""A batch's record holds what the book has, and fits the schema that is published."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import jsonschema
import msgspec
import pytest

from lullwort.cellarbook import Told
from lullwort.detector import evidence, judge
from lullwort.exporting import SCHEMA_ID, BatchRecord, batch_record, record_text, schema_text
from lullwort.exporting.recordshape import CheckSeen, Entries, EventDone, InstrumentUsed
from lullwort.records import BESIDE_A_BATCH, Batch, Event, Instrument, Reading, VesselReadings, format_utc
from lullwort.rehearsal import invent

PUBLISHED = files("lullwort.exporting") / "batch-record.schema.json"


def checked(record: BatchRecord) -> Any:
    """The document, valid by an independent reader of the published schema."""
    schema = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    document = json.loads(record_text(record))
    jsonschema.Draft202012Validator(schema).validate(document)
    return document


def test_the_published_schema_is_that_of_the_code() -> None:
    assert PUBLISHED.read_text(encoding="utf-8") == schema_text()
    schema = json.loads(schema_text())
    assert (schema["$id"], schema["$schema"]) == (SCHEMA_ID, "https://json-schema.org/draft/2020-12/schema")


def test_every_number_of_the_schema_says_its_unit_and_every_shape_what_it_is() -> None:
    shapes = json.loads(schema_text())["$defs"]
    for name, shape in shapes.items():
        assert shape["description"], name
        assert shape["required"] == list(shape["properties"]), name
        for key, field in shape["properties"].items():
            kinds = {field.get("type"), *(kind.get("type") for kind in field.get("anyOf", []))}
            if "number" in kinds and name not in {"Range", "CheckSeen"}:
                assert field["description"].startswith("["), (name, key)


def test_every_entry_of_a_batch_has_a_place() -> None:
    placed = {
        name.replace("_at", "_us") if name in {"pitched_at", "packaged_at"} else name
        for name in Entries.__struct_fields__
    }
    assert placed | {"vessel", "name", *BESIDE_A_BATCH} == set(Batch.__struct_fields__)
    events = {"at_us" if name == "at" else name for name in EventDone.__struct_fields__} - {"corrected", "estimate"}
    assert events == set(Event.__struct_fields__)
    used = {"checked_us" if name == "checked_at" else name for name in InstrumentUsed.__struct_fields__}
    assert used == set(Instrument.__struct_fields__)
    assert len(msgspec.structs.fields(CheckSeen)) == 7


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["plain ale", "sugar or fruit added", "outliers and garbage", "cold stall"])
def test_a_record_fits_the_schema_and_says_what_was_judged(kind: str) -> None:
    of = invent(kind, 5)
    judged = judge(of.batch, VesselReadings.of(of.readings))
    told = [Told(5_000_000, "ready", 4_000_000, "READY TO PACKAGE.")]
    document = checked(batch_record(judged, told, VesselReadings.of(of.readings), 3))
    assert document["verdict"] == judged.verdict
    assert [change["verdict"] for change in document["history"]] == [change.verdict for change in judged.history]
    assert document["history"][-1]["evidence"] == [
        msgspec.to_builtins(check) for check in evidence(judged.history[-1].seen)
    ]
    assert document["told"] == [
        {
            "told_at": "1970-01-01T00:00:05Z", "verdict": "ready", "verdict_at": "1970-01-01T00:00:04Z",
            "says": "READY TO PACKAGE.",
        }
    ]  # fmt: skip
    assert document["entries"]["pitched_at"] == format_utc(of.batch.pitched_us)
    assert len(document["events"]) == len(of.batch.events)
    counts = document["readings"]
    assert counts["used"] == judged.used
    assert counts["passed_over"] == dict(judged.passed_over)
    assert (counts["set_aside"], counts["first_at"]) == (3, format_utc(of.readings[0].at_us))
    for name in ("original_gravity", "gravity", "abv"):
        assert document[name]["low"] < document[name]["value"] < document[name]["high"]
    assert document["expected_end"]["source"] in ("recipe", "forced test")
    assert document["course"][-1]["end"] <= document["as_of"]
    assert abs(document["course"][-1]["gravity"] - document["gravity"]["value"]) < 0.02


def test_a_batch_without_readings_has_a_record_too() -> None:
    batch = Batch(vessel="north", name="north-1", pitched_us=0)
    document = checked(batch_record(judge(batch, VesselReadings.of(())), [], VesselReadings.of(()), 0))
    assert (document["gravity"], document["abv"], document["course"]) == (None, None, [])
    assert document["readings"]["first_at"] is None


def test_a_packaged_batch_with_a_sample_has_a_record_too() -> None:
    of = invent("plain ale", 5)
    last = of.readings[-1].at_us
    sample = Event(at_us=last - 10, kind="sample", gravity=1.012, temperature_c=20.0, note="thin")
    batch = msgspec.structs.replace(of.batch, packaged_us=last, events=(sample,))
    readings = VesselReadings.of(of.readings)
    document = checked(batch_record(judge(batch, readings, as_of_us=last + 3_600_000_000), [], readings, 0))
    assert document["verdict"] == "packaged"
    assert document["events"][0]["gravity"] == 1.012
    assert document["sensor_offset"] != 0.0


def test_the_schema_refuses_what_is_no_record() -> None:
    readings = VesselReadings.of([Reading("north", "north", 0, 1.05, 20.0)])
    batch = Batch(vessel="north", name="north-1", pitched_us=0)
    document = checked(batch_record(judge(batch, readings), [], readings, 0))
    schema = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    for key, wrong in (("verdict", "done"), ("record", "urn:lullwort:batch-record:2"), ("gravity", "1.05")):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft202012Validator(schema).validate({**document, key: wrong})
    del document["course"]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema).validate(document)


def test_a_sample_stands_with_what_it_says_and_with_what_it_was_read_with() -> None:
    jar = Instrument(name="jar", division=1.0, error=1.5, checked_us=7_000_000)
    batch = Batch(
        vessel="v", name="b", pitched_us=0, original_gravity=1.050, instruments=(jar, Instrument(name="other")),
        events=(
            Event(at_us=3_000_000, kind="sample", gravity=1.0135, temperature_c=20.0, instrument="jar"),
            Event(at_us=4_000_000, kind="sample", brix=6.7),
            Event(at_us=5_000_000, kind="rouse"),
        ),
    )  # fmt: skip
    none = VesselReadings.of(())
    document = checked(batch_record(judge(batch, none), [], none, 0))
    by_jar, by_prism, rouse = document["events"]
    # 1.645 standard deviations of one look and of the check: 0.42 points each.
    assert by_jar["corrected"]["value"] == pytest.approx(1.012, abs=1e-6)
    assert by_jar["corrected"]["high"] - by_jar["corrected"]["value"] == pytest.approx(0.00097, abs=0.00002)
    assert (by_jar["estimate"], by_prism["estimate"], rouse["estimate"]) == (False, True, False)
    assert by_prism["corrected"]["low"] < 1.012 < by_prism["corrected"]["high"]
    assert rouse["corrected"] is None
    (used,) = document["instruments"]
    assert (used["name"], used["error"], used["checked_at"]) == ("jar", 1.5, "1970-01-01T00:00:07Z")
