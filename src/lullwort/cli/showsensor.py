"""What is known of a sensor, as lines of text and as a document."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import msgspec

from lullwort.cli.sensorlearning import Learned, came_to
from lullwort.cli.shownunits import local_day, local_time, units_of
from lullwort.detector import Units
from lullwort.records import ANSWER_BEYOND_K, AnswerInBatch, SensorTraits, TemperatureAnswer, format_utc
from lullwort.settings import Settings

__all__ = ["Heard", "Sensor", "learned_says", "sensor_document", "sensor_lines"]

_WHY_NOT = {
    "steady": "its log has no stretch in which gravity rested and temperature moved",
    "moving": "gravity itself was still falling, or rising, while temperature moved",
    "odd": "its hours fit nothing, as of a sensor with coarse steps or many bumps",
}
_UNUSABLE = {
    "vague": "not known well enough to be taken off; further batches may add to it",
    "disagree": "its batches disagree, so that nothing is taken off",
}


class Heard(NamedTuple):
    """Where and when [µs] a sensor was heard."""

    vessel: str
    first_us: int
    last_us: int


class Sensor(NamedTuple):
    """A sensor with all that the book has of it; `batches` are the names of those in which it was heard."""

    traits: SensorTraits
    heard: list[Heard]
    batches: list[str]


def learned_says(learned: Learned, settings: Settings) -> str:
    """In a sentence what a batch has taught of a sensor."""
    units, traits, answer = units_of(settings), learned.traits, learned.lesson.answer
    if answer is None:
        why = _WHY_NOT[learned.lesson.why_not or "steady"]
        return f"How sensor {traits.name} answers to temperature was not learned from {learned.batch}: {why}."
    says = f"By the log of {learned.batch} sensor {traits.name} reads {_size(answer, units)}"
    found = came_to(traits)
    if not isinstance(found, TemperatureAnswer):
        return f"{says}: {_UNUSABLE[found or 'vague']}."
    if found.batches > 1:
        says += f"; by {found.batches} batches together, {_size(found, units)}"
    return f"{says}. That is kept with the sensor and taken off wherever it speaks, in this batch too."


def sensor_lines(sensor: Sensor, settings: Settings) -> Iterator[str]:
    """A sensor, a line for each thing; what belongs to another stands deeper."""
    units, traits = units_of(settings), sensor.traits
    yield f"sensor {traits.name}: {_heard(sensor, settings)}"
    found = came_to(traits)
    if found is None:
        yield "  answer to temperature: nothing learned"
    elif isinstance(found, TemperatureAnswer):
        yield f"  answer to temperature: reads {_size(found, units)}; taken off ({_where(found, units)})"
    else:
        yield f"  answer to temperature: {_UNUSABLE[found]}"
    for answer in traits.answers:
        yield (
            f"    {answer.batch}: {_size(answer, units)}, from {answer.hours} h between {units.temp(answer.low_c)} "
            f"and {units.temp(answer.high_c)}"
        )
    made = traits.calibration
    if made is not None:
        of_angle = made.of == "inclination"
        low, high = (
            f"{units.short(x)}°" if of_angle else units.level((x - 1.0) * 1000.0) for x in (made.low, made.high)
        )
        yield (
            f"  calibration: of {made.of} {low} to {high}, through {len(made.points)} points, made "
            f"{local_day(made.made_us, settings)}; `lullwort calibrate {traits.name}` tells it"
        )


def sensor_document(sensor: Sensor) -> dict[str, Any]:
    """The same for JSON: times in UTC, gravities in points, temperatures in °C."""
    traits = sensor.traits
    found = came_to(traits)
    kept = msgspec.to_builtins(traits)
    return {
        "sensor": traits.name,
        "heard": [
            {"vessel": h.vessel, "first": format_utc(h.first_us), "last": format_utc(h.last_us)} for h in sensor.heard
        ],
        "batches": sensor.batches,
        "calibration": _dated(kept["calibration"], "made_us"),
        "temperature_answer": _dated(kept["answer"], "learned_us"),
        "not_taken_off": found if isinstance(found, str) else None,
        "temperature_answers": kept["answers"],
    }


def _dated(kept: dict[str, Any] | None, key: str) -> dict[str, Any] | None:
    if kept is None:
        return None
    return {**{k: v for k, v in kept.items() if k != key}, key.removesuffix("_us"): format_utc(kept[key])}


def _heard(sensor: Sensor, settings: Settings) -> str:
    if not sensor.heard:
        return "not heard yet"
    vessels = ", ".join(dict.fromkeys(heard.vessel for heard in sensor.heard))
    batches = f"; batches {', '.join(sensor.batches)}" if sensor.batches else "; no batch"
    return f"heard in {vessels}, last {local_time(max(h.last_us for h in sensor.heard), settings)}{batches}"


def _size(answer: AnswerInBatch | TemperatureAnswer, units: Units) -> str:
    by = "lower" if answer.points_per_k < 0.0 else "higher"
    return (
        f"{units.per_degree(answer.points_per_k)} {by} for each °{units.temperature} warmer, give or take "
        f"{units.per_degree(2.0 * answer.sd)}"
    )


def _where(answer: TemperatureAnswer, units: Units) -> str:
    low_c, high_c = answer.low_c - ANSWER_BEYOND_K, answer.high_c + ANSWER_BEYOND_K
    return (
        f"nothing at {units.temp(answer.reference_c)}; below {units.temp(low_c)} and above {units.temp(high_c)} no "
        "more than there, for it may bend"
    )
