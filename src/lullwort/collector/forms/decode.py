"""A message decoded by its form: readings as reported, and what of it is none. No payload makes it fail."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from lullwort.collector.arrival import Packet
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.forms.form import Form
from lullwort.collector.forms.pointer import Pointer
from lullwort.collector.senml import SenmlDecoder
from lullwort.collector.table.cells import BadCellError
from lullwort.collector.table.timecells import parse_time
from lullwort.collector.table.unitguess import unit_probably_meant
from lullwort.errors import SourceError
from lullwort.records import VALUE_COLUMNS, Block, SetAside, check_id, format_utc, zone_info

__all__ = ["IMPOSSIBLE_TIME", "MAX_PAYLOAD_BYTES", "WHOLE_CHARACTERS", "decode_packet"]

MAX_PAYLOAD_BYTES = 1 << 20
_MAX_DEPTH = 50
_RAW_KEPT = 1000
WHOLE_CHARACTERS = 8000
"""Of a message whose time cannot be so much is kept, and a shorter one is kept as a whole: it may be taken again."""
IMPOSSIBLE_TIME = "a time from 2000 on and at most a day ahead: set the sensor's clock, or take the time of arrival"
"""What is expected of a reading set aside for its time, which may have been the fault of this machine's clock."""
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")
_DAY_US = 24 * 3_600_000_000
_OLDEST_US = 946_684_800 * 1_000_000  # 2000-01-01: what a clock that was never set shows lies before it
_NONE = object()

Decoded = list[tuple[Block, list[SetAside]]]


class _NoReadingError(Exception):
    """What is wrong with one reading of a message."""

    def __init__(self, field: str, seen: object, expected: str) -> None:
        self.field, self.seen, self.expected = field, seen, expected


class _Said(NamedTuple):
    """Ids that the surroundings of a message tell: its topic, and where the settings place a sensor."""

    named: Mapping[str, str]
    vessel_of: Mapping[str, str]


def decode_packet(packet: Packet, form: Form, named: Mapping[str, str], vessel_of: Mapping[str, str]) -> Decoded:
    """The readings of a message, apart where their units differ, and what of it was set aside.

    A sensor floats where the settings place it, else where the message says, else where its topic says, else in a
    vessel that is called like it. Readings dated before 2000 or more than a day ahead are set aside.

    Args:
        named:     what {sensor} and {vessel} stand for in its topic.
        vessel_of: by sensor, the vessel in which the settings place it.
    """
    said = _Said(named, vessel_of)
    try:
        if len(packet.payload) > MAX_PAYLOAD_BYTES:
            raise _NoReadingError("message", f"{len(packet.payload)} bytes", f"at most {MAX_PAYLOAD_BYTES} bytes")
        if form.read == "senml":
            return [_in_time(part, packet, form) for part in _of_pack(packet, said)]
        block, set_aside = _of_number(packet, form, said) if form.read == "number" else _of_json(packet, form, said)
    except _NoReadingError as fault:
        row = _in_vessel(_set_aside(packet.place, fault, packet.payload), _vessel_said(said))
        block, set_aside = BlockBuilder(form.units).build(), [row]
    return [_in_time((block, set_aside), packet, form)]


def _vessel_said(said: _Said) -> str:
    """Where a message of which nothing can be read comes from, by its topic; empty where that does not say it."""
    sensor = said.named.get("sensor", "")
    vessel = said.vessel_of.get(sensor) or said.named.get("vessel") or sensor
    try:
        return check_id(vessel)
    except ValueError:
        return ""


def _of_pack(packet: Packet, said: _Said) -> Decoded:
    try:
        decoder = SenmlDecoder(packet.payload, packet.place, said.named.get("vessel"), packet.received_us)
        parts = list(decoder.blocks())
    except (SourceError, RecursionError) as exc:
        raise _NoReadingError("message", _shown(packet.payload), "a SenML pack in JSON, in UTF-8") from exc
    if decoder.unclosed and not any(len(block) or set_aside for block, set_aside in parts):
        raise _NoReadingError("message", _shown(packet.payload), "a whole SenML pack; this one is cut off")
    return [(_placed(block, said.vessel_of), [_placed_row(row, said) for row in rows]) for block, rows in parts]


