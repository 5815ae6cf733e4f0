"""A text file of readings, streamed: every row becomes a reading or is set aside, in bounded memory."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.filefaults import fingerprint, opened, reading
from lullwort.collector.mapping import Mapping
from lullwort.collector.table.doubts import refuse_doubtful
from lullwort.collector.table.fast import FastReader
from lullwort.collector.table.layout import Layout, read_layout
from lullwort.collector.table.parquetsource import MAGIC, ParquetSource
from lullwort.collector.table.repeatedhour import RepeatedHour
from lullwort.collector.table.rows import RowReader
from lullwort.collector.table.textchunks import CHUNK_BYTES, MAX_LINE_BYTES, Chunk
from lullwort.collector.table.textsource import LineSource, TextSource, encoding_of, other_kind
from lullwort.errors import SourceError
from lullwort.records import Block, SetAside

__all__ = ["TableLog", "head_lines", "open_table", "opened_lines"]

_SINGLY_BYTES = 16 * 1024
_PIECES = 16
"""A chunk that is not plain throughout is tried again in so many pieces, and a piece like a chunk, down to that size;
then it goes row by row. Fewer pieces or smaller ones cost more in trying than they save."""

HEAD_BYTES = 1 << 16
"""How much of a file is looked at before it is read."""


@dataclass
class TableLog:
    """A text file of readings, open; see `Log`. Make it with `open_table`.

    Attributes:
        mapping: how it is read, completed by what the header says.
        layout:  which column is what.
        plain_at_once: False reads every row singly: slower, the same result.
    """

    source: LineSource
    mapping: Mapping
    layout: Layout
    chunk_bytes: int = CHUNK_BYTES
    plain_at_once: bool = True
    _told_apart: int = 0

    @property
    def path(self) -> Path:
        """See `Log`."""
        return self.source.path

    @property
    def kind(self) -> str:
        """See `Log`."""
        return self.source.kind

    @property
    def sha256(self) -> str:
        """See `Log`."""
        return self.source.sha256

    @property
    def size(self) -> int:
        """See `Log`."""
        return self.source.size

    @property
    def done(self) -> int:
        """See `Log`."""
        return self.source.done

    @property
    def understood(self) -> str:
        """See `Log`."""
        return self.mapping.understood

    @property
    def remarks(self) -> tuple[str, ...]:
        """See `Log`."""
        said = []
        if self.layout.ignored:
            said.append(f"columns not used: {', '.join(self.layout.ignored)}")
        if self._told_apart:
            said.append(
                f"{self._told_apart} rows stand in an hour that a clock change repeats; their order tells them apart"
            )
        if self.source.open_end:
            said.append("the last line has no end; if the file was cut off, its last row may be cut too")
        return tuple(said)

    def blocks(self) -> Iterator[tuple[Block, list[SetAside]]]:
        """Rows in the order of the file, some MB of text at a time. Raises SourceError if reading fails."""
        fast = FastReader(self.layout, self.mapping) if self.plain_at_once else None
        repeated = RepeatedHour(str(self.path))
        rows = RowReader(str(self.path), self.layout, self.mapping, repeated)
        units = self.mapping.units
        open_end = Chunk(0, b"")
        for chunk in _after(self.layout.first_row, self.source.chunks(self.chunk_bytes)):
            if open_end.text:
                chunk = Chunk(open_end.first_line, open_end.text + chunk.text)
            builder = BlockBuilder(units)
            set_aside: list[SetAside] = []
            open_end = _take(chunk, fast, rows, builder, set_aside)
            block = builder.build()
            repeated.look(block)
            yield block, set_aside
        builder, set_aside = BlockBuilder(units), []
        if open_end.text:
            rows.read(open_end.text.split(b"\n")[:-1], open_end.first_line, builder, set_aside, final=True)
            repeated.look(builder.build())
        repeated.settle(builder, set_aside)
        self._told_apart = repeated.told_apart
        last = builder.build()
        if len(last) or set_aside:
            yield last, set_aside


@contextmanager
def open_table(
    path: Path, mapping: Mapping, *, chunk_bytes: int = CHUNK_BYTES, plain_at_once: bool = True
) -> Iterator[TableLog]:
    """The text or Parquet file at `path`, read until the context ends as `mapping` says, else as a readings file.

    Raises: SourceError in a sentence if there is none or it is no text; UsageError that names the option which settles
            what cannot be told from the file.
    """
    with opened_lines(path, mapping) as source:
        mapping = mapping.of_typed_columns() if source.kind == "parquet" else mapping
        lines = head_lines(source)
        layout, mapping = read_layout(lines, str(path), mapping)
        refuse_doubtful(str(path), lines[layout.first_row :], layout, mapping)
        yield TableLog(source, mapping.as_readings_file(), layout, chunk_bytes, plain_at_once)


@contextmanager
def opened_lines(path: Path, mapping: Mapping) -> Iterator[LineSource]:
    """The lines of the file at `path`: of a Parquet file, or of a text in the encoding stated or UTF-8.

    Raises: SourceError if it is neither.
    """
    with opened(path) as stream:
        with reading(path):
            sha256, size = fingerprint(stream)
            stream.seek(0)
            head = stream.read(HEAD_BYTES)
        if head.startswith(MAGIC):
            yield ParquetSource(path, stream, sha256, size)
            return
        if kind := other_kind(head):
            raise SourceError(f"{path}: is not a text file but {kind}")
        source = TextSource(path, stream, sha256, size, mapping.encoding or "utf-8")
        if mapping.encoding is None:
            fits = encoding_of(head)
            if fits is None:
                raise SourceError(f"{path}: is not a text file, expected a log such as a CSV file")
            if fits == "utf-16":
                raise SourceError(f"{path}: is text in UTF-16; state --encoding utf-16")
        yield source


def head_lines(source: LineSource, *, strict: bool = False) -> list[str]:
    """The first lines of a text. Raises SourceError if the very first, or with `strict` any, is not in the encoding."""
    lines = source.head(HEAD_BYTES).split(b"\n")[:-1]
    first = next((line for line in lines if line.strip()), b"")
    if len(first) > MAX_LINE_BYTES:
        raise SourceError(f"{source.path}: is not a text file, expected a log such as a CSV file")
    try:
        b"\n".join(lines if strict else [first]).decode()
    except UnicodeDecodeError as exc:
        raise SourceError(
            f"{source.path}: {'is' if strict else 'its first line is'} not text in UTF-8; save it again so, or state "
            "--encoding windows-1252"
        ) from exc
    return [line.decode(errors="replace") for line in lines]


def _after(lines: int, chunks: Iterator[Chunk]) -> Iterator[Chunk]:
    """What comes after the first `lines`."""
    for chunk in chunks:
        if chunk.first_line > lines:
            yield chunk
            continue
        start = 0
        for _ in range(lines - chunk.first_line + 1):
            start = chunk.text.find(b"\n", start) + 1
            if not start:
                break
        if start and start < len(chunk.text):
            yield Chunk(lines + 1, chunk.text[start:])


def _take(
    chunk: Chunk, fast: FastReader | None, rows: RowReader, builder: BlockBuilder, set_aside: list[SetAside]
) -> Chunk:
    """Read `chunk`; returns the lines at its end, if any, whose row goes on in the next."""
    block = None if fast is None else fast.read(chunk)
    if block is not None:
        builder.extend(block)
        return Chunk(0, b"")
    text = chunk.text
    one_line = text.find(b"\n") == len(text) - 1
    # A quoted field may hold line ends, so that a cut might fall inside a row.
    if fast is not None and len(text) > _SINGLY_BYTES and not one_line and b'"' not in text:
        for piece in _pieces(chunk):
            _take(piece, fast, rows, builder, set_aside)
        return Chunk(0, b"")
    lines = text.split(b"\n")[:-1]
    taken = rows.read(lines, chunk.first_line, builder, set_aside, final=False)
    return Chunk(chunk.first_line + taken, b"".join(line + b"\n" for line in lines[taken:]))


def _pieces(chunk: Chunk) -> Iterator[Chunk]:
    """The lines of `chunk`, which are several, in two or more pieces of about one size."""
    text, line, start = chunk.text, chunk.first_line, 0
    size = len(text) // _PIECES
    while start < len(text):
        end = text.find(b"\n", min(start + size, len(text) - 1)) + 1
        if end - start == len(text):
            end = text.find(b"\n") + 1
        yield Chunk(line, text[start:end])
        line += text.count(b"\n", start, end)
        start = end
