"""A log file of any format, opened for reading."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lullwort.collector.csvlog import head_lines, open_csv, opened_lines
from lullwort.collector.log import Log
from lullwort.collector.mapping import Mapping
from lullwort.collector.proposal import Proposal, propose

__all__ = ["open_log", "propose_mapping"]


@contextmanager
def open_log(path: Path, mapping: Mapping) -> Iterator[Log]:
    """The log at `path`, read until the context ends as `mapping` says.

    Raises: SourceError in a sentence if there is none or it cannot be read; UsageError that names the option which
            settles what cannot be told from the file.
    """
    with open_csv(path, mapping) as log:
        yield log


def propose_mapping(path: Path, stated: Mapping) -> Proposal:
    """How the text file at `path` could be read, where `stated` leaves something open. Raises as `open_log` does."""
    with opened_lines(path, stated) as source:
        return propose(source, head_lines(source, strict=True), stated)