def _placed_row(row: SetAside, said: _Said) -> SetAside:
    return _in_vessel(row, said.vessel_of[row.vessel]) if row.vessel in said.vessel_of else row


def _placed(block: Block, vessel_of: Mapping[str, str]) -> Block:
    """With its sensors in the vessels in which the settings place them."""
    moved = {code: vessel_of[sensor] for code, sensor in enumerate(block.sensors) if sensor in vessel_of}
    if not moved:
        return block
    vessels = list(block.vessels)
    codes = block.vessel_codes.copy()
    for code, vessel in moved.items():
        if vessel not in vessels:
            vessels.append(vessel)
        codes[block.sensor_codes == code] = vessels.index(vessel)
    return replace(block, vessels=tuple(vessels), vessel_codes=codes)


def _of_number(packet: Packet, form: Form, said: _Said) -> tuple[Block, list[SetAside]]:
    value = _number(form.quantity, packet.payload.decode(errors="replace").strip(), form)
    values = [value if column == form.quantity else math.nan for column in VALUE_COLUMNS]
    sensor, vessel = _whose({}, said)
    builder = BlockBuilder(form.units)
    builder.add(sensor, vessel, packet.received_us, values, 0)
    return builder.build(), []


def _of_json(packet: Packet, form: Form, said: _Said) -> tuple[Block, list[SetAside]]:
    document = _document(packet.payload)
    elements = [document]
    if form.each is not None:
        found = _at(document, form.each)
        if not isinstance(found, list):
            raise _NoReadingError(form.each, "nothing" if found is _NONE else found, "an array of readings")
        elements = found
    builder = BlockBuilder(form.units)
    set_aside = []
    for nth, element in enumerate(elements):
        try:
            sensor, vessel = _whose({role: _at(element, form.fields[role]) for role in _IDS & form.fields.keys()}, said)
            at_us = _time(element, form, packet.received_us)
            values = [_value(element, column, form) for column in VALUE_COLUMNS]
            if math.isnan(values[0]) and math.isnan(values[1]):
                raise _NoReadingError("gravity", "nothing", "gravity or temperature")
            builder.add(sensor, vessel, at_us, values, 0)
        except _NoReadingError as fault:
            place = packet.place if form.each is None else f"{packet.place}#{form.each}/{nth}"
            set_aside.append(_in_vessel(_set_aside(place, fault, element), _vessel_said(said)))
    return builder.build(), set_aside


_IDS = {"sensor", "vessel"}


def _document(payload: bytes) -> Any:
    if _depth(payload) > _MAX_DEPTH:
        raise _NoReadingError("message", _shown(payload), f"JSON nested at most {_MAX_DEPTH} deep")
    try:
        return json.loads(payload)
    except (ValueError, RecursionError) as exc:
        raise _NoReadingError("message", _shown(payload), "JSON in UTF-8") from exc


def _depth(payload: bytes) -> int:
    """A bound on how deep it is nested, brackets in texts counted too."""
    opened = np.frombuffer(payload, dtype=np.uint8)
    step = ((opened == 0x5B) | (opened == 0x7B)).astype(np.int64) - ((opened == 0x5D) | (opened == 0x7D))
    return int(np.cumsum(step).max(initial=0))


def _at(document: Any, pointer: str) -> Any:
    try:
        return Pointer(pointer).of(document)
    except LookupError:
        return _NONE


