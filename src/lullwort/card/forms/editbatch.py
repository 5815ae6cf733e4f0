"""What was entered of a batch is corrected."""

from __future__ import annotations

from collections.abc import Mapping

from lullwort.card.forms.batches import batch_called, page_of
from lullwort.card.forms.entryfields import (
    PLANNED,
    done_fields,
    entered_values,
    first_fields,
    later_fields,
    planned_fields,
)
from lullwort.card.forms.form import Form, paragraph
from lullwort.card.forms.inunits import InUnits
from lullwort.card.known.cellar import Cellar
from lullwort.settings import Settings

__all__ = ["edit_form"]


def edit_form(cellar: Cellar, settings: Settings, name: str) -> Form | None:
    """Of a batch that is on record; None for another."""
    batch, shown = batch_called(cellar, name), InUnits.of(settings)
    if batch is None:
        return None
    values = entered_values(batch, shown)
    fields = (*first_fields(shown), *later_fields(shown), *planned_fields(shown), *done_fields(shown, PLANNED))
    form = Form(
        f"Correct the entries of {name}",
        ("batch", "edit"),
        tuple(field._replace(free=bool(field.unset) or not values[field.name]) for field in fields),
        "Correct",
        "Corrected.",
        page_of(cellar, batch),
        arguments=(f"batch:{name}",),
        values=values,
        lead=paragraph("Only what you change is entered; the batch is judged anew from its start."),
        batch=name,
        changes=True,
        tried=True,
    )
    return form._replace(refused=lambda entered: _refused(entered, form))


def _refused(entered: Mapping[str, str], form: Form) -> dict[str, str]:
    if not form.changed(entered):
        return {"": "Nothing was changed, so nothing was entered."}
    return {
        field.name: "What is on record here can be changed, but not taken back: enter another value."
        for field in form.fields
        if not entered.get(field.name) and entered.get(f"was-{field.name}") and not field.unset
    }
