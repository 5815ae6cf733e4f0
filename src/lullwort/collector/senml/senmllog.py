"""A file of SenML packs [RFC8428] as a log."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from lullwort.collector.filefaults import opened, reading
from lullwort.collector.mapping import Mapping
from lullwort.collector.senml.packs import SenmlDecoder
from lullwort.records import Block, SetAside

__all__ = ["SENML_SUFFIXES", "SenmlLog", "is_senml", "open_senml"]

SENML_SUFFIXES = (".senml", ".sensml", ".json")
"""Of files that may be SenML; of the last only what begins as it does."""
_LOOKED_AT = 4096


@dataclass
class SenmlLog:
    """A file of packs, read; see `Log`. Make it with `open_senml`."""

    path: Path
    data: bytes
    mapping: Mapping
    kind: str = "senml"

    def __post_init__(self) -> None:
        self.sha256 = hashlib.sha256(self.data).hexdigest()
        self._decoder = self._started()

    @property
    def size(self) -> int:
        """See `Log`."""
        return self._decoder.size

    @property
    def done(self) -> int:
        """See `Log`."""
        return self._decoder.done

    @property
    def understood(self) -> str:
        """See `Log`. Of a mapping only the vessel matters: all else is in the packs."""
        return Mapping(vessel=self.mapping.vessel).understood

    @property
    def remarks(self) -> tuple[str, ...]:
        """See `Log`."""
        said = []
        if self._decoder.marked:
            said.append("begins with a byte order mark, which SenML does not have; it is skipped")
        if self._decoder.unclosed:
            said.append("its last pack has no end; the file may have been cut off")
        return tuple(said)

    def blocks(self) -> Iterator[tuple[Block, list[SetAside]]]:
        """See `Log`. One pack at a time."""
        self._decoder = self._started()
        yield from self._decoder.blocks()

    def _started(self) -> SenmlDecoder:
        return SenmlDecoder(self.data, str(self.path), self.mapping.vessel, None)


@contextmanager
def open_senml(path: Path, mapping: Mapping) -> Iterator[SenmlLog]:
    """The file of packs at `path`, in `mapping.vessel` where they name none. All of it is read at once.

    Raises: SourceError in a sentence if there is none, it cannot be read or is nothing like SenML.
    """
    with opened(path) as stream, reading(path):
        data = stream.read()
    yield SenmlLog(path, data, mapping)


def is_senml(path: Path) -> bool:
    """Whether the file is SenML by its suffix, or is JSON that begins with an array. Raises SourceError."""
    suffix = path.suffix.lower()
    if suffix not in SENML_SUFFIXES:
        return False
    if suffix != ".json":
        return True
    with opened(path) as stream, reading(path):
        return stream.read(_LOOKED_AT).removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"[")
