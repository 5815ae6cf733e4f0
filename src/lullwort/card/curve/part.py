"""The part of a page that shows the curve of a batch: spans to choose from, the picture, its legend and its values."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from lullwort.card.curve.content import CurveContent, curve_content
from lullwort.card.curve.drawing import SMALL, WIDE, drawing, gravity_span
from lullwort.card.curve.moments import moments_of
from lullwort.card.curve.shown import AS_IT_IS, Shown
from lullwort.card.curve.span import links_of
from lullwort.card.curve.values import days_table, moments_json
from lullwort.card.curve.words import KeyLine, content_says, key_lines, nothing_says
from lullwort.card.known.facts import BatchFacts
from lullwort.card.pages.markup import batch_path
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.packaging_day import EventRow, event_rows

__all__ = ["curve_part"]

_SAYS = "curve-says"
_MORE = ' class="curve-more"'
"""Of a line that goes on with the one before it."""
_KEYS = (
    "Arrow keys read values, with Shift they move the span; + and − change it, 0 shows the whole, Home and End go to "
    "its ends, Escape goes back. Drag to choose a span; the wheel needs Shift or Alt."
)


def curve_part(
    facts: BatchFacts, units: Units, shown: Shown = AS_IT_IS, events: Sequence[EventRow] | None = None
) -> str:
    """The curve as a section of a page.

    Args:    shown:  as the page's address chooses.
             events: as they are listed on the page; None: made here.
    """
    rows = event_rows(facts.sheet, units) if events is None else events
    content = curve_content(facts, {row.event: row.mark for row in rows}, units, shown.span)
    where = batch_path(facts.batch.name, "curve")
    head = (
        '<section id="curve" data-part="curve" class="part" aria-labelledby="curve-head" '
        f'data-curve="{escaped(where)}" data-query="{escaped(shown.span.query)}"><h2 id="curve-head">Curve</h2>'
        '<div class="body">'
    )
    if content is None:
        return f"{head}<p>{escaped(nothing_says(facts, units))}</p></div></section>"
    moments = moments_of(content, rows, units)
    edges = gravity_span(content, units)
    values = escape(moments_json(content, moments, units, edges), quote=False).replace("'", "&#39;")
    drawn = "".join(
        f'<div class="curve-{name}">{drawing(content, units, size, _SAYS, edges)}</div>'
        for name, size in (("wide", WIDE), ("small", SMALL))
    )
    key = "".join(
        f"<li{'' if each.shape else _MORE}>{_shape(each)}{escaped(each.words)}</li>"
        for each in key_lines(content, facts, units)
    )
    seconds = " ".join(str(at_us // 1_000_000) for at_us in (*content.ends_us, *content.whole))
    return "\n".join(
        [
            head,
            f'<nav id="curve-spans" aria-label="Span of the curve">{"".join(_links(shown, content))}</nav>',
            '<p id="curve-reads" aria-live="polite"></p>',
            f'<figure id="curve-figure" role="group" aria-label="Curve" data-ends="{seconds}" '
            f"data-moments='{values}'>",
            drawn,
            f'<figcaption><p id="{_SAYS}">{escaped(content_says(content, facts, units))}</p>'
            f'<ul class="curve-key">{key}</ul><p class="curve-keys">{_KEYS}</p></figcaption></figure>',
            '<details id="curve-values"><summary>Values of the curve</summary>'
            f"{days_table(moments, content, units)}</details>",
            "</div></section>",
        ]
    )


def _links(shown: Shown, content: CurveContent) -> Iterator[str]:
    for link in links_of(shown.span, content.ends_us, content.whole, content.now_us):
        called = f'id="curve-{link.key}"'
        if link.span is None:
            yield f'<span {called} class="curve-off">{link.words}</span> '
        else:
            here = ' aria-current="true"' if link.span == shown.span else ""
            query = shown._replace(span=link.span).query or "?span=whole"  # a bare `#curve` would keep the query
            yield (
                f'<a {called} href="{escaped(query)}#curve" data-span="{escaped(link.span.query)}"{here}>'
                f"{link.words}</a> "
            )


def _shape(line: KeyLine) -> str:
    if not line.shape:
        return '<span class="curve-shape"></span>'
    return (
        '<svg class="curve curve-shape" viewBox="0 0 24 12" aria-hidden="true">'
        f'<path class="{line.shape}" d="{line.path}"/></svg>'
    )
