"""SenML packs decoded [RFC8428]: records of one sensor and one time become a reading, all others are set aside."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Iterator
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

from lullwort.collector.senml.elements import EXACT, Element, PackScanner, Spoiled
from lullwort.collector.senml.gather import Gathered, Readings
from lullwort.collector.senml.quantities import QUANTITIES, measured
from lullwort.collector.senml.resolve import (
    SECONDARY_UNITS_VERSION,
    RefusedRecordError,
    Resolved,
    Resolver,
    version_of,
)
from lullwort.collector.table.timecells import OUT_OF_RANGE, TIME_RANGE_US
from lullwort.errors import SourceError
from lullwort.records import Block, SetAside, check_id

__all__ = ["SenmlDecoder"]

_RELATIVE_BELOW_S = 1 << 28
"""[s] [RFC8428] 4.5.3: a smaller time is relative to now."""

_RAW_KEPT = 1000
_UTF8_MARK = "\ufeff"


class SenmlDecoder:
    """Decodes what `data` holds: one pack or several, one after another.

    Records are counted from 1 through all of it, and named as in `pack.senml#rec=3`.

    Attributes:
        size, done: [bytes] in all and decoded so far.
        marked:     whether it begins with a byte order mark, which SenML does not have.
        unclosed:   whether it ends within a pack, between two records; known at its end.
    """

    def __init__(self, data: bytes, place: str, vessel: str | None, received_us: int | None) -> None:
        """
        Args:   place: what the data is called.
                vessel: in which sensors float whose pack does not say it; None: one that is called like the sensor.
                received_us: [µs since 1970-01-01 UTC] the now of relative times; None: there is none, and records
                    with such times are set aside.
        Raises: SourceError if it is nothing like SenML in JSON.
        """
        try:
            text, self._sound = data.decode(), True
        except UnicodeDecodeError:
            # Bytes that are no UTF-8 stand in the text as lone surrogates, so that only their records suffer.
            text, self._sound = data.decode(errors="surrogateescape"), False
        self.size = len(data)
        self.marked = text.startswith(_UTF8_MARK)
        self._place, self._vessel, self._received_us = place, vessel, received_us
        self._scanner = PackScanner(text.removeprefix(_UTF8_MARK))
        begin = self._scanner.text[self._scanner.at :][:20]
        if not begin.startswith("["):
            seen = f"begins with {_shown(begin, 20)!r}" if begin else "is empty"
            raise SourceError(f"{place}: {seen}, expected SenML: an array of records in JSON, in UTF-8")

    @property
    def done(self) -> int:
        """See the class."""
        return self.size * self._scanner.at // max(1, len(self._scanner.text))

    @property
    def unclosed(self) -> bool:
        """See the class."""
        return self._scanner.unclosed

    def blocks(self) -> Iterator[tuple[Block, list[SetAside]]]:
        """Its readings, pack by pack; those of a pack are apart where their units differ. `Block.line` is 0."""
        pack = _Pack(1)
        first = 1
        for element in self._scanner.elements():
            if element.pack != pack.number:
                yield from self._finished(pack, first)
                first += len(pack.starts)
                pack = _Pack(element.pack)
            raw = "" if self._sound else self._scanner.text[element.start : element.end]
            pack.take(element, self._received_us, raw)
        yield from self._finished(pack, first)

    def _finished(self, pack: _Pack, first: int) -> Iterator[tuple[Block, list[SetAside]]]:
        blocks, refused, vessels = pack.finish(self._vessel)
        set_aside = [
            self._set_aside(
                first + record,
                pack.starts[record],
                pack.ends[record],
                fault,
                vessels.get(sensor, self._vessel or sensor),
            )
            for record, (fault, sensor) in sorted(refused.items())
        ]
        for nth, block in enumerate(blocks):
            yield block, [] if nth else set_aside

    def _set_aside(self, record: int, start: int, end: int, fault: RefusedRecordError, vessel: str) -> SetAside:
        raw = _shown(self._scanner.text[start : min(end, start + _RAW_KEPT)], _RAW_KEPT)
        more = " …" if end - start > _RAW_KEPT else ""
        seen = _shown(fault.seen, _RAW_KEPT)
        return SetAside(f"{self._place}#rec={record}", 0, fault.label, seen, fault.expected, raw + more, vessel)


class _Pack:
    """The records of one pack as they come; nothing is said before its end, for any of them may spoil all."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.starts, self.ends = array("q"), array("q")
        self._version: int | None = None
        self._unusable: RefusedRecordError | None = None
        self._resolver = Resolver()
        self._gathered = Gathered()

    def take(self, element: Element, received_us: int | None, raw: str) -> None:
        """The next record; `raw` is its text where that may not be UTF-8, else empty."""
        record = len(self.starts)
        self.starts.append(element.start)
        self.ends.append(element.end)
        sensor = ""
        try:
            labels = self._labels(element, raw)
            resolved = self._resolver.resolve(labels)
            sensor, quantity = _sensor_and_quantity(resolved.name)
            if quantity == "vessel":
                vessel = _vessel(resolved)
                self._gathered.add_vessel(record, sensor, _at_us(resolved.seconds, received_us), vessel)
                return
            value = measured(quantity, resolved, secondary_units=self._version == SECONDARY_UNITS_VERSION)
            self._gathered.add(record, sensor, _at_us(resolved.seconds, received_us), value)
        except RefusedRecordError as fault:
            self._gathered.refuse(record, fault, sensor)

    def finish(self, vessel: str | None) -> Readings:
        """What it comes to; sensors of which it does not say it float in `vessel`."""
        if self._unusable is not None:
            self._gathered = Gathered()
            for record in range(len(self.starts)):
                self._gathered.refuse(record, self._unusable, "")
        return self._gathered.finish(vessel)

    def _labels(self, element: Element, raw: str) -> dict[str, Any]:
        labels = element.content
        if element.fault:
            raise RefusedRecordError("record", "damaged", element.fault)
        if isinstance(labels, Spoiled):
            self._resolver.spoil(labels)
            raise RefusedRecordError("record", "damaged", "a record: an object in JSON")
        if not isinstance(labels, dict):
            raise RefusedRecordError("record", labels, "a record: an object in JSON")
        try:
            self._version = version_of(labels, self._version)
        except RefusedRecordError as fault:
            self._unusable = self._unusable or fault
            raise
        try:
            raw.encode()
        except UnicodeEncodeError:
            self._resolver.spoil(labels.keys())
            raise RefusedRecordError("record", raw, "text in UTF-8") from None
        return labels


