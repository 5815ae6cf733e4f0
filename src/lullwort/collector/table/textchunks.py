"""A text file in chunks of whole lines, every line end made LF, in bounded memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

__all__ = ["CHUNK_BYTES", "MAX_LINE_BYTES", "Chunk", "text_chunks"]

CHUNK_BYTES = 4 * 1024 * 1024
MAX_LINE_BYTES = 64 * 1024
"""A line longer than this is cut: no reading is, and a file without line ends must not fill the memory."""

_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True)
class Chunk:
    """Whole lines.

    Attributes:
        first_line: number of the first one in the file, the first being 1.
        text: the lines, each closed by LF; one that was cut is longer than MAX_LINE_BYTES still.
    """

    first_line: int
    text: bytes


class Readable(Protocol):
    """Gives bytes, and none when there are no more."""

    def read(self, size: int, /) -> bytes:
        """About `size` bytes."""


def text_chunks(stream: Readable, chunk_bytes: int = CHUNK_BYTES) -> Iterator[Chunk]:
    """The bytes of `stream` in chunks of about `chunk_bytes`, without a byte order mark.

    LF, CR LF and a CR alone each end a line.
    """
    line, carry, cutting = 1, b"", False
    for text in _pieces(stream, chunk_bytes):
        if cutting:
            _, newline, text = text.partition(b"\n")
            cutting = not newline
        text = carry + text
        cut = text.rfind(b"\n") + 1
        whole, carry = text[:cut], text[cut:]
        if len(carry) > MAX_LINE_BYTES:
            whole, carry, cutting = whole + carry[: MAX_LINE_BYTES + 1] + b"\n", b"", True
        if whole:
            yield Chunk(line, whole)
            line += whole.count(b"\n")
    if carry:
        yield Chunk(line, carry + b"\n")


def _pieces(stream: Readable, chunk_bytes: int) -> Iterator[bytes]:
    """The bytes as they come, with LF line ends only."""
    held = b""
    while len(held) < len(_BOM) and (data := stream.read(len(_BOM))):
        held += data
    held = held.removeprefix(_BOM)
    while data := stream.read(chunk_bytes):
        data = held + data
        # A CR at the very end may be the first half of a CR LF.
        held = b"\r" if data.endswith(b"\r") else b""
        yield _with_lf(data[: len(data) - len(held)])
    if held:
        yield _with_lf(held)


def _with_lf(text: bytes) -> bytes:
    if b"\r" not in text:
        return text
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
