"""What is entered of a batch, checked key by key: from a batches file or from a command's options alike."""

from __future__ import annotations

from typing import Any

import msgspec

from lullwort.analysis import WORT_SAMPLE_US, is_wort_sample, measured_original
from lullwort.collector.entries.keycheck import (
    AS_IN_A_FILE,
    Check,
    Names,
    NotThatError,
    a_moment,
    a_number,
    an_id,
    as_table,
    checked_keys,
    one_of,
    text,
    whole_number,
)
from lullwort.collector.entries.packagingcheck import checked_packaging_day, refuse_packaging_contradictions
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.records import (
    ATTENUATION,
    CAUTIONS,
    EVENT_KINDS,
    PLACE_C,
    TOLERANCE_POINTS,
    VOLUME_L,
    Batch,
    Event,
    to_datetime,
)

__all__ = ["NO_GRAVITY_BY_BRIX", "checked_batch", "checked_event", "refuse_contradictions"]

GRAVITY = (0.980, 1.200)
_HIGHEST_END = 1.1
# Of no beer is it above 1.1; the strongest and sweetest keep some 1.06.

NO_GRAVITY_BY_BRIX = (
    "a refractometer shows sugar and alcohol together, so that of fermenting beer it tells no gravity without the "
    "original gravity: enter that, or read a hydrometer"
)


def _number(low: float, high: float, unit: str = "") -> Check:
    return a_number(low, high, unit, _gravity_meant if (low, high) == GRAVITY else None)


def _gravity_meant(value: float) -> str:
    """Name the gravity that was probably meant by 1052."""
    low, high = GRAVITY
    return f"; {value / 1000.0:.3f} was probably meant" if low <= value / 1000.0 <= high else ""


def _range(low: float, high: float, unit: str = "", *, single: bool) -> Check:
    one = _number(low, high, unit)

    def check(value: Any) -> tuple[float, float]:
        if single and not isinstance(value, list | tuple):
            value = [value, value]
        if not isinstance(value, list | tuple) or len(value) != 2:
            raise NotThatError(f"a pair of numbers from {low:g} to {high:g}{unit}")
        first, last = one(value[0]), one(value[1])
        if first > last:
            raise NotThatError("a pair with the smaller number first")
        return first, last

    return check


_gravity = _number(*GRAVITY)
_temp = _number(*PLACE_C, " °C")

# The keys of an entry, the field each fills and what it must be.
_BATCH_KEYS: dict[str, tuple[str, Check]] = {
    "vessel": ("vessel", an_id),
    "name": ("name", an_id),
    "recipe": ("recipe", text),
    "pitched": ("pitched_us", a_moment),
    "packaged": ("packaged_us", a_moment),
    "original_gravity": ("original_gravity", _gravity),
    "expected_final_gravity": ("expected_final_gravity", _range(*GRAVITY, single=True)),
    "expected_attenuation": ("expected_attenuation", _range(*ATTENUATION, " (1 is 100 %)", single=False)),
    "forced_test_gravity": ("forced_test_gravity", _gravity),
    "yeast_min_c": ("yeast_min_c", _temp),
    "yeast_max_c": ("yeast_max_c", _temp),
    "volume_l": ("volume_l", _number(*VOLUME_L, " L")),
    "hold_window_h": ("hold_window_h", whole_number(24, 168, " h")),
    "tolerance": ("tolerance", _number(TOLERANCE_POINTS[0] / 1000.0, TOLERANCE_POINTS[1] / 1000.0, " SG")),
    "caution": ("caution", one_of(CAUTIONS)),
    "gravity_reported": ("gravity_reported", one_of(("uncorrected", "corrected"))),
    "reference_c": ("reference_c", _number(0.0, 40.0, " °C")),
    "steady_temperature_c": ("steady_temperature_c", _temp),
    "sensor_expansion_per_k": ("sensor_expansion_per_k", _number(0.0, 0.001, " per K")),
    "reading_interval_h": ("reading_interval_h", _number(0.01, 48.0, " h")),
}

_READ_BY_HAND = ("sample", "forced test")

