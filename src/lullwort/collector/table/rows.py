"""Readings row by row: the meaning of a readings file, which the fast way must reproduce to the letter."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.mapping import Mapping
from lullwort.collector.table.cells import BadCellError, parse_id, parse_number
from lullwort.collector.table.layout import Layout, split_fields
from lullwort.collector.table.localtime import RepeatedTimeError
from lullwort.collector.table.missing import Missing
from lullwort.collector.table.repeatedhour import RepeatedHour
from lullwort.collector.table.textchunks import MAX_LINE_BYTES
from lullwort.collector.table.timecells import parse_time
from lullwort.collector.table.unitguess import unit_probably_meant
from lullwort.records import VALUE_COLUMNS, SetAside, zone_info
from lullwort.units import GravityUnit

__all__ = ["RowReader"]

_QUOTED_LINES = 20
"""A quoted field may run over so many lines; a quote not closed by then was a slip and costs one line."""

_RAW_KEPT = 500
_SEEN_KEPT = 60

_UNIT_EXPECTED: dict[GravityUnit, str] = {
    "sg": "SG such as 1.012",
    "sg_1000": "SG x 1000 such as 1012",
    "points": "gravity points such as 12",
    "plato": "°P such as 12.9",
    "kg_m3": "kg/m³ such as 1012",
}
_TEMPERATURE_EXPECTED = {"C": "°C", "F": "°F", "K": "K"}


class _BadRowError(Exception):
    def __init__(self, column: str, seen: str, expected: str, vessel: str = "") -> None:
        self.column, self.seen, self.expected, self.vessel = column, seen, expected, vessel
        super().__init__(column)


@dataclass
class RowReader:
    """Reads lines of one file. Each row goes into `builder` or into `set_aside`, none into both.

    Rows of an hour that a clock change repeats wait in `repeated` until all are known.
    """

    place: str
    layout: Layout
    mapping: Mapping
    repeated: RepeatedHour

    def __post_init__(self) -> None:
        self._zone = None if self.mapping.zone is None else zone_info(self.mapping.zone)
        self._times = self.mapping.times or "iso"
        self._missing = Missing(self.mapping.missing)
        gravity, temperature, battery = self.mapping.units
        self._numeric = [column for column in VALUE_COLUMNS if column in self.layout.places]
        self._expected = {
            "gravity": _UNIT_EXPECTED[gravity],
            "temperature": _TEMPERATURE_EXPECTED[temperature],
            "inclination": "degrees",
            "battery": "volts" if battery == "V" else "per cent",
            "signal": "dBm",
        }

    def read(
        self,
        lines: list[bytes],
        first_line: int,
        builder: BlockBuilder,
        set_aside: list[SetAside],
        *,
        final: bool,
    ) -> int:
        """Take the rows in `lines`; returns how many lines that were.

        A row whose quoted field runs beyond the last line is left for the next call, unless this is `final`.
        """
        taken = 0
        while taken < len(lines):
            if not lines[taken].strip():
                taken += 1
                continue
            used = 1  # after a quote that fits nowhere, reading goes on with the very next line
            try:
                fields, used = self._record(lines[taken : taken + _QUOTED_LINES], final=final)
                if not used:
                    break
                self._add(fields, first_line + taken, builder)
            except _BadRowError as bad:
                raw = _shown(b"\n".join(lines[taken : taken + used]), _RAW_KEPT)
                set_aside.append(
                    SetAside(self.place, first_line + taken, bad.column, bad.seen, bad.expected, raw, bad.vessel)
                )
            taken += used
        return taken

    def _record(self, lines: list[bytes], *, final: bool) -> tuple[list[str], int]:
        """The fields of the first record and how many lines it has; 0 if its end is not in sight yet."""
        record = b""
        for used, line in enumerate(lines, start=1):
            record = line if used == 1 else record + b"\n" + line
            text = _decoded(record)
            try:
                return split_fields(text, self.layout.delimiter), used
            except csv.Error:
                if text.count('"') % 2 == 0:
                    raise _bad_row(record, "quotes around a whole field, and doubled within") from None
        if len(lines) < _QUOTED_LINES and not final:
            return [], 0
        raise _bad_row(lines[0], f"a closing quote within {_QUOTED_LINES} lines")

    def _add(self, fields: list[str], line: int, builder: BlockBuilder) -> None:
        width = len(self.layout.labels)
        if not any(fields):
            return  # an empty row of a spreadsheet
        if len(fields) < width or any(fields[width:]):
            expected = f"{width} as in the header"
            if len(fields) > width and self.layout.delimiter == ",":
                expected += " (a decimal comma needs quotes around the number, or another delimiter)"
            raise _BadRowError("row", f"{len(fields)} fields", expected)
        cells = {role: self._missing.blanked(fields[at[0]]) for role, at in self.layout.places.items()}
        cells["time"] = " ".join(fields[at] for at in self.layout.places["time"])
        vessel = self.layout.vessel
        column = "vessel"
        repeated = None
        try:
            if vessel is None:
                vessel = parse_id(cells[column], make=bool(self.mapping.make_ids))
            column = "time"
            try:
                at_us = parse_time(cells[column], self._times, self._zone)
            except RepeatedTimeError as exc:
                at_us, repeated = exc.first_us, exc
            column = "sensor"
            sensor = parse_id(named, make=bool(self.mapping.make_ids)) if (named := cells.get(column, "")) else vessel
            values = dict.fromkeys(VALUE_COLUMNS, math.nan)
            for column in self._numeric:
                values[column] = self._missing.number(self._number(column, cells[column]))
            column = "gravity" if "gravity" in cells else "temperature"
            self._check_values(values["gravity"], values["temperature"])
        except BadCellError as bad:
            seen = " ".join(fields[at] for at in self.layout.places[column])[:_RAW_KEPT]
            raise _BadRowError(self.layout.label(column), seen, bad.expected, vessel or "") from None
        row = (sensor, vessel, at_us, tuple(values.values()), line)
        if repeated is None:
            builder.add(*row)
        else:
            self.repeated.hold(row, repeated.second_us, cells["time"], self.layout.delimiter.join(fields)[:_RAW_KEPT])

    def _number(self, column: str, text: str) -> float:
        return parse_number(text, self._expected[column], decimal_comma=self.mapping.decimal_comma)

    def _check_values(self, gravity: float, temperature: float) -> None:
        if math.isnan(gravity):
            if math.isnan(temperature):
                raise BadCellError("a gravity or a temperature")
            return
        meant = unit_probably_meant(gravity, self.mapping.units.gravity)
        if meant is not None:
            raise BadCellError(f"{self._expected['gravity']}; this looks like {meant}")


def _decoded(record: bytes) -> str:
    if len(record) > MAX_LINE_BYTES:
        raise _bad_row(record, f"a row of at most {MAX_LINE_BYTES} bytes")
    if b"\0" in record:
        raise _bad_row(record, "text, without NUL bytes")
    try:
        return record.decode()
    except UnicodeDecodeError:
        raise _bad_row(record, "text in UTF-8 (or state --encoding)") from None


def _bad_row(record: bytes, expected: str) -> _BadRowError:
    return _BadRowError("row", _shown(record, _SEEN_KEPT), expected)


def _shown(raw: bytes, limit: int) -> str:
    text = raw[:limit].decode(errors="backslashreplace").replace("\0", "\\x00")
    return text if len(raw) <= limit else text + " …"
