"""Plain SenML packs, one reading each, read without ceremony: what most sensors send.

Answers only where `decode_packet` would give the same, value for value; for anything else it gives nothing and leaves
the message to that, which takes twenty times as long.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec

from lullwort.records import check_id

__all__ = ["PlainReading", "plain_reading"]

_LONGEST_BYTES = 1000
_EARLIEST_S, _LATEST_S = 946_684_800, 7_258_118_400
_DAY_US = 24 * 3_600_000_000
_EXACT_US = 0.3
"""[µs] A time written with six decimals or fewer is a float that lies closer than this to the microsecond meant."""
_PLACE = {("gravity", "/"): 0, ("temperature", "Cel"): 1, ("battery", "V"): 3}
"""For quantity and unit its place among VALUE_COLUMNS."""
_BEER_SG = (0.98, 1.2)
"""Within which no other unit can be meant."""


class _Record(msgspec.Struct, forbid_unknown_fields=True, gc=False):
    n: str
    u: str
    v: float
    bn: str = ""
    bt: float = 0.0


class PlainReading(NamedTuple):
    """One reading in SG, °C and volts; `values` in the order of VALUE_COLUMNS."""

    sensor: str
    at_us: int
    values: list[float]


_DECODER = msgspec.json.Decoder(list[_Record])
_IDS: dict[str, str] = {}
"""Sensors by base name that were found to be ids, so that each is checked once."""
_MOST_IDS = 10_000


def plain_reading(payload: bytes, received_us: int) -> PlainReading | None:
    """The one reading of a plain pack; None for any other message.

    >>> plain_reading(b'[{"bn":"f1:","bt":1772442000,"n":"gravity","u":"/","v":1.05}]', 1772442000000000)
    PlainReading(sensor='f1', at_us=1772442000000000, values=[1.05, nan, nan, nan, nan])
    >>> plain_reading(b'[{"bn":"f1:","bt":1772442000,"n":"gravity","u":"/","v":12.9}]', 1772442000000000)
    """
    if len(payload) > _LONGEST_BYTES or b"\\" in payload:
        return None
    try:
        records = _DECODER.decode(payload)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return None
    # A label that is there twice is a fault, which the decoder does not tell, but its quotes do. Five texts each: n and
    # its value, u and its value, v; and three more in the first: bn and its value, bt.
    if not records or payload.count(b'"') != 10 * len(records) + 6:
        return None
    first = records[0]
    at_us = _microseconds(first.bt, received_us)
    sensor = _IDS.get(first.bn) or _sensor(first.bn)
    if at_us is None or sensor is None:
        return None
    values = [math.nan] * 5
    for record in records:
        place = _PLACE.get((record.n, record.u))
        if place is None or values[place] == values[place] or not math.isfinite(record.v):
            return None
        values[place] = record.v
    if not (math.isnan(values[0]) or _BEER_SG[0] <= values[0] <= _BEER_SG[1]):
        return None
    return PlainReading(sensor, at_us, values)


def _microseconds(seconds: float, received_us: int) -> int | None:
    if not _EARLIEST_S <= seconds < _LATEST_S:
        return None
    exact = seconds * 1e6
    at_us = round(exact)
    return at_us if abs(exact - at_us) <= _EXACT_US and at_us <= received_us + _DAY_US else None


def _sensor(base_name: str) -> str | None:
    if not base_name.endswith(":") or len(_IDS) >= _MOST_IDS:
        return None
    try:
        sensor = check_id(base_name[:-1])
    except ValueError:
        return None
    _IDS[base_name] = sensor
    return sensor