_EVENT_KEYS: dict[str, tuple[str, Check]] = {
    "at": ("at_us", a_moment),
    "kind": ("kind", one_of(EVENT_KINDS)),
    "points": ("points", _number(-60.0, 100.0, " points")),
    "original_points": ("original_points", _number(-60.0, 100.0, " points")),
    "gravity": ("gravity", _gravity),
    "temperature_c": ("temperature_c", _number(0.0, 40.0, " °C")),
    "instrument": ("instrument", an_id),
    "calibrated_c": ("calibrated_c", _number(0.0, 40.0, " °C")),
    "brix": ("brix", _number(-2.0, 30.0, " °Bx")),
    "note": ("note", text),
}


def checked_batch(where: str, entered: object, names: Names = AS_IN_A_FILE, units: Units | None = None) -> Batch:
    """The batch that these entries describe; keys as in a batches file, `event` a list of such entries, and
    `packaging_day` one of them.

    Args:
        where: named first in every error, such as the file and which of its batches.
        names: what a key is called in an error, where it was not typed as such; those missing go by themselves.
        units: in which an error tells what contradicts what; None for those of a batches file.
    Raises:  UsageError that names the key, what was seen and what was expected.
    """
    given = as_table(where, entered)
    events_given, day_given = given.pop("event", []), given.pop("packaging_day", {})
    fields = checked_keys(where, given, _BATCH_KEYS, required=("vessel", "pitched"), names=names)
    if not isinstance(events_given, list):
        raise UsageError(f"{where}: event is {events_given!r}, expected tables headed [[batch.event]]")
    fields.setdefault("name", f"{fields['vessel']}-{to_datetime(fields['pitched_us']):%Y-%m-%d}")
    events = [checked_event(f"{where}: event {i}", event) for i, event in enumerate(events_given, start=1)]
    _take_packaged(where, fields, events)
    fields["packaging_day"] = checked_packaging_day(f"{where}: packaging_day", day_given, names)
    batch = Batch(**fields, events=tuple(sorted(events, key=lambda event: event.order)))
    refuse_contradictions(where, batch, names, units)
    return batch


def checked_event(where: str, entered: object, names: Names = AS_IN_A_FILE) -> Event:
    """The event that these entries describe. Arguments and UsageError as of `checked_batch`."""
    fields = checked_keys(where, as_table(where, entered), _EVENT_KEYS, required=("at", "kind"), names=names)
    event = msgspec.convert(fields, Event)
    points = names.get("points", "points")
    if (event.points is not None) != (event.kind == "addition"):
        raise UsageError(f"{where}: {points} go with an addition, and an addition with {points}")
    _check_points(where, event, points)
    _check_sample(where, event, names)
    if event.kind == "remark" and not event.note.strip():
        raise UsageError(f"{where}: a remark goes with {names.get('note', 'note')}: what is worth remembering?")
    return event


def _check_sample(where: str, event: Event, names: Names) -> None:
    gravity, brix, instrument, calibrated = (
        names.get(key, key) for key in ("gravity", "brix", "instrument", "calibrated_c")
    )
    if event.kind == "forced test" and event.gravity is None:
        raise UsageError(f"{where}: a forced test goes with {gravity}, at which it ended")
    shown = gravity if event.brix is None else brix
    if (event.gravity is not None or event.brix is not None) != (event.kind in _READ_BY_HAND):
        raise UsageError(f"{where}: {shown} goes with a sample, and a sample with {shown}")
    if event.gravity is not None and event.brix is not None:
        raise UsageError(
            f"{where}: {gravity} and {brix} do not go together: one is a hydrometer's, one a refractometer's"
        )
    for key in ("temperature_c", "instrument", "calibrated_c"):
        if getattr(event, key) is not None and event.kind not in _READ_BY_HAND:
            raise UsageError(f"{where}: {names.get(key, key)} goes with a sample")
    if event.calibrated_c is not None and (event.instrument is not None or event.brix is not None):
        raise UsageError(
            f"{where}: {calibrated} goes with a hydrometer that is not on record; that of {instrument} is kept with it"
        )