def _whose(own: Mapping[str, Any], said: _Said) -> tuple[str, str]:
    """Sensor and vessel."""
    sensor = own.get("sensor", _NONE)
    vessel = own.get("vessel", _NONE)
    if sensor is _NONE:
        sensor = said.named.get("sensor", said.named.get("vessel") if vessel is _NONE else vessel)
    if vessel is _NONE:
        vessel = said.named.get("vessel", sensor)
    sensor = _id("sensor", sensor)
    return sensor, said.vessel_of.get(sensor) or _id("vessel", vessel)


def _id(field: str, value: Any) -> str:
    try:
        return check_id(value if isinstance(value, str) else "")
    except ValueError:
        seen = "nothing" if value is None else value
        raise _NoReadingError(
            field, seen, "an id: lower-case letters, digits, '.', '_' and '-', a letter or digit first"
        ) from None


def _time(element: Any, form: Form, received_us: int) -> int:
    if form.clock == "arrival" or "time" not in form.fields:
        return received_us
    value = _at(element, form.fields["time"])
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise _NoReadingError("time", "nothing" if value is _NONE else value, "a time")
    try:
        return parse_time(str(value).strip(), form.times, None if form.zone is None else zone_info(form.zone))
    except BadCellError as exc:
        raise _NoReadingError("time", value, exc.expected) from None


def _value(element: Any, column: str, form: Form) -> float:
    """NaN where nothing stands."""
    if column not in form.fields:
        return math.nan
    value = _at(element, form.fields[column])
    if value is _NONE or value is None or value in form.missing:
        return math.nan
    return _number(column, value, form)


def _number(column: str, value: Any, form: Form) -> float:
    if isinstance(value, str):
        if value in form.missing:
            return math.nan
        if not _NUMBER.fullmatch(value.strip()):
            raise _NoReadingError(column, value, "a number")
        value = float(value)
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e300:
        raise _NoReadingError(column, value, "a number")
    number = float(value) * form.scale.get(column, 1.0)
    if column == "gravity":
        meant = unit_probably_meant(number, form.gravity)
        if meant is not None:
            raise _NoReadingError(column, value, f"gravity as the form states it; this looks like {meant}")
    return number


def _in_time(part: tuple[Block, list[SetAside]], packet: Packet, form: Form) -> tuple[Block, list[SetAside]]:
    """Without readings of times that cannot be; all at the time of arrival where that is the clock."""
    block, set_aside = part
    if form.clock == "arrival":
        return replace(block, at_us=np.full_like(block.at_us, packet.received_us)), set_aside
    good = (block.at_us >= _OLDEST_US) & (block.at_us <= packet.received_us + _DAY_US)
    if good.all():
        return part
    refused = []
    for i in np.flatnonzero(~good).tolist():
        fault = _NoReadingError("time", format_utc(int(block.at_us[i])), IMPOSSIBLE_TIME)
        row = _set_aside(packet.place, fault, packet.payload, WHOLE_CHARACTERS)
        refused.append(_in_vessel(row, block.vessels[block.vessel_codes[i]]))
    columns = ("sensor_codes", "vessel_codes", "at_us", *VALUE_COLUMNS, "line")
    return replace(block, **{name: getattr(block, name)[good] for name in columns}), [*set_aside, *refused]


def _in_vessel(row: SetAside, vessel: str) -> SetAside:
    """`row`, known to be of `vessel`."""
    return SetAside(row.place, row.line, row.column, row.seen, row.expected, row.raw_text, vessel)


def _set_aside(place: str, fault: _NoReadingError, raw: Any, kept: int = _RAW_KEPT) -> SetAside:
    return SetAside(place, 0, fault.field, _shown(fault.seen), fault.expected, _shown(raw, kept))


def _shown(value: object, kept: int = _RAW_KEPT) -> str:
    """Text that any database takes, no longer than needed."""
    if isinstance(value, bytes):
        shown = value[:kept].decode(errors="backslashreplace")
    elif isinstance(value, str):
        shown = value
    else:
        shown = json.dumps(value, default=str)
    return shown[:kept].encode(errors="backslashreplace").decode().replace("\0", "\\x00")
