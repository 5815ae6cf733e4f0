"""Batches as a batches file (TOML), with the instruments on record, from which they read back as they were."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

import msgspec

from lullwort.records import BESIDE_A_BATCH, Batch, BottleLot, Event, Instrument, PackagingDay, format_utc

__all__ = ["batches_text"]

_ALWAYS = {"gravity_reported", "reference_c"}
"""Without these a gravity in the file could not be understood; other keys stay out where they say what holds anyway."""
_TABLES = {*BESIDE_A_BATCH, "packaging_day"}
"""What has tables of its own."""


def batches_text(batches: Iterable[Batch]) -> str:
    """The whole batches file; numbers in the fewest digits that read back the same.

    >>> batch = Batch(vessel="north", name="north-12", pitched_us=0, volume_l=19.0, recipe='the "old" one')
    >>> print(batches_text([batch]))
    [[batch]]
    vessel = "north"
    name = "north-12"
    pitched = 1970-01-01T00:00:00Z
    recipe = "the \\"old\\" one"
    volume_l = 19.0
    gravity_reported = "uncorrected"
    reference_c = 20.0
    <BLANKLINE>
    """
    batches = list(batches)
    instruments = {instrument.name: instrument for batch in batches for instrument in batch.instruments}
    tables = [_instrument_lines(instruments[name]) for name in sorted(instruments)]
    return "\n".join("".join(f"{line}\n" for line in lines) for lines in (*tables, *map(_batch_lines, batches)))


def _instrument_lines(instrument: Instrument) -> Iterator[str]:
    yield "[[instrument]]"
    yield from _keys(instrument)


def _batch_lines(batch: Batch) -> Iterator[str]:
    yield "[[batch]]"
    yield from _keys(batch)
    if batch.packaging_day != PackagingDay():
        yield "  [batch.packaging_day]"
        yield from (f"  {line}" for line in _keys(batch.packaging_day))
    for event in batch.events:
        yield "  [[batch.event]]"
        yield from (f"  {line}" for line in _keys(event))


def _keys(entry: Batch | Event | Instrument | PackagingDay) -> Iterator[str]:
    for field in msgspec.structs.fields(entry):
        value = getattr(entry, field.name)
        if field.name not in _TABLES and (field.name in _ALWAYS or field.required or value != field.default):
            yield f"{field.name.removesuffix('_us')} = {_value(field.name, value)}"


def _value(name: str, value: object) -> str:
    if isinstance(value, int) and name.endswith("_us"):
        return format_utc(value)
    if isinstance(value, str):
        # The escapes of JSON are among those of TOML, which wants one more.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, tuple):
        return f"[{', '.join(_item(one) for one in value)}]"
    return repr(value)


def _item(one: object) -> str:
    return f"[{one.volume_l!r}, {one.count}]" if isinstance(one, BottleLot) else repr(one)
