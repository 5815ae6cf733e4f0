"""A mapping in the making: what is stated of a file, what was found out so far, and what stays doubtful."""

from __future__ import annotations

import csv
import re
from typing import Any

import msgspec

from lullwort.collector.mapping import DELIMITERS, Mapping
from lullwort.collector.table.doubts import Doubt
from lullwort.collector.table.layout import split_fields

__all__ = ["NUMBER", "Draft", "fields_of"]

NUMBER = re.compile(r"[+-]?[0-9]*[.,]?[0-9]+(?:[eE][+-]?[0-9]+)?")
"""What looks like a number, whatever its mark."""


class Draft:
    """Completed piece by piece, each of which may rest on those before.

    Attributes:
        lines:   the first of the file.
        stated:  what a person says of it.
        mapping: that, and what was found out.
        found:   the latter in words.
        doubts:  what only a person can tell.
        unzoned: that times have no offset, so that a zone is needed, stated or not; empty where they have.
    """

    def __init__(self, lines: list[str], stated: Mapping) -> None:
        self.lines, self.stated = lines, stated
        self.mapping = stated
        self.found: list[str] = []
        self.doubts: list[Doubt] = []
        self.unzoned = ""

    def take(self, **fields: Any) -> None:
        """Let these fields of the mapping be so."""
        self.mapping = msgspec.structs.replace(self.mapping, **fields)

    def ask(self, says: str, options: str, field: str) -> None:
        """Leave something to a person; arguments as of `Doubt`."""
        self.doubts.append(Doubt(says, options, field))

    def split(self, line: str) -> list[str]:
        """The fields of a line."""
        return fields_of(line, DELIMITERS[self.mapping.delimiter or "comma"])

    def table_lines(self) -> list[str]:
        """The lines of the table, its header first if it has one; blank ones left out."""
        return [line for line in self.lines[self.mapping.title_lines :] if line.strip()]

    def columns(self) -> tuple[str, ...]:
        """Each column by its number, its name and what its first row holds."""
        cells = [self.split(line) for line in self.table_lines()[:2]]
        names = cells[0] if cells and self.mapping.has_header else [""] * len(cells[0]) if cells else []
        row = cells[self.mapping.has_header] if len(cells) > self.mapping.has_header else []
        return tuple(
            f"#{i + 1} {name}".rstrip() + (f" such as {row[i]!r}" if i < len(row) and row[i] else "")
            for i, name in enumerate(names)
        )


def fields_of(line: str, delimiter: str) -> list[str]:
    """The fields of a line, whether or not its quotes fit."""
    try:
        return split_fields(line, delimiter)
    except csv.Error:
        return split_fields(line.replace('"', ""), delimiter)
