"""Instruments as people enter them, and whether a sample can have been read with the one that it names."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec

from lullwort.collector.entries.keycheck import (
    AS_IN_A_FILE,
    Check,
    Names,
    a_moment,
    a_number,
    an_id,
    as_table,
    checked_keys,
    one_of,
)
from lullwort.errors import UsageError
from lullwort.records import DIVISIONS, INSTRUMENT_KINDS, Event, Instrument, InstrumentKind

__all__ = ["LARGEST_ERROR", "SCALE_UNIT", "checked_instrument", "refuse_unfit_instrument"]

LARGEST_ERROR: dict[InstrumentKind, float] = {"hydrometer": 10.0, "refractometer": 2.5}
"""[its unit] More is no error of an instrument but a slip, sugar in the water, or a broken one. Common practice, no
source: glass hydrometers have been found 2 to 6 points off."""

SCALE_UNIT: dict[InstrumentKind, str] = {"hydrometer": "points", "refractometer": "°Bx"}

_DIVISIONS: dict[InstrumentKind, tuple[float, float]] = {"hydrometer": (0.1, 10.0), "refractometer": (0.01, 1.0)}

_KEYS: dict[str, tuple[str, Check]] = {
    "name": ("name", an_id),
    "kind": ("kind", one_of(INSTRUMENT_KINDS)),
    "calibrated_c": ("calibrated_c", a_number(0.0, 40.0, " °C")),
    "wort_factor": ("wort_factor", a_number(0.95, 1.10)),
    "checked": ("checked_us", a_moment),
}


def checked_instrument(where: str, entered: object, names: Names = AS_IN_A_FILE) -> Instrument:
    """The instrument that these entries describe. Arguments and UsageError as of `checked_batch`."""
    given = as_table(where, entered)
    kind: InstrumentKind = "refractometer" if given.get("kind") == "refractometer" else "hydrometer"
    unit, largest = f" {SCALE_UNIT[kind]}", LARGEST_ERROR[kind]
    keys: dict[str, tuple[str, Check]] = {
        **_KEYS,
        "division": ("division", a_number(*_DIVISIONS[kind], unit)),
        "error": ("error", a_number(-largest, largest, unit)),
    }
    fields: dict[str, Any] = checked_keys(where, given, keys, required=("name",), names=names)
    for key, only in (("wort_factor", "refractometer"), ("calibrated_c", "hydrometer")):
        if key in fields and kind != only:
            raise UsageError(f"{where}: {names.get(key, key)} goes with a {only}")
    fields.setdefault("division", DIVISIONS[kind])
    return msgspec.convert(fields, Instrument)


def refuse_unfit_instrument(where: str, event: Event, instruments: Iterable[Instrument]) -> None:
    """Raise UsageError where a sample names an instrument that is not among these, or one of the other kind."""
    if event.instrument is None:
        return
    kinds = {instrument.name: instrument.kind for instrument in instruments}
    if event.instrument not in kinds:
        known = f"on record are {', '.join(sorted(kinds))}" if kinds else "none is on record"
        raise UsageError(f"{where}: no instrument is called {event.instrument!r}; {known}")
    kind = kinds[event.instrument]
    if (kind == "refractometer") != (event.brix is not None):
        shows = "a refractometer, which shows °Bx" if kind == "refractometer" else "a hydrometer, which shows gravity"
        seen = "a gravity" if event.brix is None else "a number in °Bx"
        raise UsageError(f"{where}: {event.instrument!r} is {shows}; {seen} is not what it shows")
