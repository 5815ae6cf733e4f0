"""What was done to a batch, numbered as on its curve."""

from __future__ import annotations

from lullwort.card.pages.markup import moment, part
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.packaging_day import EventRow, Sheet

__all__ = ["done_part"]


def done_part(sheet: Sheet, units: Units) -> str:
    """The part; nothing where nothing was done."""
    if not sheet.events:
        return part("done", "")
    rows = "".join(_row(row, units) for row in sheet.events)
    head = '<tr><th scope="col">mark</th><th scope="col">when</th><th scope="col">what</th></tr>'
    return part(
        "done", f'<table class="done"><thead class="unseen">{head}</thead><tbody>{rows}</tbody></table>',
        heading="What was done",
    )  # fmt: skip


def _row(row: EventRow, units: Units) -> str:
    note = f' <span class="note">{escaped(row.note)}</span>' if row.note else ""
    return (
        f'<tr><td class="mark">{escaped(row.mark)}</td><th scope="row">'
        f"{moment(row.event.at_us, units, shown=row.when)}</th><td>{escaped(row.what)}{note}</td></tr>"
    )