def _refuse_high_test(where: str, event: Event, original: float | None, names: Names = AS_IN_A_FILE) -> None:
    if event.kind == "forced test" and event.gravity is not None and original is not None and event.gravity >= original:
        raise UsageError(
            f"{where}: {names.get('gravity', 'gravity')} {event.gravity:g} is not below the original gravity "
            f"{original:g}: enter where the test ended, not its wort, and in the right unit"
        )


_LEAST_POINTS = 0.1


def _check_points(where: str, event: Event, points: str) -> None:
    if event.points is not None and event.points < _LEAST_POINTS and event.original_points is None:
        raise UsageError(
            f"{where}: {points} is {event.points:g}, expected a number from 0.1 to 100 points; water, which lowers "
            "gravity, is noted by its amount"
        )
    if event.original_points is not None and event.kind != "addition":
        raise UsageError(f"{where}: original_points go with an addition")


def _take_packaged(where: str, fields: dict[str, Any], events: list[Event]) -> None:
    """An event of packaging says the same as the key."""
    for event in [event for event in events if event.kind == "packaged"]:
        if fields.setdefault("packaged_us", event.at_us) != event.at_us:
            raise UsageError(f"{where}: packaged is given twice, at different times")
        events.remove(event)


_LEAST_DILUTED = 1.001


def _told(sg: float, units: Units | None) -> str:
    """A gravity as it was typed: in the brewer's unit, in SG with no more digits than it has."""
    return f"{sg:g}" if units is None or units.gravity == "sg" else units.level(1000.0 * (sg - 1.0))


def refuse_contradictions(where: str, batch: Batch, names: Names = AS_IN_A_FILE, units: Units | None = None) -> None:
    """Raises UsageError where entries and events of `batch`, each right by itself, cannot all be. Arguments as of
    `checked_batch`."""
    packaged, pitched, coldest, warmest = (
        names.get(key, key) for key in ("packaged", "pitched", "yeast_min_c", "yeast_max_c")
    )
    if batch.packaged_us is not None and batch.packaged_us <= batch.pitched_us:
        raise UsageError(f"{where}: {packaged} lies before {pitched}")
    refuse_packaging_contradictions(where, batch.packaging_day, batch.volume_l, names, units)
    measured = measured_original(batch)
    original = None if measured is None else measured.sg
    ends = [end for end in (*(batch.expected_final_gravity or ()), batch.forced_test_gravity) if end is not None]
    if ends and max(ends) > _HIGHEST_END:
        raise UsageError(f"{where}: the end {_told(max(ends), units)} is that of no beer: is it an original gravity?")
    if original is not None and ends and max(ends) >= original:
        swapped = "; are the two swapped?" if min(ends) >= original else ""
        raise UsageError(
            f"{where}: the end {_told(max(ends), units)} is not below the original gravity "
            f"{_told(original, units)}{swapped}"
        )
    if batch.yeast_min_c is not None and batch.yeast_max_c is not None and batch.yeast_min_c >= batch.yeast_max_c:
        raise UsageError(f"{where}: {coldest} is not below {warmest}")
    diluted = sum(event.points_of_original for event in batch.events)
    if original is not None and original + diluted / 1000.0 < _LEAST_DILUTED:
        raise UsageError(f"{where}: what was put in would leave nothing of the original gravity {original:g}")
    for event in batch.events:
        _refuse_high_test(f"{where}: forced test", event, original, names)
        early_us = batch.pitched_us - event.at_us
        of_the_wort = is_wort_sample(batch, event) and early_us <= WORT_SAMPLE_US
        if early_us > 0 and not of_the_wort and event.kind != "remark":
            raise UsageError(
                f"{where}: {event.kind} is dated before the pitch"
                + ("; one of the wort counts up to 24 h before it" if event.kind == "sample" else "")
            )
        if event.brix is not None and not is_wort_sample(batch, event) and measured_original(batch) is None:
            raise UsageError(f"{where}: {NO_GRAVITY_BY_BRIX}")
