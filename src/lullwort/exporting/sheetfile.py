"""One page for a batch as HTML that stands on its own: to be printed on one A4 or Letter page, or read on a phone.

Everything that somebody wrote is escaped. Nothing is loaded from anywhere, and no script runs.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from lullwort.counting import counted
from lullwort.detector import Units
from lullwort.exporting.batchcurve import BatchCurve
from lullwort.exporting.curve import curve_svg
from lullwort.exporting.curvepanel import CurveSize
from lullwort.exporting.curvesays import curve_says
from lullwort.exporting.curvestyle import CURVE_STYLE
from lullwort.exporting.escaped import escaped
from lullwort.exporting.sheetroom import Room, event_words, room_for, shortened, shown_events
from lullwort.exporting.sheetstyle import SHEET_STYLE
from lullwort.packaging_day import CheckRow, EventRow, Section, Sheet

__all__ = ["sheet_html"]

_WORDS = 70
"""[characters] Longer words in the head are cut."""
_SMALL = CurveSize(340, 300)
"""For a phone, where the picture for paper would be too small to read."""
_LINES = 30
_CUT = "…"
_OPTION = re.compile(r"(?<!\S)(--[a-z-]+)")


def sheet_html(sheet: Sheet, curve: BatchCurve | None, units: Units, sources: str, whole_by: str, made_by: str) -> str:
    """The page. What does not fit is left out, with a count and where the whole is.

    Args:
        sources:  of the figures, as one line.
        whole_by: the command that tells all that is left out.
        made_by:  the line at the very end.
    """
    room = room_for(sheet)
    body = [
        _head(sheet),
        _why(sheet, room.passage),
        _figure(sheet, curve, units, CurveSize(760, room.curve)),
        '<div class="facts">',
        *(_section(section) for section in sheet.sections),
        _events(sheet.events, room, whole_by),
        "</div>",
        _evidence(sheet, room.sentence, whole_by),
        _by_hand(),
        _foot([sheet.ranges, sources, made_by]),
    ]
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            f"<title>{escaped(sheet.title)}: batch sheet</title>",
            f"<style>{SHEET_STYLE}{CURVE_STYLE}</style>\n</head>\n<body>",
            '<main class="sheet dense">' if room.dense else '<main class="sheet">',
            *filter(None, body),
            "</main>\n</body>\n</html>\n",
        ]
    )


def _head(sheet: Sheet) -> str:
    """What is on top of the page: a danger stands between its title and the answer, which may be yes all the same."""
    kind = ' class="warned"' if sheet.danger else ""
    return (
        f'<header{kind}><div><p class="kind">Batch sheet</p><h1>{escaped(shortened(sheet.title, _WORDS))}</h1>'
        f"<p>{escaped(shortened(sheet.where, 2 * _WORDS))}</p></div>"
        f'{_danger(sheet)}<div class="answer"><p class="kind">May it be packaged?</p>'
        f'<p class="word">{escaped(sheet.answer)}</p>'
        f"<p>{escaped(sheet.verdict)}</p></div></header>"
    )


def _danger(sheet: Sheet) -> str:
    return f'<p class="danger" role="note"><strong>Danger.</strong> {escaped(sheet.danger)}</p>' if sheet.danger else ""


def _why(sheet: Sheet, passage: int) -> str:
    reasons = escaped(shortened(sheet.why, passage))
    says = [escaped(shortened(line, passage)) for line in sheet.next.splitlines() if not line.startswith("  ")]
    commands = [f"<code>{escaped(line.strip())}</code>" for line in sheet.next.splitlines() if line.startswith("  ")]
    todo = f"<p><b>Next</b> {' '.join([*says, *commands])}</p>" if says else ""
    return f'<section class="why"><p>{reasons}</p>{todo}</section>'


def _figure(sheet: Sheet, curve: BatchCurve | None, units: Units, wide: CurveSize) -> str:
    if curve is None:
        return '<p class="nothing">No gravity has been read yet, by a sensor or by hand: there is no curve.</p>'
    label = f"Course of {sheet.title}. {curve_says(curve, units)}"
    drawn = "".join(
        f'<div class="{name}">{curve_svg(curve, units, size, label)}</div>'
        for name, size in (("wide", wide), ("small", _SMALL))
    )
    return f"<figure>{drawn}<figcaption>{escaped(_key(curve))}</figcaption></figure>"


def _key(curve: BatchCurve) -> str:
    """What is drawn, by its shape."""
    parts = ["line: smoothed", "grey: hourly medians"] if len(curve.days) else []
    if not curve.believed.all():
        parts.append("dashed: read in the cold, not believed")
    if curve.samples:
        parts.append("◇ hand sample with its range" + ("" if len(curve.days) else ", dashed between them"))
    if curve.held is not None:
        parts.append(f"box: held still for {curve.held.hours} h, the proof")
    if curve.expected is not None:
        parts.append("dot-dash: where it should end")
    if len(curve.temps):
        parts.append("below: temperature" + ("" if curve.yeast_min is None else " and what its yeast needs"))
    wild = (
        f" {counted(curve.wild, 'hour far from all others is', 'hours far from all others are')} not drawn."
        if curve.wild
        else ""
    )
    said = "; ".join(parts)
    return f"{said[:1].upper()}{said[1:]}.{wild}"


def _section(section: Section) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escaped(row.label)}</th><td>{escaped(row.says)}'
        + (f" <small>{escaped(row.beside)}</small>" if row.beside else "")
        + "</td></tr>"
        for row in section.rows
    )
    return f"<section><h2>{escaped(section.heading)}</h2><table>{rows}</table></section>"


def _events(events: Sequence[EventRow], room: Room, whole_by: str) -> str:
    if not events:
        return ""
    shown = shown_events(events, room.events)
    cut = 0
    rows = []
    for row in shown:
        what, note = event_words(row, room)
        cut += what.endswith(_CUT) or note.endswith(_CUT)
        words = f" <small>{escaped(note)}</small>" if note else ""
        rows.append(
            f'<tr><td class="mark">{escaped(row.mark)}</td><th scope="row">{escaped(row.when)}</th>'
            f"<td>{escaped(what)}{words}</td></tr>"
        )
    left_out = _left_out(len(events) - len(shown), "event", cut, whole_by)
    head = '<tr class="unseen"><th scope="col">mark</th><th scope="col">when</th><th scope="col">what</th></tr>'
    return f'<section class="events"><h2>What was done</h2><table>{head}{"".join(rows)}</table>{left_out}</section>'


def _left_out(many: int, what: str, cut: int, whole_by: str) -> str:
    said = []
    if many:
        said.append(f"{counted(many, f'more {what}')} not shown")
    if cut:
        said.append(f"{cut} cut short")
    return f'<p class="left">{escaped(", ".join(said))}; whole: <code>{escaped(whole_by)}</code></p>' if said else ""


def _evidence(sheet: Sheet, sentence: int, whole_by: str) -> str:
    if not sheet.checks:
        return ""
    rows = "".join(_check(check, sentence) for check in sheet.checks)
    cut = sum(len(check.says) > sentence for check in sheet.checks)
    head = '<tr class="unseen"><th scope="col">check</th><th scope="col">holds</th><th scope="col">seen</th></tr>'
    return (
        f'<section class="evidence"><h2>{escaped(sheet.checks_head)}</h2><table>{head}{rows}</table>'
        f"{_left_out(0, '', cut, whole_by)}</section>"
    )


def _check(check: CheckRow, sentence: int) -> str:
    holds = '<span class="holds">✓ yes</span>' if check.passed else '<span class="fails">✗ no</span>'
    seen = escaped(shortened(check.says, sentence))
    return f'<tr><th scope="row">{escaped(check.check)}</th><td>{holds}</td><td>{seen}</td></tr>'


def _foot(says: Sequence[str]) -> str:
    """Small print; an option in it stays whole."""
    small = _OPTION.sub(r"<code>\1</code>", escaped(" ".join(filter(None, says))))
    return f"<footer><p>{small}</p></footer>"


def _by_hand() -> str:
    """Room to write: no figure belongs here."""
    blanks = "".join(f"<dt>{field}</dt><dd></dd>" for field in ("Opened on", "Looks and head", "Smell", "Taste"))
    lines = "<i></i>" * _LINES
    return (
        f'<section class="hand"><h2>By hand</h2><dl>{blanks}</dl><div class="lines" aria-hidden="true">{lines}</div>'
        "</section>"
    )
