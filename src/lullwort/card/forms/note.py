"""What was done to a batch is noted; below stand its notes, each of which can be taken back."""

from __future__ import annotations

from lullwort.analysis import hand_readings
from lullwort.card.forms.batches import batch_called, page_of
from lullwort.card.forms.entryfields import moment_field
from lullwort.card.forms.form import Form, paragraph
from lullwort.card.forms.inunits import InUnits
from lullwort.card.forms.takeback import take_back_address
from lullwort.card.known.cellar import Cellar
from lullwort.card.pages.fields import Field, Html
from lullwort.card.pages.markup import batch_path
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.packaging_day import event_says
from lullwort.records import Batch
from lullwort.settings import Settings

__all__ = ["NOTED_KINDS", "note_form", "notes_html"]

NOTED_KINDS = {
    "dry hop": "dry hop",
    "addition": "addition: sugar, fruit, water",
    "rouse": "rouse: the yeast was stirred up",
    "warm": "warm: the vessel was warmed",
    "crash": "crash: it was chilled",
    "seal": "seal: no more gas gets out",
    "moved": "moved: the vessel or its sensor",
    "remark": "remark: only words",
}
"""What is noted with this form, as the brewer reads it; samples have one of their own, and packaging, too."""

_ADDITION = "Of an addition: what was put in"


def note_form(cellar: Cellar, settings: Settings, name: str, kind: str = "") -> Form | None:
    """Of a batch that is on record; None for another. `kind` is chosen already."""
    batch, shown = batch_called(cellar, name), InUnits.of(settings)
    if batch is None:
        return None
    fields = (
        Field(
            "kind", "What was done", "KIND", "What may wake the yeast starts the proof anew; a remark changes nothing. "
            "Seal only a vessel that is made for pressure and has a relief valve: others burst.",
            choices=(("", "choose"), *NOTED_KINDS.items()), required=True, stand_in="rouse",
        ),
        moment_field("at", "When", "--at", shown),
        Field("words", "In your words", "--words", "What a remark says; else anything worth remembering.", rows=2,
              tells=("a remark goes with",)),
        Field(
            "added", "What and how much", "--added", "A line for each: 500g sucrose, 2kg fruit 12% or 2L water.",
            rows=2, group=_ADDITION, each_line=True, tells=("--points go with an addition",),
        ),
        Field(
            "into", f"Into how much beer ({shown.volume})", "--volume", "Else the batch's own volume.", mode="decimal",
            group=_ADDITION,
        ),
        Field(
            "points", "Or: points that it put in", "--points", f"That is, so many times {shown.a_point}.",
            mode="decimal", group=_ADDITION,
        ),
    )  # fmt: skip
    return Form(
        f"Note an event of {name}",
        ("note",),
        fields,
        "Note it",
        "Noted.",
        page_of(cellar, batch),
        arguments=(f"batch:{name}",),
        values={"kind": kind if kind in NOTED_KINDS else ""},
        lead=Html(f'<p>A hand sample has <a href="{batch_path(name, "sample")}">a form of its own</a>.</p>'),
        tail=notes_html(batch, shown.units),
        batch=name,
        tried=True,
    )


def notes_html(batch: Batch, units: Units) -> str:
    """The notes of a batch, the newest first, each with a link that takes it back."""
    said = dict(hand_readings(batch))
    rows = []
    for event in reversed(batch.events):
        words = ", ".join([*event_says(event, said.get(event), units), *([event.note] if event.note else [])])
        when = units.moment(event.at_us)
        rows.append(
            f"<li><b>{escaped(event.kind)}</b> {escaped(when)}{escaped(f': {words}' if words else '')} "
            f'<a href="{escaped(take_back_address(batch, event))}">take back'
            f'<span class="unseen"> {escaped(event.kind)} of {escaped(when)}</span></a></li>'
        )
    heading = '<h2 id="noted">Noted so far</h2>'
    return f'{heading}<ol class="notes">{"".join(rows)}</ol>' if rows else f"{heading}{paragraph('Nothing yet.')}"
