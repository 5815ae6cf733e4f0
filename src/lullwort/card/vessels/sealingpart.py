"""What the beer would come to if it were sealed today, and a small form that chooses in what."""

from __future__ import annotations

from typing import get_args

from lullwort.card.curve.shown import Shown
from lullwort.card.known.sealedtoday import ClosedToday, SealedToday
from lullwort.card.pages.markup import part, prose
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.packaging_day import CONTAINERS, USUAL_CONTAINER, closing_caution, temp_rows
from lullwort.records import ContainerName

__all__ = ["sealing_part"]

_HEADS = ("kept at", "about", "at most", "limit", "margin")


def sealing_part(sealed: SealedToday | None, shown: Shown, path: str, units: Units) -> str:
    """The part.

    Args:    sealed: None where there is nothing to seal, and nothing is said.
             shown:  as the page's address chooses.
             path:   of the page, which is asked again with another container, and else as it is.
    """
    if sealed is None:
        return part("sealed", "")
    own = sealed.judged.batch.packaging_day.container
    chosen = shown.container
    known: ContainerName | None = next((name for name in get_args(ContainerName) if name == chosen), None)
    closed = sealed.of(known)
    wrong = "" if known or not chosen else f"No container is called {chosen!r}: this is of the batch's own."
    return part(
        "sealed",
        _form(known or own or USUAL_CONTAINER, own, wrong, path, shown)
        + f"<p>{prose(closed.says(units))}</p>"
        + _pressures(closed, units),
        heading="If sealed today",
    )


def _form(shown: ContainerName, own: ContainerName | None, wrong: str, path: str, asked: Shown) -> str:
    options = "".join(
        f'<option value="{kind.name}"{" selected" if kind.name == shown else ""}>'
        f"{escaped(kind.called)}{', as entered' if kind.name == own else ''}</option>"
        for kind in CONTAINERS.values()
    )
    says = f'<p class="wrong" role="alert">{escaped(wrong)}</p>' if wrong else ""
    others = "".join(
        f'<input type="hidden" name="{name}" value="{escaped(value)}">'
        for name, value in asked._replace(container="").fields
    )
    return (
        f'<form class="choice" method="get" action="{escaped(path)}#sealed">{others}{says}'
        '<label for="container">Closed in</label>'
        f'<select id="container" name="container">{options}</select><button type="submit">Show</button></form>'
    )


def _pressures(closed: ClosedToday, units: Units) -> str:
    sealing = closed.pressures
    if sealing is None:
        return ""
    head = "".join(f'<th scope="col">{name}</th>' for name in _HEADS)
    rows = "".join(
        f'<tr{" class=over" if row.word else ""}><th scope="row">{escaped(row.kept_at)}</th>'
        + "".join(f"<td>{escaped(cell)}</td>" for cell in (row.about, row.at_most, row.limit))
        + f"<td>{f'<b>{row.word}</b> ' if row.word else ''}{escaped(row.margin)}</td></tr>"
        for row in temp_rows(sealing, units)
    )
    caption = "Pressure above that of the air, once all that is left has fermented"
    return (
        f'<table class="pressures"><caption>{caption}</caption><thead><tr>{head}</tr></thead><tbody>{rows}</tbody>'
        f'</table><p class="beside">{escaped(closing_caution(sealing.limit.container))}</p>'
    )
