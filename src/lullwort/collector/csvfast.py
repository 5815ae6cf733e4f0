"""Many rows of a readings file at once: plain ones, without quotes and with nothing to set aside.

Answers only where `csvrows` would give the same, value for value; for anything else it gives nothing and
leaves the rows to that.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lullwort.collector.csvcells import TIME_RANGE_US
from lullwort.collector.csvlayout import BLANKS, Layout
from lullwort.collector.csvoptions import CsvOptions, zone_info
from lullwort.collector.localtime import locals_to_utc_us
from lullwort.collector.textchunks import MAX_LINE_BYTES, Chunk
from lullwort.collector.unitguess import probably_other_unit
from lullwort.records import VALUE_COLUMNS, Block, check_id
from lullwort.units import FloatArray

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["FastReader"]


class _NotPlainError(Exception):
    """Some row needs the other way of reading."""


class FastReader:
    """Reads plain chunks of one file. pyarrow is loaded when the first is read."""

    def __init__(self, layout: Layout, options: CsvOptions) -> None:
        self._layout, self._options = layout, options
        self._zone = None if options.zone is None else zone_info(options.zone)

    def read(self, chunk: Chunk) -> Block | None:
        """The Block of all rows in `chunk`; None unless it has rows and every one is plain."""
        text = chunk.text
        if self._layout.delimiter == BLANKS or b'"' in text or b"\0" in text or not _is_utf8(text):
            return None
        ends = np.flatnonzero(np.frombuffer(text, dtype=np.uint8) == ord("\n"))
        lengths = np.diff(ends, prepend=-1) - 1
        lines = np.flatnonzero(lengths) + np.int64(chunk.first_line)
        if not len(lines) or lengths.max() > MAX_LINE_BYTES:
            return None
        try:
            return self._block(text, lines)
        except _NotPlainError:
            return None

    def _block(self, text: bytes, lines: NDArray[np.int64]) -> Block:
        table = self._table(text)
        if len(table) != len(lines):  # a line that only looks empty to one of the two: line numbers would be off
            raise _NotPlainError
        at_us = self._utc_us(table["time"])
        if self._layout.vessel is None:
            vessels, vessel_codes = _ids(table["vessel"])
        else:
            vessels, vessel_codes = (self._layout.vessel,), np.zeros(len(lines), dtype=np.int32)
        sensors, sensor_codes = vessels, vessel_codes
        if "sensor" in self._layout.places:
            sensors, sensor_codes = _ids(table["sensor"])
        values = {
            name: _floats(table[name]) if name in self._layout.places else np.full(len(lines), np.nan)
            for name in VALUE_COLUMNS
        }
        if np.any(np.isnan(values["gravity"]) & np.isnan(values["temperature"])):
            raise _NotPlainError
        if probably_other_unit(values["gravity"], self._options.gravity_unit):
            raise _NotPlainError
        return Block(
            sensors, vessels, sensor_codes, vessel_codes, at_us, **values, line=lines, units=self._options.units
        )

    def _table(self, text: bytes) -> pa.Table:
        import pyarrow as pa
        from pyarrow import csv

        name_at = {place: name for name, place in self._layout.places.items()}
        names = [name_at.get(place, f"ignored {place}") for place in range(len(self._layout.labels))]
        types: dict[str, pa.DataType] = {name: pa.float64() for name in VALUE_COLUMNS}
        types |= dict.fromkeys(("vessel", "sensor"), pa.dictionary(pa.int32(), pa.string()))
        types["time"] = pa.string()
        try:
            return csv.read_csv(
                pa.BufferReader(text),
                csv.ReadOptions(column_names=names, block_size=len(text) + 1),
                csv.ParseOptions(delimiter=self._layout.delimiter, quote_char=False, escape_char=False),
                csv.ConvertOptions(
                    column_types={name: types[name] for name in self._layout.places},
                    include_columns=list(self._layout.places),
                    null_values=[""],
                    decimal_point="," if self._options.decimal_comma else ".",
                ),
            )
        except pa.ArrowInvalid:
            raise _NotPlainError from None

    def _utc_us(self, texts: pa.ChunkedArray) -> NDArray[np.int64]:
        import pyarrow as pa

        try:
            at_us = _as_int64(texts.cast(pa.timestamp("us", tz="UTC")))
        except pa.ArrowInvalid:
            at_us = self._from_local(texts)
        if at_us.min() < TIME_RANGE_US[0] or at_us.max() >= TIME_RANGE_US[1]:
            raise _NotPlainError
        return at_us

    def _from_local(self, texts: pa.ChunkedArray) -> NDArray[np.int64]:
        import pyarrow as pa

        if self._zone is None:
            raise _NotPlainError
        try:
            local_us = _as_int64(texts.cast(pa.timestamp("us")))
        except pa.ArrowInvalid:
            raise _NotPlainError from None
        at_us = locals_to_utc_us(local_us, self._zone)
        if at_us is None:
            raise _NotPlainError
        return at_us


def _is_utf8(text: bytes) -> bool:
    if text.isascii():
        return True
    try:
        text.decode()
    except UnicodeDecodeError:
        return False
    return True


def _as_int64(times: pa.ChunkedArray) -> NDArray[np.int64]:
    import pyarrow as pa

    return np.asarray(times.cast(pa.int64()).to_numpy(), dtype=np.int64)


def _floats(column: pa.ChunkedArray) -> FloatArray:
    values = np.asarray(column.to_numpy(), dtype=np.float64)
    # An empty cell is NaN here; one that says nan or inf is no number.
    if np.count_nonzero(~np.isfinite(values)) != column.null_count:
        raise _NotPlainError
    return values


def _ids(column: pa.ChunkedArray) -> tuple[tuple[str, ...], NDArray[np.int32]]:
    encoded = column.unify_dictionaries().combine_chunks()
    names = [name.strip() for name in encoded.dictionary.to_pylist()]
    try:
        ids = {check_id(name): code for code, name in enumerate(dict.fromkeys(names))}
    except ValueError:
        raise _NotPlainError from None
    recoded = np.array([ids[name] for name in names], dtype=np.int32)
    return tuple(ids), recoded[encoded.indices.to_numpy()]
