"""How the times of a text file are written, and what is asked where they may be meant in two ways."""

from __future__ import annotations

import re
from collections.abc import Iterator

import msgspec

from lullwort.collector.table.doubts import half_days, looks_iso, mostly, orders_that_fit, split_rows, zone_doubts
from lullwort.collector.table.draft import NUMBER, Draft
from lullwort.collector.table.layout import Layout
from lullwort.collector.table.textsource import LineSource

__all__ = ["find_times"]


def find_times(draft: Draft, layout: Layout, rows: list[list[str]], source: LineSource) -> None:
    """The form of the times, and whether they need a zone; all of the file is read where `rows` leave a doubt."""
    written = [" ".join(row[at] for at in layout.places["time"]) for row in rows]
    if draft.stated.times is None:
        _find_form(draft, layout, [text for text in written if text.strip()], source)
    unzoned = zone_doubts(written, draft.mapping.times or "iso", msgspec.structs.replace(draft.mapping, zone=None))
    draft.unzoned = "".join(doubt.says for doubt in unzoned)
    draft.doubts += unzoned if draft.mapping.zone is None else []


def _find_form(draft: Draft, layout: Layout, written: list[str], source: LineSource) -> None:
    for form in ("iso", "unix", "unix-ms", "serial"):
        if mostly(_is_written_as(text, form) for text in written[:50]):
            draft.take(times=form)
            draft.found.append(f"times such as {written[0]!r} are read as {form}")
            return
    fits = orders_that_fit(written)
    if len(fits) > 1:
        fits = orders_that_fit(_all_times(layout, source)) or fits
    if not fits:
        _ask_about_form(draft, written)
        return
    draft.take(times=fits[0])
    if len(fits) > 1:
        options = " or ".join(f"--times {order}" for order in fits)
        draft.ask(f"in dates such as {written[0]!r} day and month both fit", options, "times")
        return
    draft.found.append(f"dates such as {written[0]!r} can only be in the order {fits[0]}")
    if half_days(written):
        draft.ask("no time is after noon, as if AM and PM were missing", f"--times {fits[0]}", "times")


def _ask_about_form(draft: Draft, written: list[str]) -> None:
    if mostly(bool(orders_that_fit([text])) for text in written[:50]):
        odd = "dates fit no one order, as if some were written otherwise"
        draft.ask(odd, "--times dmy or --times mdy", "times")
    else:
        shown = written[0] if written else ""
        draft.ask(f"times such as {shown!r} are in no known form", "--column time=NAME", "columns")


def _all_times(layout: Layout, source: LineSource) -> Iterator[str]:
    """The time in every row of the file that has as many fields as the header."""
    for chunk in source.chunks():
        skipped = max(0, layout.first_row + 1 - chunk.first_line)
        lines = chunk.text.decode(errors="replace").split("\n")[skipped:]
        for row in split_rows(lines, layout):
            yield " ".join(row[at] for at in layout.places["time"])


_PLAUSIBLE: dict[str, tuple[float, float]] = {"unix": (1e8, 5e9), "unix-ms": (1e11, 5e12), "serial": (2e4, 1.1e5)}
"""Numbers that are times of sensors that anybody may have had."""


def _is_written_as(text: str, form: str) -> bool:
    if form not in _PLAUSIBLE:
        return looks_iso(text)
    low, high = _PLAUSIBLE[form]
    return NUMBER.fullmatch(text) is not None and low <= float(text.replace(",", ".")) <= high and not _is_day(text)


def _is_day(text: str) -> bool:
    """Whether a number is a date written without separators, as 20260302."""
    return re.fullmatch(r"(?:19|20)[0-9]{2}(?:0[1-9]|1[0-2])[0-3][0-9]", text) is not None
