"""Gravities, strength, temperatures, volumes and carbonation of a batch, as its printed sheet has them."""

from __future__ import annotations

from lullwort.card.markup import part
from lullwort.exporting import escaped
from lullwort.packaging_day import Section, Sheet

__all__ = ["figures_part"]


def figures_part(sheet: Sheet, corrected: str) -> str:
    """The part.

    Args:    corrected: where the entries of the batch are.
    """
    body = "".join(_section(section, corrected) for section in sheet.sections)
    ranges = f'<p class="beside">{escaped(sheet.ranges)}</p>' if sheet.ranges else ""
    return part("figures", f'<div class="sections">{body}</div>{ranges}' if body else "", heading="Figures")


def _section(section: Section, corrected: str) -> str:
    rows = "".join(
        f"<div><dt>{escaped(row.label)}</dt><dd>{escaped(row.says)}"
        + (f' <span class="beside">{escaped(row.beside)}</span>' if row.beside else "")
        + (f' <a href="{escaped(corrected)}">correct it</a>' if row.label == "original" else "")
        + "</dd></div>"
        for row in section.rows
    )
    return f"<div><h3>{escaped(section.heading)}</h3><dl>{rows}</dl></div>"
