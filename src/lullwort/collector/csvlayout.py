"""The header of a readings file: which delimiter, and which column is what."""

from __future__ import annotations

import csv
from dataclasses import dataclass, field

from lullwort.errors import SourceError

__all__ = ["BLANKS", "Layout", "read_layout", "split_fields"]

BLANKS = " "
"""Stands for any run of blanks and tabs."""

_DELIMITERS = (",", ";", "\t", "|")
_REQUIRED = ("time", "vessel", "gravity", "temperature")
_KNOWN = (*_REQUIRED, "sensor", "battery", "signal", "inclination")


@dataclass(frozen=True)
class Layout:
    """Where a row of one file has what.

    Attributes:
        delimiter: one character; BLANKS for runs of blanks.
        places:  for each known column that the file has, its place in a row.
        labels:  the file's own names of all columns.
        vessel:  the vessel of every row, where the file has no such column.
        ignored: names of columns that mean nothing here.
    """

    delimiter: str
    places: dict[str, int]
    labels: tuple[str, ...]
    vessel: str | None = None
    ignored: tuple[str, ...] = field(default=())

    def label(self, column: str) -> str:
        """The file's own name of a known column; of the sensor without a column of its own, the vessel's."""
        place = self.places.get(column)
        return column if place is None else self.labels[place]


def split_fields(text: str, delimiter: str) -> list[str]:
    """The fields of one record, blanks around them removed. Raises csv.Error where its quotes do not fit.

    >>> split_fields('a ; "b;c";d', ";")
    ['a', 'b;c', 'd']
    """
    if '"' not in text:
        return text.split() if delimiter == BLANKS else [part.strip() for part in text.split(delimiter)]
    text = text.replace("\t", " ").strip() if delimiter == BLANKS else text
    rows = list(csv.reader([text], delimiter=delimiter, skipinitialspace=True, strict=True))
    return [part.strip() for part in rows[0]]


def read_layout(header: str, place: str, vessel: str | None) -> Layout:
    """The layout that `header` announces. `vessel` is that of a file without such a column.

    Raises: SourceError that names the columns missing and those seen, or a column that comes twice.
    """
    delimiter, labels = _best_split(header)
    names = [label.lower() for label in labels]
    twice = sorted({name for name in names if name in _KNOWN and names.count(name) > 1})
    if twice:
        raise SourceError(f"{place}: the header names {', '.join(twice)} more than once")
    places = {name: names.index(name) for name in _KNOWN if name in names}
    if vessel is not None and "vessel" in places:
        raise SourceError(f"{place}: has a column vessel of its own, so that no vessel can be given for all its rows")
    missing = [name for name in _REQUIRED if name not in places and not (name == "vessel" and vessel is not None)]
    if missing:
        seen = ", ".join(repr(label) for label in labels if label) or "none"
        raise SourceError(
            f"{place}: the header has no column {' and no column '.join(missing)}; columns seen: {_shortened(seen)}"
        )
    ignored = tuple(label for label, name in zip(labels, names, strict=True) if name and name not in _KNOWN)
    return Layout(delimiter, places, tuple(labels), vessel, ignored)


def _best_split(header: str) -> tuple[str, list[str]]:
    """The delimiter that yields most known names, then most names; blanks only if no other yields as many."""
    found = []
    for delimiter in (*_DELIMITERS, BLANKS):
        try:
            labels = split_fields(header, delimiter)
        except csv.Error:
            continue
        known = len({label.lower() for label in labels} & set(_KNOWN))
        found.append((known, 0 if delimiter == BLANKS else len(labels), delimiter, labels))
    if not found:
        return ",", [header.strip()]
    return max(found, key=lambda split: split[:2])[2:]


def _shortened(text: str, limit: int = 300) -> str:
    return text if len(text) <= limit else text[:limit] + " …"
