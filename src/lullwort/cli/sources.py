"""The log files that a command is given: how each is read, followed on its way, and what of it was set aside."""

from __future__ import annotations

import csv
import io
import os
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from lullwort.cli.lines import say
from lullwort.collector import Log, Mapping, propose_mapping
from lullwort.counting import counted
from lullwort.errors import RefusedError, UsageError
from lullwort.exporting import write_text
from lullwort.records import Block, SetAside

__all__ = ["Source", "followed", "log_sources", "refuse_to_overwrite", "tell_remarks", "tell_set_aside"]

_SHOWN = 10
_WORTH_A_BAR = 8 << 20
"""[bytes] A smaller file is read before one could look."""


class Source(NamedTuple):
    """A log file and how it is read."""

    path: Path
    mapping: Mapping


def log_sources(paths: Iterable[Path], stated: Mapping, *, as_proposed: bool) -> list[Source]:
    """How each file is read: as stated, or completed as proposed. Raises UsageError where something stays doubtful."""
    if not as_proposed:
        return [Source(path, stated) for path in paths]
    sources = []
    for path in paths:
        proposal = propose_mapping(path, stated)
        if proposal.doubts:
            raise UsageError(f"{path}: " + "; ".join(map(str, proposal.doubts)))
        for says in proposal.found:
            say(f"{path}: {says}", err=True)
        sources.append(Source(path, proposal.mapping))
    return sources


def followed(log: Log) -> Iterator[tuple[Block, list[SetAside]]]:
    """The blocks of a log; a large one shows on a terminal how far it has been read."""
    if log.size < _WORTH_A_BAR or not sys.stderr.isatty():
        yield from log.blocks()
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(log.path.name, total=log.size)
        for block in log.blocks():
            yield block
            progress.update(task, completed=log.done)


def tell_remarks(log: Log) -> None:
    """Say on standard error what is worth knowing about a file that has been read."""
    for remark in log.remarks:
        say(f"{log.path}: {remark}", err=True)


def tell_set_aside(set_aside: list[SetAside], file: Path | None) -> None:
    """Name the rows that were set aside, the first few in full, on standard error; all of them in `file` if wanted.

    Raises: RefusedError if that is there already, SourceError if it cannot be written.
    """
    if file is not None:
        _write(set_aside, file)
    if not set_aside:
        return
    say(f"{counted(len(set_aside), 'row')} set aside:", err=True)
    for row in set_aside[:_SHOWN]:
        say(f"  {row}", err=True)
    if len(set_aside) > _SHOWN:
        where = f"; all stand in {file}" if file is not None else "; --set-aside FILE writes them all"
        say(f"  and {len(set_aside) - _SHOWN} more{where}", err=True)
    say("--dry-run shows how a log is read, --help the options that state it.", err=True)


def refuse_to_overwrite(file: Path | None) -> None:
    """Raise RefusedError, before anything is done, if a file that is to be written is there already."""
    if file is not None and os.path.lexists(file):
        raise RefusedError(f"{file}: is there already; name another file for the rows set aside")


def _write(set_aside: list[SetAside], file: Path) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(["file", "line", "column", "seen", "expected", "row"])
    writer.writerows(_cells(row) for row in set_aside)
    write_text(file, out.getvalue(), overwrite=False)


def _cells(row: SetAside) -> list[Any]:
    return [row.place, row.line or "", row.column, row.seen, row.expected, row.raw_text]
