"""How a text file that nobody described could be read: proposed from the file itself, with what remains doubtful."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple, get_args

import msgspec
import numpy as np

from lullwort.collector.mapping import DELIMITERS, Delimiter, Mapping
from lullwort.collector.table.cells import BadCellError, parse_id
from lullwort.collector.table.columnwords import role_of_label
from lullwort.collector.table.doubts import (
    FITTING,
    Doubt,
    column_numbers,
    half_days,
    looks_iso,
    mostly,
    orders_that_fit,
    split_rows,
    unit_doubts,
    zone_doubts,
)
from lullwort.collector.table.layout import Layout, best_delimiter, read_layout, split_fields
from lullwort.collector.table.textsource import LineSource
from lullwort.errors import SourceError

__all__ = ["Proposal", "propose"]

_LOOKED_AT = 1000
_NUMBER = re.compile(r"[+-]?[0-9]*[.,]?[0-9]+(?:[eE][+-]?[0-9]+)?")
_TIME_OF_DAY = re.compile(r"[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?(?: ?[AaPp]\.?[Mm]\.?)?")


class Proposal(NamedTuple):
    """A mapping under which the file can be read, what was found out for it, and what only a person can tell.

    `columns` are those of the file; only where it is `readable` does the mapping say enough for a reading.
    """

    mapping: Mapping
    found: tuple[str, ...]
    doubts: tuple[Doubt, ...]
    columns: tuple[str, ...]
    readable: bool


def propose(source: LineSource, lines: Sequence[str], stated: Mapping) -> Proposal:
    """A mapping that completes what is `stated` of a file that begins with `lines`.

    Raises: SourceError, UsageError where no mapping can be found at all.
    """
    return _Finder(source, list(lines), stated).proposal()


class _Finder:
    """Completes the mapping piece by piece: each may rest on those before."""

    def __init__(self, source: LineSource, lines: list[str], stated: Mapping) -> None:
        self._source, self._lines, self._stated = source, lines, stated
        self._mapping = stated
        self._found: list[str] = []
        self._doubts: list[Doubt] = []
        self._readable = True

    def proposal(self) -> Proposal:
        if not any(line.strip() for line in self._lines):
            raise SourceError(f"{self._source.path}: is empty")
        self._find_table()
        self._find_decimal_mark()
        self._find_columns()
        self._find_vessel()
        if not self._readable:
            return Proposal(self._mapping, tuple(self._found), tuple(self._doubts), self._columns(), readable=False)
        layout, self._mapping = read_layout(self._lines, str(self._source.path), self._mapping)
        rows = split_rows(self._lines[layout.first_row : layout.first_row + _LOOKED_AT], layout)
        self._find_names(layout, rows)
        self._find_missing(layout, rows)
        self._find_units(layout, rows)
        self._find_times(layout, rows)
        return Proposal(self._mapping, tuple(self._found), tuple(self._doubts), self._columns(), readable=True)

    def _columns(self) -> tuple[str, ...]:
        """Each column by its number, its name and what its first row holds."""
        lines = [line for line in self._lines[self._mapping.title_lines :] if line.strip()][:2]
        cells = [self._split(line) for line in lines]
        names = cells[0] if cells and self._mapping.has_header else [""] * len(cells[0]) if cells else []
        row = cells[self._mapping.has_header] if len(cells) > self._mapping.has_header else []
        return tuple(
            f"#{i + 1} {name}".rstrip() + (f" such as {row[i]!r}" if i < len(row) and row[i] else "")
            for i, name in enumerate(names)
        )

    def _doubt(self, says: str, options: str, field: str) -> None:
        self._doubts.append(Doubt(says, options, field))

    def _set(self, **fields: Any) -> None:
        self._mapping = msgspec.structs.replace(self._mapping, **fields)

    # -- the table as such -----------------------------------------------------------------------------------------

    def _find_table(self) -> None:
        """Delimiter, title lines before the table, and whether it has a header."""
        sample = [line for line in self._lines[self._stated.title_lines :][:100] if line.strip()]
        if self._stated.delimiter is None:
            self._set(delimiter=_likely_delimiter(sample))
        delimiter = DELIMITERS[self._mapping.delimiter or "comma"]
        widths = [len(_split(line, delimiter)) for line in self._lines[:200]]
        usual = Counter(width for width in widths if width > 1).most_common(1)
        if self._stated.skip_lines is None and usual:
            first = self._header_line([i for i, width in enumerate(widths) if width == usual[0][0]])
            if any(line.strip() for line in self._lines[:first]):
                self._set(skip_lines=first)
                self._found.append(f"the first {first} lines are a title" if first > 1 else "the first line is a title")
        start = next((line for line in self._lines[self._mapping.title_lines :] if line.strip()), "")
        cells = _split(start, delimiter)
        if self._stated.header is None and sum(1 for c in cells if _NUMBER.fullmatch(c)) > len(cells) // 2:
            self._set(header=False)
            self._found.append("there is no header; columns go by their number, as #3")

    def _header_line(self, candidates: list[int]) -> int:
        """The first line of the table: that which names most things a log has, if it names two; else the very first."""
        named = [len({role_of_label(cell) for cell in self._split(self._lines[i])} - {None}) for i in candidates[:30]]
        return candidates[named.index(max(named))] if self._mapping.has_header and max(named) > 1 else candidates[0]

    def _find_decimal_mark(self) -> None:
        if self._stated.decimal is not None:
            return
        cells = [cell for line in self._lines[:200] for cell in self._split(line)]
        commas = sum(1 for cell in cells if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", cell))
        points = sum(1 for cell in cells if re.fullmatch(r"[+-]?[0-9]+\.[0-9]+", cell))
        if commas and points:
            self._doubt(
                "some numbers have a decimal comma, some a point", "--decimal-comma or --decimal-point", "decimal"
            )
        elif commas:
            self._set(decimal="comma")
            self._found.append("numbers have a decimal comma")

    def _split(self, line: str) -> list[str]:
        return _split(line, DELIMITERS[self._mapping.delimiter or "comma"])

    # -- which column is what --------------------------------------------------------------------------------------

    def _find_columns(self) -> None:
        lines = [line for line in self._lines[self._mapping.title_lines :] if line.strip()]
        labels = self._split(lines[0]) if lines and self._mapping.has_header else []
        taken = {name for names in self._stated.columns.values() for name in names}
        found: dict[str, list[str]] = {}
        for place, label in enumerate(labels):
            role = role_of_label(label)
            if role is not None and label not in taken:
                once = labels.count(label) == 1
                found.setdefault(role, []).append(label if once else f"#{place + 1}")
        columns = dict(self._mapping.columns)
        if "time" not in columns:
            columns |= self._time_columns(labels, found)
        for role in ("gravity", "temperature", "sensor", "vessel", "battery", "signal", "inclination"):
            names = found.get(role, [])
            if role in columns or role in self._stated.without or not names:
                continue
            if len(names) > 1:
                options = " or ".join(f"--column {role}={name!r}" for name in names)
                self._doubt(f"{len(names)} columns may be the {role}", options, "columns")
            columns[role] = (names[0],)
        if self._stated.vessel is not None and "vessel" in columns and "vessel" not in self._stated.columns:
            del columns["vessel"]
            self._ask_about_vessels(found["vessel"][0], columns)
        self._set(columns=columns)
        self._absent(columns)

    def _time_columns(self, labels: list[str], found: dict[str, list[str]]) -> dict[str, tuple[str, ...]]:
        dates, times = found.get("date", []), found.get("time", [])
        rows = [self._split(line) for line in self._lines[self._mapping.title_lines + 1 :][:20]]
        of_day = [
            label
            for place, label in enumerate(labels)
            if rows and all(len(row) > place and _TIME_OF_DAY.fullmatch(row[place]) for row in rows if any(row))
        ]
        if dates and of_day and not self._has_time_of_day(labels.index(dates[0]) if dates[0] in labels else 0, rows):
            return {"time": (dates[0], next((label for label in of_day if label in times), of_day[0]))}
        whole = [name for name in (*times, *dates) if name not in of_day]
        if len(whole) > 1:
            options = " or ".join(f"--column time={name!r}" for name in whole)
            self._doubt(f"{len(whole)} columns may be the time", options, "columns")
        return {"time": (whole[0],)} if whole else {}

    @staticmethod
    def _has_time_of_day(place: int, rows: list[list[str]]) -> bool:
        """Whether the column at `place` tells more than a date."""
        return any(":" in row[place] for row in rows if len(row) > place)

    def _absent(self, columns: dict[str, tuple[str, ...]]) -> None:
        """Ask for what no column looks like."""
        for role in ("time", "gravity", "temperature"):
            if role in columns or role in self._mapping.without:
                continue
            leave_out = "" if role == "time" else f" or --without {role}"
            self._doubt(f"no column looks like the {role}", f"--column {role}=NAME{leave_out}", "columns")
        absent = [role for role in ("gravity", "temperature") if role not in columns]
        if len(absent) == 1 and not self._mapping.without:
            self._set(without=(absent[0],))
        self._readable = "time" in columns and len(absent) < 2

    def _ask_about_vessels(self, label: str, columns: dict[str, tuple[str, ...]]) -> None:
        """One vessel is stated, and a column seems to name several."""
        labels = self._split(next(line for line in self._lines[self._mapping.title_lines :] if line.strip()))
        place = int(label[1:]) - 1 if label.startswith("#") else labels.index(label)
        rows = [self._split(line) for line in self._lines[self._mapping.title_lines + 1 :]]
        names = {row[place] for row in rows if len(row) > place and row[place]}
        if len(names) > 1 and columns.get("sensor") != (label,):
            seen = " and ".join(repr(name) for name in sorted(names)[:3])
            self._doubt(
                f"{label} tells {len(names)} vessels or sensors apart, as {seen}",
                f"--column vessel={label!r} instead of --vessel, or --column sensor={label!r}", "columns",
            )  # fmt: skip

    def _find_vessel(self) -> None:
        if self._mapping.vessel is None and "vessel" not in self._mapping.columns:
            self._doubt("no column names the vessel", "--vessel ID, as --vessel north", "vessel")
            self._set(vessel="vessel")

    # -- what stands in the columns --------------------------------------------------------------------------------

    def _find_names(self, layout: Layout, rows: list[list[str]]) -> None:
        """Names that are no ids are made ids."""
        cells = {row[layout.places[role][0]] for role in ("vessel", "sensor") if role in layout.places for row in rows}
        odd = sorted(cell for cell in cells if cell and not _is_id(cell))
        if odd and not self._mapping.make_ids:
            self._set(make_ids=True)
            self._found.append(f"names are made ids, as {parse_id(odd[0], make=True)!r} of {odd[0]!r}")

    def _find_missing(self, layout: Layout, rows: list[list[str]]) -> None:
        if self._stated.missing:
            return
        words: Counter[str] = Counter()
        for role in ("gravity", "temperature"):
            if role not in layout.places:
                continue
            cells = [row[layout.places[role][0]] for row in rows]
            words.update(cell for cell in cells if cell and not any(map(str.isdigit, cell)) and len(cell) < 10)
            numbers = column_numbers(rows, layout.places[role][0], self._mapping)
            low = Counter(cell for cell, n in zip(cells, numbers.tolist(), strict=True) if n < -50.0)
            words.update({cell: count for cell, count in low.items() if count > 1})
        stands = tuple(word for word, count in words.items() if count > 1)
        if stands:
            self._set(missing=stands)
            self._found.append(f"{', '.join(stands)} stands for no value")

    def _find_units(self, layout: Layout, rows: list[list[str]]) -> None:
        for role, fits_of in FITTING.items():
            if role not in layout.places or getattr(self._stated, role) is not None:
                continue
            headed = getattr(self._mapping, role)
            if headed is not None:
                self._found.append(f"the header gives the {role} in {headed}")
                continue
            numbers = column_numbers(rows, layout.places[role][0], self._mapping)
            fits = fits_of(numbers)
            if len(fits) == 1:
                self._set(**{role: fits[0]})
                low, high = np.nanquantile(numbers, (0.01, 0.99)).tolist()
                self._found.append(f"{role} runs from {low:.5g} to {high:.5g}, which fits {fits[0]} alone")
        doubts = unit_doubts(rows, layout, self._mapping, self._stated)
        self._doubts += doubts
        for role in {doubt.field for doubt in doubts} & FITTING.keys():
            self._set(**{role: FITTING[role](column_numbers(rows, layout.places[role][0], self._mapping))[0]})

    def _find_times(self, layout: Layout, rows: list[list[str]]) -> None:
        places = layout.places["time"]
        written = [" ".join(row[at] for at in places) for row in rows]
        if self._stated.times is None:
            self._find_form(layout, [text for text in written if text.strip()])
        self._doubts += zone_doubts(written, self._mapping.times or "iso", self._mapping)

    def _find_form(self, layout: Layout, written: list[str]) -> None:
        for form in ("iso", "unix", "unix-ms", "serial"):
            if mostly(_is_written_as(text, form) for text in written[:50]):
                self._set(times=form)
                self._found.append(f"times such as {written[0]!r} are read as {form}")
                return
        fits = orders_that_fit(written)
        if len(fits) > 1:
            fits = orders_that_fit(self._all_times(layout)) or fits
        if not fits:
            self._ask_about_form(written)
            return
        self._set(times=fits[0])
        if len(fits) > 1:
            options = " or ".join(f"--times {order}" for order in fits)
            self._doubt(f"in dates such as {written[0]!r} day and month both fit", options, "times")
            return
        self._found.append(f"dates such as {written[0]!r} can only be in the order {fits[0]}")
        if half_days(written):
            self._doubt("no time is after noon, as if AM and PM were missing", f"--times {fits[0]}", "times")

    def _ask_about_form(self, written: list[str]) -> None:
        if mostly(bool(orders_that_fit([text])) for text in written[:50]):
            odd = "dates fit no one order, as if some were written otherwise"
            self._doubt(odd, "--times dmy or --times mdy", "times")
        else:
            shown = written[0] if written else ""
            self._doubt(f"times such as {shown!r} are in no known form", "--column time=NAME", "columns")

    def _all_times(self, layout: Layout) -> Iterator[str]:
        """The time in every row of the file that has as many fields as the header."""
        for chunk in self._source.chunks():
            skipped = max(0, layout.first_row + 1 - chunk.first_line)
            lines = chunk.text.decode(errors="replace").split("\n")[skipped:]
            for row in split_rows(lines, layout):
                yield " ".join(row[at] for at in layout.places["time"])


def _is_id(text: str) -> bool:
    try:
        return parse_id(text) == text
    except BadCellError:
        return False


_PLAUSIBLE: dict[str, tuple[float, float]] = {"unix": (1e8, 5e9), "unix-ms": (1e11, 5e12), "serial": (2e4, 1.1e5)}
"""Numbers that are times of sensors that anybody may have had."""


def _is_written_as(text: str, form: str) -> bool:
    if form not in _PLAUSIBLE:
        return looks_iso(text)
    low, high = _PLAUSIBLE[form]
    return _NUMBER.fullmatch(text) is not None and low <= float(text.replace(",", ".")) <= high and not _is_day(text)


def _split(line: str, delimiter: str) -> list[str]:
    """The fields of a line, whether or not its quotes fit."""
    try:
        return split_fields(line, delimiter)
    except csv.Error:
        return split_fields(line.replace('"', ""), delimiter)


def _is_day(text: str) -> bool:
    """Whether a number is a date written without separators, as 20260302."""
    return re.fullmatch(r"(?:19|20)[0-9]{2}(?:0[1-9]|1[0-2])[0-3][0-9]", text) is not None


def _likely_delimiter(sample: Sequence[str]) -> Delimiter:
    """That under which most lines have the same number of fields, more than one."""
    best: tuple[float, int] = (0.0, 0)
    chosen: Delimiter = next(
        d for d in get_args(Delimiter) if DELIMITERS[d] == best_delimiter(sample[0] if sample else "")
    )
    for delimiter, character in DELIMITERS.items():
        widths = Counter(len(_split(line, character)) for line in sample)
        width, count = max(((w, n) for w, n in widths.items() if w > 1), key=lambda wn: wn[1], default=(0, 0))
        score = (count / max(1, len(sample)) - (0.3 if delimiter == "blanks" else 0.0), width)
        if score > best and count > len(sample) / 2:
            best, chosen = score, delimiter
    return chosen
