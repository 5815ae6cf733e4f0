"""The page of a batch, written as a file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from lullwort import __version__
from lullwort.analysis import CourseHour
from lullwort.detector import Units
from lullwort.explained import COMMON_PRACTICE, OURS, Explained
from lullwort.exporting import batch_curve, room_for, sheet_html, shown_events, write_text
from lullwort.packaging_day import SheetFacts, sheet_of

__all__ = ["write_sheet"]

_KEY = re.compile(r"\b[A-Z][A-Za-z]+(?:[0-9]{2,4}|(?= \())")


def write_sheet(
    path: Path, facts: SheetFacts, course: Sequence[CourseHour], figures: Iterable[Explained], units: Units, *,
    whole_by: str, overwrite: bool,
) -> None:  # fmt: skip
    """Write it as a whole or not at all; `whole_by` is the command that tells all of it. Raises as `write_text`."""
    page = sheet_of(facts, units)
    curve = batch_curve(
        facts, {row.event: row.mark for row in shown_events(page.events, room_for(page).events)}, course, units
    )
    html = sheet_html(page, curve, units, _sources(list(figures)), whole_by, f"Lullwort {__version__}.")
    write_text(path, html, overwrite=overwrite)


def _sources(figures: Sequence[Explained]) -> str:
    """Keys of the references, each once, and what stands beside them; empty where no figure is shown."""
    said = [figure.source for figure in figures]
    keys = dict.fromkeys(key for source in said for key in _KEY.findall(source))
    practice = ["common practice"] if any(COMMON_PRACTICE in source for source in said) else []
    own = ["methods of its own"] if any(OURS in source for source in said) else []
    return (
        f"Sources: {', '.join([*keys, *practice, *own])}; --explain tells of each figure its formula." if said else ""
    )
