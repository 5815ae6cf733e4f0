"""The shape of a batch's record, from which its JSON Schema is made: every field with its meaning and unit."""

from __future__ import annotations

import json
from typing import Annotated, Any, Final, Literal

import msgspec
from msgspec import Meta

from lullwort.detector import CheckName, Verdict
from lullwort.records import Caution, ContainerName, SugarName

__all__ = [
    "SCHEMA_ID",
    "BatchRecord",
    "Bottles",
    "CheckSeen",
    "CoursePoint",
    "Entries",
    "EventDone",
    "ExpectedRange",
    "InstrumentUsed",
    "PackagingEntries",
    "Range",
    "ReadingCounts",
    "ToldLine",
    "VerdictChange",
    "schema_text",
]

SCHEMA_ID: Final = "urn:lullwort:batch-record:1"
"""Another number where a reader of this one could misunderstand what is written; fields may be added without."""

Instant = Annotated[str, Meta(description="Instant, ISO 8601 in UTC.", extra_json_schema={"format": "date-time"})]


class Bottles(msgspec.Struct, frozen=True):
    """So many bottles of one size."""

    volume_l: Annotated[float, Meta(description="[L] Of beer in each.")]
    count: Annotated[int, Meta(description="[1] How many.")]


class PackagingEntries(msgspec.Struct, frozen=True):
    """What the brewer entered of packaging day; null, and no bottles, where nothing was."""

    target_g_l: Annotated[float | None, Meta(description="[g/L] Carbon dioxide that it should hold.")]
    container: Annotated[ContainerName | None, Meta(description="What it is closed in.")]
    limit_bar: Annotated[float | None, Meta(description="[bar] Gauge pressure that this bears, as its maker states.")]
    sugar: Annotated[SugarName | None, Meta(description="With what it is primed.")]
    losses_l: Annotated[float | None, Meta(description="[L] That stay behind.")]
    bottles: Annotated[list[Bottles], Meta(description="That there are to fill.")]
    moved_l: Annotated[float | None, Meta(description="[L] Moved off the sediment, as measured.")]
    primed_g: Annotated[float | None, Meta(description="[g] Of that sugar put in.")]
    filled: Annotated[list[Bottles], Meta(description="That were filled.")]


class Entries(msgspec.Struct, frozen=True):
    """What the brewer entered of the batch; null where nothing was."""

    recipe: str | None
    pitched_at: Instant
    packaged_at: Instant | None
    original_gravity: Annotated[float | None, Meta(description="[SG] After the boil, measured before pitching.")]
    expected_final_gravity: Annotated[tuple[float, float] | None, Meta(description="[SG] Lowest and highest.")]
    expected_attenuation: Annotated[
        tuple[float, float] | None, Meta(description="[1] Apparent, as fractions; lowest and highest.")
    ]
    forced_test_gravity: Annotated[float | None, Meta(description="[SG] Where a forced ferment test ended.")]
    yeast_min_c: Annotated[float | None, Meta(description="[°C] Below this the yeast sleeps.")]
    yeast_max_c: Annotated[float | None, Meta(description="[°C] Above this the yeast suffers.")]
    volume_l: Annotated[float | None, Meta(description="[L] In the vessel.")]
    hold_window_h: Annotated[int, Meta(description="[h] Over which gravity must hold still.")]
    tolerance: Annotated[float, Meta(description="[SG] How much it may move meanwhile.")]
    caution: Annotated[Caution, Meta(description="How sure the detector must be.")]
    gravity_reported: Annotated[
        Literal["uncorrected", "corrected"], Meta(description="Whether the sensor compensates temperature itself.")
    ]
    reference_c: Annotated[float, Meta(description="[°C] To which gravities are referred.")]
    steady_temperature_c: Annotated[float | None, Meta(description="[°C] Of the vessel, where the log gives none.")]
    sensor_expansion_per_k: Annotated[float, Meta(description="[1/K] Cubic expansion of the float's body.")]
    reading_interval_h: Annotated[float, Meta(description="[h] How often the log has a reading at best.")]
    packaging_day: PackagingEntries


class Range(msgspec.Struct, frozen=True):
    """A value and the range that holds it in 9 of 10 cases."""

    value: float
    low: float
    high: float


class EventDone(msgspec.Struct, frozen=True):
    """Something that was done to the batch."""

    at: Instant
    kind: str
    points: Annotated[float | None, Meta(description="[0.001 SG] By which an addition raised the beer.")]
    original_points: Annotated[
        float | None, Meta(description="[0.001 SG] By which it changed the original gravity; null: by as much.")
    ]
    gravity: Annotated[float | None, Meta(description="[SG] As read in a degassed hand sample.")]
    temperature_c: Annotated[
        float | None, Meta(description="[°C] Of that sample; null: that for which its instrument is made.")
    ]
    instrument: Annotated[str | None, Meta(description="With which it was read; null where not on record.")]
    calibrated_c: Annotated[
        float | None, Meta(description="[°C] Printed on an instrument not on record; null: that of the batch.")
    ]
    brix: Annotated[float | None, Meta(description="[°Bx] As a refractometer showed of it, instead of a gravity.")]
    note: str
    corrected: Annotated[
        Range | None,
        Meta(description="[SG at reference_c] What the sample says, with its instrument's error; null where nothing."),
    ]
    estimate: Annotated[bool, Meta(description="Whether that is a refractometer's, of beer: it proves nothing.")]


