"""The page of a batch at a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from lullwort.analysis import CourseHour
from lullwort.cli.drawn import drawn_course
from lullwort.cli.overlaytext import overlay_text
from lullwort.detector import Units
from lullwort.packaging_day import Section, Sheet, SheetFacts
from lullwort.records import HOUR_US

__all__ = ["show_sheet"]

_NARROW, _LEAST_DRAWN = 60, 38
"""[columns] Below the first a figure's name has a line of its own; a picture does not fit into less than the second."""
_PICTURE = 76
_FIELDS = ("Opened on", "Looks and head", "Smell", "Taste")


def show_sheet(sheet: Sheet, facts: SheetFacts, course: Sequence[CourseHour], units: Units, out: Console) -> None:
    """Print the page, the whole of it."""
    out.print(Text(sheet.title, style="bold"))
    out.print(Text(sheet.where))
    if sheet.danger:
        out.print(Text.assemble(("Danger. ", "bold"), sheet.danger))
    out.print(Text.assemble("May it be packaged?  ", (sheet.answer, "bold"), f" ({sheet.verdict})."))
    for reason in filter(None, (sheet.noted, *sheet.reasons)):
        out.print(Text(reason))
    for nth, line in enumerate(sheet.next.splitlines()):
        # A command stays whole: half of it, copied, may be another command.
        out.print(Text.assemble(("" if nth else "Next: ", "bold"), line), soft_wrap=line.startswith("  "))
    _picture(facts, course, units, out)
    for section in sheet.sections:
        _section(section, out)
    _events(sheet, out)
    _checks(sheet, out)
    _heading("By hand", out)
    for field in _FIELDS:
        out.print(Padding(Text(f"{field:<14} {'_' * max(8, min(out.width, _PICTURE) - 17)}"), (0, 0, 0, 2)))
    if sheet.ranges:
        out.print()
        out.print(Text(sheet.ranges))


def _heading(says: str, out: Console) -> None:
    out.print()
    out.print(Text(says, style="underline"))


def _picture(facts: SheetFacts, course: Sequence[CourseHour], units: Units, out: Console) -> None:
    if out.width < _LEAST_DRAWN:
        return
    to_h = (facts.as_of_us - facts.batch.pitched_us) / HOUR_US
    drawn = drawn_course(facts.batch, facts.seen, course, to_h, units)
    if drawn is not None:
        out.print()
        for line in overlay_text([("#", drawn)], min(out.width, _PICTURE), units):
            out.print(Text(line), soft_wrap=True)


def _section(section: Section, out: Console) -> None:
    _heading(section.heading, out)
    if out.width < _NARROW:
        for row in section.rows:
            beside = f", {row.beside}" if row.beside else ""
            out.print(Padding(Text.assemble((f"{row.label}: ", ""), row.says, beside), (0, 0, 0, 2)))
        return
    table = _table(2)
    for row in section.rows:
        table.add_row(Text(row.label), Text(f"{row.says}; {row.beside}" if row.beside else row.says))
    out.print(Padding(table, (0, 0, 0, 2)))


def _table(columns: int) -> Table:
    """All columns but the last as wide as they need."""
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, show_header=False)
    for _ in range(columns - 1):
        table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    return table


def _events(sheet: Sheet, out: Console) -> None:
    if not sheet.events:
        return
    _heading("What was done", out)
    table, narrow = _table(2), out.width < _NARROW
    for row in sheet.events:
        note = f"; {row.note}" if row.note else ""
        if narrow:
            out.print(Padding(Text(f"{row.when} {row.what}{note}"), (0, 0, 0, 2)))
            continue
        table.add_row(Text(row.when), Text(f"{row.what}{note}"))
    if not narrow:
        out.print(Padding(table, (0, 0, 0, 2)))


def _checks(sheet: Sheet, out: Console) -> None:
    if not sheet.checks:
        return
    _heading(sheet.checks_head, out)
    if out.width < _NARROW:
        for check in sheet.checks:
            holds = "yes" if check.passed else "no"
            out.print(Padding(Text(f"{holds}, {check.check}: {check.says}"), (0, 0, 0, 2)))
        return
    table = _table(3)
    for check in sheet.checks:
        table.add_row(Text("yes" if check.passed else "no"), Text(check.check), Text(check.says))
    out.print(Padding(table, (0, 0, 0, 2)))
