"""A Parquet file as lines of text, so that one way of reading serves both: a header, then a line for each row."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from lullwort.collector.filefaults import reading
from lullwort.collector.table.textchunks import CHUNK_BYTES, Chunk
from lullwort.errors import SourceError

if TYPE_CHECKING:
    import pyarrow as pa
    import pyarrow.parquet as pq

__all__ = ["MAGIC", "ParquetSource"]

MAGIC = b"PAR1"
_ROW_BYTES = 64
"""Of text, about; how many rows make a chunk."""


@dataclass
class ParquetSource:
    """A Parquet file of `size` bytes with that `sha256` [hex], open; `done` [bytes] of it have been read.

    The first line is the header, so that row 1 is line 2. Numbers come in the fewest digits that read back the same;
    columns of lists and the like are left out.
    """

    path: Path
    stream: BinaryIO
    sha256: str
    size: int
    done: int = 0
    kind: str = "parquet"
    open_end: bool = False

    def chunks(self, chunk_bytes: int = CHUNK_BYTES) -> Iterator[Chunk]:
        """All its lines. Raises SourceError if it is no sound Parquet file."""
        import pyarrow as pa
        from pyarrow import parquet

        with reading(self.path):
            self.stream.seek(0)
            try:
                file = parquet.ParquetFile(pa.PythonFile(self.stream, mode="r"))
                yield from self._chunks(file, max(1, chunk_bytes // _ROW_BYTES))
            except (pa.ArrowException, UnicodeDecodeError) as exc:
                raise SourceError(f"{self.path}: cannot be read as Parquet: {exc}") from exc
            self.done = self.size

    def head(self, size: int) -> bytes:
        """Its first lines, about `size` bytes."""
        text = b""
        for chunk in self.chunks(size):
            text += chunk.text
            if chunk.first_line > 1:
                break
        return text

    def _chunks(self, file: pq.ParquetFile, rows: int) -> Iterator[Chunk]:
        import pyarrow as pa

        plain = [field.name for field in file.schema_arrow if _is_plain(field.type)]
        header = pa.table({str(i): [name] for i, name in enumerate(plain)})
        yield Chunk(1, _as_text(header))
        line, total = 2, max(1, file.metadata.num_rows)
        for batch in file.iter_batches(batch_size=rows, columns=plain):
            self.done = self.size * (line - 2) // total
            yield Chunk(line, _as_text(pa.Table.from_batches([batch])))
            line += len(batch)


def _as_text(table: pa.Table) -> bytes:
    import pyarrow as pa
    import pyarrow.compute as pc
    from pyarrow import csv

    columns = []
    for column in table.columns:
        if pa.types.is_dictionary(column.type):
            column = column.cast(column.type.value_type)
        if pa.types.is_floating(column.type):
            column = _without_nan(column.cast(pa.float64()))
        elif not pa.types.is_temporal(column.type):
            column = pc.replace_substring_regex(column.cast(pa.string()), r"[\r\n]+", " ")
        columns.append(column)
    out = io.BytesIO()
    csv.write_csv(pa.table(columns, names=table.column_names), out, csv.WriteOptions(include_header=False))
    return out.getvalue()


def _is_plain(kind: pa.DataType) -> bool:
    import pyarrow as pa

    kind = kind.value_type if pa.types.is_dictionary(kind) else kind
    return not (pa.types.is_nested(kind) or "binary" in str(kind))


def _without_nan(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """Numbers with nothing for NaN; large whole ones, as times are, so that they are not written with an exponent."""
    import pyarrow as pa
    import pyarrow.compute as pc

    column = pc.if_else(pc.is_nan(column), None, column)
    times = pc.and_(pc.equal(column, pc.floor(column)), pc.and_(pc.greater(column, 1e6), pc.less(column, 2.0**53)))
    whole = pc.all(times).as_py()
    return column.cast(pa.int64()) if whole else column
