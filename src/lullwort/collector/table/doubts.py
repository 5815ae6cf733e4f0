"""What cannot be told from a text file alone, and which option settles it: asked before a single row is taken."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple, get_args

import numpy as np

from lullwort.collector.mapping import Mapping, Times
from lullwort.collector.table.cells import BadCellError, parse_number
from lullwort.collector.table.layout import Layout, split_fields
from lullwort.collector.table.localtime import RepeatedTimeError
from lullwort.collector.table.missing import Missing
from lullwort.collector.table.timecells import NO_ZONE, ORDERED, OUT_OF_RANGE, parse_time
from lullwort.collector.table.unitguess import (
    battery_units_that_fit,
    gravity_units_that_fit,
    temperature_units_that_fit,
)
from lullwort.decimalmark import with_mark
from lullwort.errors import UsageError
from lullwort.records import zone_info
from lullwort.units import FloatArray

__all__ = [
    "FITTING",
    "Doubt",
    "column_numbers",
    "half_days",
    "looks_iso",
    "mostly",
    "orders_that_fit",
    "refuse_doubtful",
    "split_rows",
    "unit_doubts",
    "zone_doubts",
]

_LOOKED_AT = 500
_MANY, _HALF_DAY = 48, 12
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[Tt ][0-9]{2}:?[0-9:.,]*(?:[Zz]|[+-][0-9:]+)?)?|[0-9]{8}T[0-9]{4,6}.*")
_CLOCK = re.compile(r"[ T]([0-9]{1,2}):[0-9]{2}")

FITTING: dict[str, Callable[[FloatArray], tuple[str, ...]]] = {
    "gravity": gravity_units_that_fit,
    "temperature": temperature_units_that_fit,
    "battery": battery_units_that_fit,
}
"""For each role with a unit, how to tell which may be meant."""


class Doubt(NamedTuple):
    """What is doubtful, the options that settle it, and the field of a mapping that is in question."""

    says: str
    options: str
    field: str

    def __str__(self) -> str:
        return f"{self.says}: state {self.options}"


def refuse_doubtful(place: str, lines: Sequence[str], layout: Layout, mapping: Mapping) -> None:
    """Raise UsageError where the first rows do not fit what is stated or what holds for a readings file.

    Args:    mapping: what is stated, by a person or by the header.
    """
    rows = split_rows(lines[:_LOOKED_AT], layout)
    times = mapping.times or "iso"
    written = [" ".join(row[at] for at in layout.places["time"]) for row in rows]
    doubts = []
    if mapping.times is None and (likely := _other_form(written)):
        doubts.append(Doubt(f"times such as {written[0]!r} are not ISO 8601", likely, "times"))
    else:
        doubts += zone_doubts(written, times, mapping)
    # The units of a readings file hold for columns that are called as in one.
    own = {role: getattr(mapping.as_readings_file(), role) for role in FITTING if layout.label(role).lower() == role}
    doubts += unit_doubts(rows, layout, mapping.over(Mapping(**own)), mapping)
    if doubts:
        raise UsageError(f"{place}: " + "; ".join(map(str, doubts)) + ". --dry-run shows how the file would be read")


def split_rows(lines: Iterable[str], layout: Layout) -> list[list[str]]:
    """The fields of those lines that have as many as the header."""
    rows = []
    for line in lines:
        try:
            fields = split_fields(line, layout.delimiter)
        except csv.Error:
            continue
        if len(fields) >= len(layout.labels) and any(fields):
            rows.append(fields)
    return rows


def zone_doubts(written: Sequence[str], times: Times, mapping: Mapping) -> list[Doubt]:
    """Whether a zone is needed and not stated."""
    if mapping.zone is not None:
        return []
    without = ""
    for text in written:
        try:
            parse_time(text, times, None)
        except BadCellError as exc:
            if exc.expected == NO_ZONE:
                without = without or text
        else:
            return []  # the others are slips, and set aside
    return (
        [Doubt(f"times such as {without!r} have no offset", "--zone, as --zone Europe/Berlin", "zone")]
        if without
        else []
    )


def unit_doubts(rows: Sequence[Sequence[str]], layout: Layout, used: Mapping, stated: Mapping) -> list[Doubt]:
    """Whether values fit their unit, where no person `stated` it; `used` has what the header names.

    A unit in the header, or that of a readings file, settles which of several fits, but not that values are possible.
    """
    doubts = []
    for role, fits_of in FITTING.items():
        if role not in layout.places or getattr(stated, role) is not None:
            continue
        numbers = column_numbers(rows, layout.places[role][0], used)
        fits = fits_of(numbers)
        headed = getattr(used, role)
        if role == "temperature" and gravity_units_that_fit(numbers) == ("sg",):
            swapped = f"temperature {range_says(numbers, used)}, which looks like SG"
            doubts.append(Doubt(swapped, "--column temperature=NAME", "columns"))
        elif fits and ((headed or getattr(used.units, role)) not in fits or (headed is None and len(fits) > 1)):
            options = " or ".join(f"--log-{role} {fit}" for fit in fits)
            given = "and no unit is given" if headed is None else f"which does not fit {headed}"
            doubts.append(Doubt(f"{role} {range_says(numbers, used)} {given}", options, role))
    return doubts


def range_says(numbers: FloatArray, mapping: Mapping) -> str:
    """From where to where the numbers of a column run, a few left out; with the mark that stands in its file."""
    low, high = (with_mark(f"{n:.5g}", mapping.decimal or "point") for n in np.nanquantile(numbers, (0.01, 0.99)))
    return f"runs from {low} to {high}"


def column_numbers(rows: Sequence[Sequence[str]], place: int, mapping: Mapping) -> FloatArray:
    """The numbers in one column, NaN where there is none."""
    missing = Missing(mapping.missing)

    def number(cell: str) -> float:
        try:
            return missing.number(parse_number(missing.blanked(cell), "", decimal_comma=mapping.decimal_comma))
        except BadCellError:
            return math.nan

    return np.array([number(row[place]) for row in rows], dtype=np.float64)


def orders_that_fit(written: Iterable[str]) -> tuple[Times, ...]:
    """In which orders of day, month and year all these texts are dates; what is none in any order is a slip."""
    fitting: list[Times] = ["ymd", "dmy", "mdy"]
    some = False
    for text in written:
        orders = [order for order in get_args(Times) if order in ORDERED and _is_time(text, order)]
        if orders:
            some = True
            fitting = [order for order in fitting if order in orders]
        if not fitting:
            break
    return tuple(fitting) if some else ()


def mostly(found: Iterable[bool]) -> bool:
    """Whether it is so for nine in ten, and for one at least: the others are slips."""
    so = list(found)
    return sum(so) >= max(1.0, 0.9 * len(so))


def half_days(written: Sequence[str]) -> bool:
    """Whether the hours of many times are those from 1 to 12, with nothing to tell noon from night."""
    hours = [int(found[1]) for text in written if (found := _CLOCK.search(text))]
    plain = not any(letter in text for text in written for letter in "aApP")
    return plain and len(hours) >= _MANY and set(hours) == set(range(1, _HALF_DAY + 1))


def looks_iso(text: str) -> bool:
    """Whether a text is an ISO 8601 time as logs have it, with a date and dashes."""
    return _ISO.fullmatch(text) is not None


def _other_form(written: Sequence[str]) -> str:
    """The options for times none of which is in ISO 8601; empty if some are, or if no form fits."""
    given = [text for text in written if text]
    if not given or any(map(looks_iso, given)):
        return ""
    forms: tuple[Times, ...] = ("ymd", "dmy", "mdy", "unix", "unix-ms", "serial")
    fitting = [form for form in forms if mostly(_is_time(text, form) for text in given[:50])]
    return " or ".join(f"--times {form}" for form in fitting)


def _is_time(text: str, times: Times) -> bool:
    try:
        parse_time(text, times, zone_info("UTC"))
    except RepeatedTimeError:
        return True
    except BadCellError as exc:
        return exc.expected.startswith(OUT_OF_RANGE)
    return True
