"""Many rows of a text file at once: plain ones, with nothing to set aside.

Answers only where `rows` would give the same, value for value; for anything else it gives nothing and
leaves the rows to that.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lullwort.collector.mapping import Mapping
from lullwort.collector.table.cells import BadCellError, parse_id
from lullwort.collector.table.layout import BLANKS, Layout
from lullwort.collector.table.missing import Missing
from lullwort.collector.table.textchunks import MAX_LINE_BYTES, Chunk
from lullwort.collector.table.timecolumns import utc_us_of_texts
from lullwort.collector.table.unitguess import probably_other_unit
from lullwort.records import VALUE_COLUMNS, Block, zone_info
from lullwort.units import FloatArray

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["FastReader"]


_BLANKS, _EDGES = re.compile(rb"[ \t]+"), re.compile(rb"(?m)^[ \t]+|[ \t]+$")


class _NotPlainError(Exception):
    """Some row needs the other way of reading."""


class FastReader:
    """Reads plain chunks of one file. pyarrow is loaded when the first is read."""

    def __init__(self, layout: Layout, mapping: Mapping) -> None:
        self._layout, self._mapping = layout, mapping
        self._zone = None if mapping.zone is None else zone_info(mapping.zone)
        self._missing = Missing(mapping.missing)
        self._delimiter = "\t" if layout.delimiter == BLANKS else layout.delimiter

    def read(self, chunk: Chunk) -> Block | None:
        """The Block of all rows in `chunk`; None unless it has rows and every one is plain."""
        text = chunk.text
        if b"\0" in text or not _is_utf8(text):
            return None
        if self._layout.delimiter == BLANKS:
            if b'"' in text:
                return None
            text = _BLANKS.sub(b"\t", _EDGES.sub(b"", text))
        quoted = b'"' in text
        if quoted and not _quotes_are_plain(text, self._delimiter):
            return None
        ends = np.flatnonzero(np.frombuffer(text, dtype=np.uint8) == ord("\n"))
        lengths = np.diff(ends, prepend=-1) - 1
        lines = np.flatnonzero(lengths) + np.int64(chunk.first_line)
        if not len(lines) or lengths.max() > MAX_LINE_BYTES:
            return None
        try:
            return self._block(text, lines, quoted)
        except _NotPlainError:
            return None

    def _block(self, text: bytes, lines: NDArray[np.int64], quoted: bool) -> Block:
        table = self._table(text, quoted)
        if len(table) != len(lines):  # a line that only looks empty to one of the two: line numbers would be off
            raise _NotPlainError
        places = self._layout.places
        at_us = utc_us_of_texts(_joined(table, len(places["time"])), self._mapping.times or "iso", self._zone)
        if at_us is None:
            raise _NotPlainError
        if self._layout.vessel is None:
            vessels, vessel_codes = self._ids(table["vessel"])
        else:
            vessels, vessel_codes = (self._layout.vessel,), np.zeros(len(lines), dtype=np.int32)
        sensors, sensor_codes = vessels, vessel_codes
        if "sensor" in places:
            sensors, sensor_codes = self._ids(table["sensor"], vessels, vessel_codes)
        values = {
            name: self._missing.numbers(_floats(table[name])) if name in places else np.full(len(lines), np.nan)
            for name in VALUE_COLUMNS
        }
        if np.any(np.isnan(values["gravity"]) & np.isnan(values["temperature"])):
            raise _NotPlainError
        units = self._mapping.units
        if probably_other_unit(values["gravity"], units.gravity):
            raise _NotPlainError
        return Block(sensors, vessels, sensor_codes, vessel_codes, at_us, **values, line=lines, units=units)

    def _ids(
        self,
        column: pa.ChunkedArray,
        instead: tuple[str, ...] = (),
        codes: NDArray[np.int32] | None = None,
    ) -> tuple[tuple[str, ...], NDArray[np.int32]]:
        """The ids of a column, and for each row its place in them; of an empty cell that of `instead` and `codes`."""
        encoded = column.unify_dictionaries().combine_chunks()
        try:
            cells = [self._missing.blanked(name.strip()) for name in encoded.dictionary.to_pylist()]
            names = [parse_id(cell, make=bool(self._mapping.make_ids)) if cell else "" for cell in cells]
        except BadCellError:
            raise _NotPlainError from None
        indices = encoded.indices.fill_null(len(names)).to_numpy()
        empty = np.isin(indices, [i for i, name in enumerate(names) if not name] + [len(names)])
        used = [name for name in names if name]
        if np.any(empty):
            if codes is None:
                raise _NotPlainError
            used += instead
        ids = {name: code for code, name in enumerate(dict.fromkeys(used))}
        recoded = np.array([ids.get(name, 0) for name in [*names, ""]], dtype=np.int32)[indices]
        if codes is not None and np.any(empty):
            recoded[empty] = np.array([ids[name] for name in instead], dtype=np.int32)[codes[empty]]
        return tuple(ids), recoded

    def _table(self, text: bytes, quoted: bool) -> pa.Table:
        import pyarrow as pa
        from pyarrow import csv

        names = [f"ignored {place}" for place in range(len(self._layout.labels))]
        wanted: dict[str, pa.DataType] = {}
        for role, places in self._layout.places.items():
            for nth, place in enumerate(places):
                names[place] = f"time {nth}" if role == "time" else role
                if role in ("vessel", "sensor"):
                    wanted[names[place]] = pa.dictionary(pa.int32(), pa.string())
                else:
                    wanted[names[place]] = pa.string() if role == "time" else pa.float64()
        if not set(wanted) <= set(names):  # one column that is two things
            raise _NotPlainError
        try:
            return csv.read_csv(
                pa.BufferReader(text),
                csv.ReadOptions(column_names=names, block_size=len(text) + 1),
                csv.ParseOptions(
                    delimiter=self._delimiter, quote_char='"' if quoted else False, escape_char=False,
                    newlines_in_values=False,
                ),
                csv.ConvertOptions(
                    column_types=wanted, include_columns=list(wanted), null_values=["", *self._missing.words],
                    decimal_point="," if self._mapping.decimal_comma else ".", quoted_strings_can_be_null=True,
                ),
            )  # fmt: skip
        except pa.ArrowInvalid:
            raise _NotPlainError from None


def _joined(table: pa.Table, parts: int) -> pa.ChunkedArray:
    import pyarrow.compute as pc

    texts = pc.utf8_trim_whitespace(table["time 0"])
    for nth in range(1, parts):
        texts = pc.binary_join_element_wise(texts, pc.utf8_trim_whitespace(table[f"time {nth}"]), " ")
    return texts


def _quotes_are_plain(text: bytes, delimiter: str) -> bool:
    """Whether each quote opens or closes a whole field, in turn, and no field holds a quote or a line end."""
    characters = np.frombuffer(b"\n" + text, dtype=np.uint8)
    quotes = np.flatnonzero(characters == ord('"'))
    edges = (ord(delimiter), ord("\n"))
    if len(quotes) % 2:
        return False
    before, after = characters[quotes[0::2] - 1], characters[quotes[1::2] + 1]
    if not np.isin(before, edges).all() or not np.isin(after, edges).all():
        return False
    ends = np.flatnonzero(characters == ord("\n"))
    return bool(np.array_equal(np.searchsorted(ends, quotes[0::2]), np.searchsorted(ends, quotes[1::2])))


def _is_utf8(text: bytes) -> bool:
    if text.isascii():
        return True
    try:
        text.decode()
    except UnicodeDecodeError:
        return False
    return True


def _floats(column: pa.ChunkedArray) -> FloatArray:
    values = np.asarray(column.to_numpy(), dtype=np.float64)
    # An empty cell is NaN here; one that says nan or inf is no number.
    if np.count_nonzero(~np.isfinite(values)) != column.null_count:
        raise _NotPlainError
    return values