class InstrumentUsed(msgspec.Struct, frozen=True):
    """What samples were read with. Its unit is 0.001 SG, of a refractometer °Bx."""

    name: str
    kind: Literal["hydrometer", "refractometer"]
    calibrated_c: Annotated[float, Meta(description="[°C] Printed on it.")]
    division: Annotated[float, Meta(description="[its unit] Between two marks.")]
    error: Annotated[float, Meta(description="[its unit] That it reads too high, by a check in plain water.")]
    checked_at: Annotated[Instant | None, Meta(description="Of that check; null where there was none.")]
    wort_factor: Annotated[float, Meta(description="[1] What a refractometer shows of wort in °Bx, over its °P.")]


class CheckSeen(msgspec.Struct, frozen=True):
    """One check behind a verdict, as it stood then."""

    check: CheckName
    passed: bool
    value: Annotated[float | None, Meta(description="In `unit`; null where nothing is known.")]
    limit: Annotated[float | None, Meta(description="In `unit`; null where there is none.")]
    unit: str
    since: Annotated[Instant, Meta(description="Since when it has passed, or not passed.")]
    says: str


class VerdictChange(msgspec.Struct, frozen=True):
    """From this instant on the verdict was this."""

    at: Instant
    verdict: Verdict
    reason: str
    evidence: list[CheckSeen]


class ToldLine(msgspec.Struct, frozen=True):
    """What the brewer was told; it is never changed afterwards."""

    told_at: Instant
    verdict: str
    verdict_at: Annotated[Instant, Meta(description="Since when that verdict stood.")]
    says: str


class ExpectedRange(msgspec.Struct, frozen=True):
    """Where this beer should end, and from what that is known."""

    low: Annotated[float, Meta(description="[SG]")]
    high: Annotated[float, Meta(description="[SG]")]
    ceiling: Annotated[float, Meta(description="[SG] Above this the beer is not where it should be.")]
    source: Literal["forced test", "recipe", "attenuation", "yeast in general"]


class ReadingCounts(msgspec.Struct, frozen=True):
    """What became of the readings, from the pitch to `as_of` at most."""

    used: int
    passed_over: Annotated[dict[str, int], Meta(description="Stored, but not about the beer: how many, by reason.")]
    conflicts: Annotated[int, Meta(description="Instants left out because reports contradict each other.")]
    set_aside: Annotated[int, Meta(description="Rows of the vessel's logs that were no readings.")]
    first_at: Annotated[Instant | None, Meta(description="Of the batch's first reading on record.")]
    last_at: Annotated[Instant | None, Meta(description="Of its last one on record.")]


class CoursePoint(msgspec.Struct, frozen=True):
    """One clock hour with a reading that counts; null where it gave none."""

    end: Annotated[Instant, Meta(description="End of the hour.")]
    gravity: Annotated[
        float | None,
        Meta(description="[SG] Median, corrected to reference_c; sensor_offset is still in it."),
    ]
    temperature_c: Annotated[float | None, Meta(description="[°C] Median.")]


class BatchRecord(msgspec.Struct, frozen=True):
    """All that a cellar book has of one batch, to be kept and read without it."""

    record: Annotated[Literal["urn:lullwort:batch-record:1"], Meta(description="Which schema this follows.")]
    batch: Annotated[str, Meta(description="Name of the batch.")]
    vessel: Annotated[str, Meta(description="Id of the vessel.")]
    as_of: Annotated[Instant, Meta(description="Judged as of this instant.")]
    entries: Entries
    events: Annotated[list[EventDone], Meta(description="In order of time.")]
    verdict: Annotated[Verdict, Meta(description="That stands as of `as_of`.")]
    reason: str
    history: Annotated[list[VerdictChange], Meta(description="Changes of verdict in order of time.")]
    told: Annotated[list[ToldLine], Meta(description="In order of time.")]
    original_gravity: Annotated[
        Range | None, Meta(description="[SG] At pitch with what was added since; measured, or by the sensor.")
    ]
    original_measured: bool
    gravity: Annotated[Range | None, Meta(description="[SG] As of `as_of`, at reference_c, sensor_offset taken off.")]
    sensor_offset: Annotated[
        float, Meta(description="[SG] What the sensor reads too high at `gravity`, by gravities measured by hand.")
    ]
    sensor_scale: Annotated[
        float,
        Meta(description="[1] What its reading changes by while gravity changes by 1, by hand samples."),
    ]
    abv: Annotated[Range | None, Meta(description="[%] Alcohol by volume so far.")]
    points_left: Annotated[float | None, Meta(description="[0.001 SG] Still to fall.")]
    points_left_upper: Annotated[
        float | None, Meta(description="[0.001 SG] At most so, as surely as the caution asks.")
    ]
    expected_end: ExpectedRange | None
    readings: ReadingCounts
    course: Annotated[list[CoursePoint], Meta(description="Hour by hour, in order of time.")]
    instruments: Annotated[list[InstrumentUsed], Meta(description="That the samples name, by name.")]


def schema_text() -> str:
    """The JSON Schema (2020-12) of a record, as it is published."""
    made = msgspec.json.schema(BatchRecord)
    schema: dict[str, Any] = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": SCHEMA_ID,
        "title": "Record of one batch",
        **made,
    }
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
