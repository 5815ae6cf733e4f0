"""How a text file that nobody described could be read: proposed from the file itself, with what remains doubtful."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lullwort.collector.mapping import Mapping
from lullwort.collector.table.columnroles import find_columns, find_vessel
from lullwort.collector.table.columnvalues import find_missing, find_names, find_units
from lullwort.collector.table.doubts import Doubt, split_rows
from lullwort.collector.table.draft import Draft
from lullwort.collector.table.layout import read_layout
from lullwort.collector.table.tableshape import find_decimal_mark, find_table
from lullwort.collector.table.textsource import LineSource
from lullwort.collector.table.timeform import find_times
from lullwort.errors import SourceError

__all__ = ["Proposal", "propose"]

_LOOKED_AT = 1000


class Proposal(NamedTuple):
    """A mapping under which the file can be read, what was found out for it, and what only a person can tell.

    `columns` are those of the file; only where it is `readable` does the mapping say enough for a reading. `unzoned`
    tells that its times have no offset, whether or not a zone is stated; empty where they have.
    """

    mapping: Mapping
    found: tuple[str, ...]
    doubts: tuple[Doubt, ...]
    columns: tuple[str, ...]
    readable: bool
    unzoned: str = ""


def propose(source: LineSource, lines: Sequence[str], stated: Mapping) -> Proposal:
    """A mapping that completes what is `stated` of a file that begins with `lines`.

    Raises: SourceError, UsageError where no mapping can be found at all.
    """
    if not any(line.strip() for line in lines):
        raise SourceError(f"{source.path}: is empty")
    draft = Draft(list(lines), stated)
    find_table(draft)
    find_decimal_mark(draft)
    readable = find_columns(draft)
    find_vessel(draft)
    if readable:
        layout, draft.mapping = read_layout(draft.lines, str(source.path), draft.mapping)
        rows = split_rows(draft.lines[layout.first_row : layout.first_row + _LOOKED_AT], layout)
        find_names(draft, layout, rows)
        find_missing(draft, layout, rows)
        find_units(draft, layout, rows)
        find_times(draft, layout, rows, source)
    return Proposal(draft.mapping, tuple(draft.found), tuple(draft.doubts), draft.columns(), readable, draft.unzoned)
