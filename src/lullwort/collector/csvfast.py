"""Many rows of a readings file at once, for the plain ones: no quotes, nothing to set aside, nothing doubtful.

Answers only where `csvrows` would give the same, value for value; for anything else it gives nothing and leaves the
rows to that.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

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


class FastReader:
    """Reads plain chunks of one file. pyarrow is loaded when the first is read."""

    def __init__(self, layout: Layout, options: CsvOptions) -> None:
        self._layout, self._options = layout, options
        self._zone = None if options.zone is None else zone_info(options.zone)

    def read(self, chunk: Chunk) -> Block | None:
        """The Block of all rows in `chunk`; None unless every one of them is plain."""
        text = chunk.text
        if self._layout.delimiter == BLANKS or b'"' in text or b"\0" in text or not _is_utf8(text):
            return None
        ends = np.flatnonzero(np.frombuffer(text, dtype=np.uint8) == ord("\n"))
        lengths = np.diff(ends, prepend=-1) - 1
        if lengths.max() > MAX_LINE_BYTES:
            return None
        lines = np.flatnonzero(lengths) + chunk.first_line
        if not len(lines):
            return BLANK
        return self._block(text, lines.astype(np.int64))

    def _block(self, text: bytes, lines: NDArray[np.int64]) -> Block | None:
        table = self._table(text)
        if table is None or len(table) != len(lines):
            return None
        at_us = self._utc_us(table["time"])
        if at_us is None:
            return None
        vessels = self._ids(table, "vessel")
        if vessels is None:
            return None
        sensors = vessels
        if "sensor" in self._layout.places:
            found = self._ids(table, "sensor")
            if found is None:
                return None
            sensors = found
        values = {name: _floats(table, name) for name in VALUE_COLUMNS}
