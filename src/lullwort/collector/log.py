"""A log file opened for reading, whatever its format."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

from lullwort.records import Block, SetAside

__all__ = ["Log"]


class Log(Protocol):
    """What every format gives to those who store or judge a log."""

    @property
    def path(self) -> Path:
        """The file."""

    @property
    def kind(self) -> str:
        """Of format: "csv", "parquet" or "senml"."""

    @property
    def sha256(self) -> str:
        """[hex] Of the content that is read."""

    @property
    def understood(self) -> str:
        """How it is read, in one way of writing it: the same content and this are the same import."""

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the person who hands the file in should know, in sentences without the file's name."""

    @property
    def size(self) -> int:
        """[bytes] To be read."""

    @property
    def done(self) -> int:
        """[bytes] Read so far."""

    def blocks(self) -> Iterator[tuple[Block, list[SetAside]]]:
        """Its rows in their order, some MB at a time. Raises SourceError if reading fails."""
