"""Gravities, strength, temperatures, volumes and carbonation of a batch, as its printed sheet has them."""

from __future__ import annotations

from lullwort.card.known.facts import BatchFacts
from lullwort.card.pages.markup import batch_path, part
from lullwort.exporting import escaped
from lullwort.packaging_day import Section, Sheet

__all__ = ["figures_part"]


def figures_part(facts: BatchFacts, sheet: Sheet) -> str:
    """The part; of a beer that may be packaged with what has to be entered before its sugar can be told."""
    corrected = batch_path(facts.batch.name, "edit")
    body = "".join(_section(section, corrected) for section in sheet.sections)
    ranges = f'<p class="beside">{escaped(sheet.ranges)}</p>' if sheet.ranges else ""
    body = f'<div class="sections">{body}</div>{ranges}' if body else ""
    return part("figures", body + _unprimed(facts), heading="Figures")


def _unprimed(facts: BatchFacts) -> str:
    """Why no sugar is told of a beer that may be packaged, where entries are missing for it; else nothing."""
    day, sheet = facts.batch.packaging_day, facts.sheet
    may_be = facts.judged.verdict == "ready" and not facts.over and not sheet.noted.undoes and not sheet.danger.any
    closed = sheet.closed
    told = day.primed_g is not None or closed.to_prime is not None or closed.target_exceeds or closed.by_gauge
    if not may_be or told or not closed.limit.bears:
        return ""
    missing = []
    if day.target_g_l is None:
        missing.append(("target", "the carbonation to aim at"))
    if day.sugar is None:
        missing.append(("sugar", "what it is primed with"))
    if sheet.moved is None:
        missing.append(("volume", "how much beer there is"))
    if not missing:
        return ""
    where = batch_path(facts.batch.name, "edit")
    links = [f'<a href="{where}#f-{field}">{says}</a>' for field, says in missing]
    listed = " and ".join([", ".join(links[:-1]), links[-1]] if len(links) > 1 else links)
    return f"<p>No sugar for priming is told, for this is not on record: {listed}.</p>"


def _section(section: Section, corrected: str) -> str:
    rows = "".join(
        f"<div><dt>{escaped(row.label)}</dt><dd>{escaped(row.says)}"
        + (f' <span class="beside">{escaped(row.beside)}</span>' if row.beside else "")
        + (f' <a href="{escaped(corrected)}">correct it</a>' if row.label == "original" else "")
        + "</dd></div>"
        for row in section.rows
    )
    return f"<div><h3>{escaped(section.heading)}</h3><dl>{rows}</dl></div>"
