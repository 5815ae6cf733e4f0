"""The readings file (CSV), streamed: every row becomes a reading or is set aside, in bounded memory."""

from __future__ import annotations

import hashlib
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.collector.csvfast import FastReader
from lullwort.collector.csvlayout import Layout, read_layout
from lullwort.collector.csvoptions import CsvOptions
from lullwort.collector.csvrows import RowReader
from lullwort.collector.textchunks import CHUNK_BYTES, MAX_LINE_BYTES, Chunk, text_chunks
from lullwort.errors import SourceError
from lullwort.records import Block, SetAside

__all__ = ["CsvLog", "open_csv"]

_SINGLY_BYTES = 16 * 1024
_PIECES = 16
"""A chunk that is not plain throughout is tried again in so many pieces, and a piece like a chunk, down to that size;
then it goes row by row. Fewer pieces or smaller ones cost more in trying than they save."""

_HASH_BYTES = 1 << 20


@dataclass
class CsvLog:
    """A readings file, open; see `Log`. Make it with `open_csv`.

    Attributes:
        sha256: of the `size` bytes that the file had when it was opened; later ones are not read.
        layout: what its header says.
        plain_at_once: False reads every row singly: slower, the same result.
    """

    path: Path
    options: CsvOptions
    sha256: str
    size: int
    layout: Layout
    stream: BinaryIO
    chunk_bytes: int = CHUNK_BYTES
    plain_at_once: bool = True
    done: int = 0
    kind: str = "csv"

    @property
    def understood(self) -> str:
        """See `Log`."""
        return repr(self.options)

    @property
    def remarks(self) -> tuple[str, ...]:
        """See `Log`."""
        ignored = self.layout.ignored
        return (f"columns not used: {', '.join(ignored)}",) if ignored else ()

    def blocks(self) -> Iterator[tuple[Block, list[SetAside]]]:
        """Rows in the order of the file, some MB of text at a time. Raises SourceError if reading fails."""
        fast = FastReader(self.layout, self.options) if self.plain_at_once else None
        rows = RowReader(str(self.path), self.layout, self.options)
        open_end = Chunk(0, b"")
        with _reading(self.path):
            for chunk in _after_header(self._chunks()):
                if open_end.text:
                    chunk = Chunk(open_end.first_line, open_end.text + chunk.text)
                builder = BlockBuilder(self.options.units)
                set_aside: list[SetAside] = []
                open_end = _take(chunk, fast, rows, builder, set_aside)
                self.done = self.stream.tell()
                yield builder.build(), set_aside
        if open_end.text:
            builder, set_aside = BlockBuilder(self.options.units), []
            rows.read(open_end.text.split(b"\n")[:-1], open_end.first_line, builder, set_aside, final=True)
            yield builder.build(), set_aside

    def _chunks(self) -> Iterator[Chunk]:
        self.stream.seek(0)
        return text_chunks(self.stream, self.size, self.chunk_bytes)


@contextmanager
def open_csv(
    path: Path, options: CsvOptions, *, chunk_bytes: int = CHUNK_BYTES, plain_at_once: bool = True
) -> Iterator[CsvLog]:
    """The readings file at `path`, read until the context ends.

    Raises: SourceError in a sentence if there is none, or it is no readings file.
    """
    with _reading(path):
        if not stat.S_ISDIR(mode := path.stat().st_mode) and not stat.S_ISREG(mode):
            raise SourceError(f"{path}: is a stream that cannot be read twice; save it as a file first")
        stream = path.open("rb")
    with stream:
        with _reading(path):
            sha256, size = _fingerprint(stream)
            stream.seek(0)
            header = _header(path, text_chunks(stream, size, _HASH_BYTES))
        layout = read_layout(header, str(path), options.vessel)
        yield CsvLog(path, options, sha256, size, layout, stream, chunk_bytes, plain_at_once)


def _fingerprint(stream: BinaryIO) -> tuple[str, int]:
    """SHA-256 of all there is at this moment, and how many bytes that is."""
    digest, size = hashlib.sha256(), 0
    while data := stream.read(_HASH_BYTES):
        digest.update(data)
        size += len(data)
    return digest.hexdigest(), size


def _header(path: Path, chunks: Iterator[Chunk]) -> str:
    for chunk in chunks:
        line, _ = _split_header(chunk)
        if line is None:
            continue
        if line.startswith((b"\xff\xfe", b"\xfe\xff")):
            raise SourceError(f"{path}: is text in UTF-16, expected UTF-8; save it again as UTF-8")
        if b"\0" in line or len(line) > MAX_LINE_BYTES:
            raise SourceError(f"{path}: is not a text file, expected a readings file (CSV)")
        try:
            return line.decode()
        except UnicodeDecodeError as exc:
            raise SourceError(f"{path}: its first line is not text in UTF-8; save it again as UTF-8") from exc
    raise SourceError(f"{path}: is empty, expected a header such as time,vessel,gravity,temperature")


def _split_header(chunk: Chunk) -> tuple[bytes | None, Chunk]:
    """The first line that is not blank, if the chunk has one, and what follows it."""
    start = 0
    while start < len(chunk.text):
        end = chunk.text.index(b"\n", start)
        line, start = chunk.text[start:end], end + 1
        if line.strip():
            passed = chunk.text.count(b"\n", 0, start)
            return line, Chunk(chunk.first_line + passed, chunk.text[start:])
    return None, chunk


def _after_header(chunks: Iterator[Chunk]) -> Iterator[Chunk]:
    header = None
    for chunk in chunks:
        if header is None:
            header, chunk = _split_header(chunk)
            if header is None or not chunk.text:
                continue
        yield chunk


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


@contextmanager
def _reading(path: Path) -> Iterator[None]:
    try:
        yield
    except FileNotFoundError as exc:
        raise SourceError(f"{path}: there is no such file") from exc
    except IsADirectoryError as exc:
        raise SourceError(f"{path}: is a folder, expected a readings file") from exc
    except PermissionError as exc:
        raise SourceError(f"{path}: may not be read by this user") from exc
    except OSError as exc:
        raise SourceError(f"{path}: cannot be read: {exc.strerror or exc}") from exc
