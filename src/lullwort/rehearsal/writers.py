"""Invented batches as the two files a brewer would have, a log and batches. The truth is in neither."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lullwort.exporting import batches_text
from lullwort.records import Reading, format_utc, to_datetime
from lullwort.rehearsal.invented import Invented
from lullwort.rehearsal.logform import LogForm
from lullwort.science import from_sg
from lullwort.units import from_celsius

__all__ = ["batches_toml", "csv_lines", "csv_text"]


def csv_lines(*invented: Invented) -> Iterator[str]:
    """The log line by line, each with its line end: a readings file unless the kind has a form of its own.

    Values that were not sent stay empty. Of several batches it is one log after the other.
    """
    first = invented[0]
    if first.log_form is not None:
        yield from _lines_in_form(first.log_form, [r for one in invented for r in one.readings])
        return
    yield "time,vessel,gravity,temperature\n"
    for r in (r for one in invented for r in one.readings):
        gravity = "" if r.gravity is None else f"{r.gravity:.4f}"
        temp_c = "" if r.temperature_c is None else f"{r.temperature_c:.1f}"
        yield f"{format_utc(r.at_us)},{r.vessel},{gravity},{temp_c}\n"


def csv_text(invented: Invented) -> str:
    """The whole log."""
    return "".join(csv_lines(invented))


def batches_toml(*invented: Invented) -> str:
    """The batches file, with what the brewer entered and logged."""
    return batches_text([one.batch for one in invented])


def _lines_in_form(form: LogForm, readings: Iterable[Reading]) -> Iterator[str]:
    between = ";" if form.decimal_comma else ","
    date = "%d/%m/%Y" if form.order == "dmy" else "%m/%d/%Y"
    places = {"sg": 4, "plato": 2}.get(form.gravity, 1)

    def cell(value: float | None, decimals: int) -> str:
        written = "" if value is None else f"{value:.{decimals}f}"
        return written.replace(".", ",") if form.decimal_comma else written

    yield between.join(("Time", "Gravity", "Temperature")) + "\n"
    for r in readings:
        gravity = None if r.gravity is None else from_sg(r.gravity, form.gravity)
        temp = None if r.temperature_c is None else from_celsius(r.temperature_c, form.temperature)
        at = to_datetime(r.at_us).strftime(f"{date} %H:%M:%S")
        yield between.join((at, cell(gravity, places), cell(temp, 1))) + "\n"
