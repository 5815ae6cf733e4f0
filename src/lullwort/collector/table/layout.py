"""The header of a text file: which delimiter, and which column is what."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from typing import get_args

import msgspec

from lullwort.collector.mapping import DELIMITERS, REQUIRED, ROLES, Mapping
from lullwort.collector.table.headings import Heading, heading
from lullwort.errors import SourceError, UsageError
from lullwort.units import BatteryUnit, GravityUnit, TemperatureUnit

__all__ = ["BLANKS", "Layout", "best_delimiter", "read_layout", "split_fields"]

BLANKS = DELIMITERS["blanks"]
_SHOWN = 300
_BLANK_RUN = re.compile(r"[ \t]+")


@dataclass(frozen=True)
class Layout:
    """Where a row of one file has what.

    Attributes:
        delimiter: one character; BLANKS for runs of blanks.
        places:  for each role that the file has, the place of its column in a row; of the time maybe several.
        labels:  the file's own names of all columns, `#3` for one without.
        vessel:  the vessel of every row, where the file has no such column.
        ignored: names of columns that mean nothing here.
        first_row: how many lines come before the first row.
    """

    delimiter: str
    places: dict[str, tuple[int, ...]]
    labels: tuple[str, ...]
    vessel: str | None
    ignored: tuple[str, ...]
    first_row: int

    def label(self, role: str) -> str:
        """The file's own name of a column; of a sensor without a column of its own, the vessel's."""
        places = self.places.get(role)
        return role if places is None else " and ".join(self.labels[place] for place in places)


def split_fields(text: str, delimiter: str) -> list[str]:
    """The fields of one record, blanks around them removed. Raises csv.Error where its quotes do not fit.

    >>> split_fields('a ; "b;c";d', ";")
    ['a', 'b;c', 'd']
    """
    if '"' not in text:
        if delimiter == BLANKS:
            return _BLANK_RUN.split(text.strip(" \t"))
        return [part.strip() for part in text.split(delimiter)]
    text = text.replace("\t", " ").strip() if delimiter == BLANKS else text
    rows = list(csv.reader([text], delimiter=delimiter, skipinitialspace=True, strict=True))
    return [part.strip() for part in rows[0]]


def read_layout(lines: list[str], place: str, mapping: Mapping) -> tuple[Layout, Mapping]:
    """The layout of a file that begins with `lines`, and the mapping completed by units that its header names.

    Raises: SourceError for an empty file, and one whose header lacks a column or names it twice; UsageError where what
            is stated names no column.
    """
    at, line = _first_line(lines, place, mapping.title_lines)
    delimiter = DELIMITERS[mapping.delimiter] if mapping.delimiter else best_delimiter(line)
    try:
        fields = split_fields(line, delimiter)
    except csv.Error:
        fields = [line.strip()]
    labels = fields if mapping.has_header else [""] * len(fields)
    headings = [heading(label) for label in labels]
    places = _places(headings, labels, place, mapping)
    mapping = _with_units(mapping, {role: headings[at[0]] for role, at in places.items()})
    used = {column for columns in places.values() for column in columns}
    ignored = tuple(label for i, label in enumerate(labels) if label and i not in used)
    named = tuple(label or f"#{i}" for i, label in enumerate(labels, start=1))
    return Layout(delimiter, places, named, mapping.vessel, ignored, at + mapping.has_header), mapping


def _first_line(lines: list[str], place: str, skip: int) -> tuple[int, str]:
    for at, line in enumerate(lines[skip:], start=skip):
        if line.strip():
            return at, line
    raise SourceError(f"{place}: is empty, expected a header such as time,vessel,gravity,temperature")


def best_delimiter(line: str) -> str:
    """The delimiter that yields most known names, then most names; blanks only if no other yields as many."""
    found = []
    for delimiter in DELIMITERS.values():
        try:
            labels = split_fields(line, delimiter)
        except csv.Error:
            continue
        known = len({heading(label).name for label in labels} & set(ROLES))
        found.append((known, 0 if delimiter == BLANKS else len(labels), delimiter))
    return max(found, key=lambda split: split[:2])[2] if found else ","


def _places(headings: list[Heading], labels: list[str], place: str, mapping: Mapping) -> dict[str, tuple[int, ...]]:
    seen = ", ".join(repr(label) for label in labels if label) or "none"
    seen = seen if len(seen) <= _SHOWN else seen[:_SHOWN] + " …"
    names = [h.name for h in headings]
    places: dict[str, tuple[int, ...]] = {}
    for role, columns in mapping.columns.items():
        places[role] = tuple(_stated(role, column, labels, place, seen) for column in columns)
    for role in ROLES:
        if role in places or role in mapping.without or role not in names:
            continue
        if names.count(role) > 1:
            raise SourceError(f"{place}: the header names {role} more than once; state --column {role}=#N")
        places[role] = (names.index(role),)
    if mapping.vessel is not None and "vessel" in places:
        raise UsageError(f"{place}: has a column vessel of its own, so that no vessel can be given for all its rows")
    missing = [
        role
        for role in REQUIRED
        if role not in places and role not in mapping.without and not (role == "vessel" and mapping.vessel is not None)
    ]
    if missing:
        raise SourceError(
            f"{place}: the header has no column {' and no column '.join(missing)}; columns seen: {seen}. "
            "--dry-run shows how this file could be read"
        )
    return places


def _stated(role: str, column: str, labels: list[str], place: str, seen: str) -> int:
    if column.startswith("#") and column[1:].isdecimal() and 1 <= int(column[1:]) <= len(labels):
        return int(column[1:]) - 1
    fitting = [i for i, label in enumerate(labels) if label == column]
    fitting = fitting or [i for i, label in enumerate(labels) if label.lower() == column.lower()]
    if len(fitting) != 1:
        found = f"{len(fitting)} columns" if fitting else "no column"
        raise UsageError(f"{place}: {found} called {column!r} for {role}; columns seen: {seen}")
    return fitting[0]


def _with_units(mapping: Mapping, headed: dict[str, Heading]) -> Mapping:
    """Units that the header names, where none is stated."""
    units = {}
    for role, known in (("gravity", GravityUnit), ("temperature", TemperatureUnit), ("battery", BatteryUnit)):
        unit = headed[role].unit if role in headed else None
        if unit in get_args(known) and getattr(mapping, role) is None:
            units[role] = unit
    return msgspec.structs.replace(mapping, **units)
