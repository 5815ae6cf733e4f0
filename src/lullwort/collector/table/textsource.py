"""The text of a file in whole lines of UTF-8, whatever its encoding; noticed if it changes while it is read."""

from __future__ import annotations

import codecs
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol

from lullwort.collector.filefaults import reading
from lullwort.collector.mapping import Encoding
from lullwort.collector.table.textchunks import CHUNK_BYTES, Chunk, text_chunks
from lullwort.errors import SourceError

__all__ = ["LineSource", "TextSource", "encoding_of", "other_kind"]

_ZIP = b"PK\x03\x04"
_PICTURE = "a picture: take the CSV file that holds its numbers"


class LineSource(Protocol):
    """A file that can be read as lines of text, more than once."""

    path: Path
    sha256: str
    size: int
    done: int
    kind: str
    open_end: bool

    def chunks(self, chunk_bytes: int = ..., /) -> Iterator[Chunk]:
        """All its lines. Raises SourceError if reading fails."""

    def head(self, size: int, /) -> bytes:
        """Its first lines, about `size` bytes."""


@dataclass
class TextSource:
    """A text file of `size` bytes with that `sha256` [hex], open.

    `done` [bytes] of it have been read; `open_end` tells that what was read last had no line end.
    """

    path: Path
    stream: BinaryIO
    sha256: str
    size: int
    encoding: Encoding
    done: int = 0
    kind: str = "csv"
    open_end: bool = False

    def chunks(self, chunk_bytes: int = CHUNK_BYTES) -> Iterator[Chunk]:
        """All its lines. Raises SourceError, at the end, if the file is not what it was when it was opened."""
        with reading(self.path):
            self.stream.seek(0)
            self.done = 0
            again = _Rehashed(self)
            yield from text_chunks(again, chunk_bytes)
            if again.digest.hexdigest() != self.sha256:
                raise SourceError(
                    f"{self.path}: was changed while it was read; nothing of it is used, try again when it is complete"
                )

    def head(self, size: int) -> bytes:
        """Its first lines, about `size` bytes; all of it if it is not longer."""
        with reading(self.path):
            self.stream.seek(0)
            self.done = 0
            text = b""
            for chunk in text_chunks(_Rehashed(self), size):
                text += chunk.text
                if len(text) >= size // 2:
                    break
        return text


class _Rehashed:
    """Reads the bytes that were there when the file was opened, turned into UTF-8."""

    def __init__(self, source: TextSource) -> None:
        self._source = source
        self.digest = hashlib.sha256()
        self._decoder = None if source.encoding == "utf-8" else codecs.getincrementaldecoder(source.encoding)("replace")

    def read(self, size: int) -> bytes:
        source = self._source
        data = source.stream.read(min(size, source.size - source.done))
        source.done += len(data)
        if data:
            source.open_end = not data.rstrip(b"\0").endswith((b"\n", b"\r"))
        self.digest.update(data)
        if self._decoder is None:
            return data
        try:
            text = self._decoder.decode(data, final=not data)
        except UnicodeError as exc:  # UTF-16 without its mark of byte order
            raise SourceError(f"{source.path}: is not text in {source.encoding}: {exc}") from exc
        # A piece may end within a character and so give no text though there is more.
        return text.encode() if text or not data else self.read(size)


_OTHER_KINDS = (
    # By what the published standard of each begins with: ZIP, PNG, JPEG, GIF, PDF.
    (_ZIP, "a spreadsheet or an archive: save its sheet as CSV, and take that"),
    (b"\x89PNG\r\n\x1a\n", _PICTURE),
    (b"\xff\xd8\xff", _PICTURE),
    (b"GIF8", _PICTURE),
    (b"%PDF-", "a page to print: take the CSV file that holds its numbers"),
)


def other_kind(head: bytes) -> str:
    """What a file that begins so is, if that is certain and no text, with what to take instead; else nothing."""
    return next((says for begins, says in _OTHER_KINDS if head.startswith(begins)), "")


def encoding_of(head: bytes) -> Encoding | None:
    """The encoding that the first bytes of a file fit; None where they are no text at all."""
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    first_line = re.split(rb"[\r\n]", head.lstrip(), maxsplit=1)[0]
    if b"\0" in first_line:
        return None
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return "windows-1252"
    return "utf-8"