def _sensor_and_quantity(name: str) -> tuple[str, str]:
    sensor, colon, quantity = name.rpartition(":")
    if not colon or quantity not in QUANTITIES:
        raise RefusedRecordError("n", name, f"SENSOR:QUANTITY with {', '.join(QUANTITIES[:-1])} or {QUANTITIES[-1]}")
    # One string for all records of a sensor: in a long pack they would be most of the memory.
    return sys.intern(_id("n", sensor)), sys.intern(quantity)


def _vessel(record: Resolved) -> str:
    if record.kind != "vs":
        raise RefusedRecordError(record.kind, record.value, "a string, vs: the id of a vessel")
    return _id("vs", record.value)


def _id(label: str, text: str) -> str:
    try:
        return check_id(text)
    except ValueError:
        raise RefusedRecordError(
            label, text, "an id: lower-case letters, digits, '.', '_' and '-', a letter or digit first"
        ) from None


def _at_us(seconds: Decimal, received_us: int | None) -> int:
    if not -_RELATIVE_BELOW_S < seconds < TIME_RANGE_US[1]:
        raise RefusedRecordError("t", seconds, OUT_OF_RANGE)
    at_us = int(EXACT.multiply(seconds, 1_000_000).to_integral_value(ROUND_HALF_EVEN))
    if seconds < _RELATIVE_BELOW_S:
        if received_us is None:
            raise RefusedRecordError("t", seconds, "a time in seconds since 1970; relative to when is not known here")
        at_us += received_us
    if not TIME_RANGE_US[0] <= at_us < TIME_RANGE_US[1]:
        raise RefusedRecordError("t", seconds, OUT_OF_RANGE)
    return at_us


def _shown(text: str, limit: int) -> str:
    """Text that any file and any database takes."""
    return text[:limit].encode(errors="backslashreplace").decode().replace("\0", "\\x00")
