"""A hand sample, or the end of a forced ferment test, is noted."""

from __future__ import annotations

from lullwort.card.forms.batches import batch_called, page_of
from lullwort.card.forms.entryfields import moment_field
from lullwort.card.forms.form import Form, paragraph
from lullwort.card.forms.instruments import by_refractometer, instrument_field
from lullwort.card.forms.inunits import InUnits
from lullwort.card.known.cellar import Cellar
from lullwort.card.pages.fields import Field
from lullwort.settings import Settings

__all__ = ["sample_form"]

_MORE = "More of this sample"


def sample_form(cellar: Cellar, settings: Settings, name: str) -> Form | None:
    """Of a batch that is on record; None for another."""
    batch, shown = batch_called(cellar, name), InUnits.of(settings)
    if batch is None:
        return None
    fields = (
        Field(
            "gravity", f"What it reads ({shown.gravity})", "--gravity-read",
            f"Degassed, such as {shown.such_gravity(12.0)}; a refractometer's in °Bx.",
            mode="decimal", required=True, stand_in="1.010SG",
            tells=("lies outside what an ordinary hydrometer shows", "a refractometer shows sugar and alcohol together",
                   "is not below the original gravity"),
        ),
        Field(
            "temperature", f"Its temperature then ({shown.temperature})", "--temperature-read",
            "Without it the reading counts as corrected.", mode="decimal",
        ),
        instrument_field(cellar, "with", "--instrument", refractometer=True),
        moment_field(
            "at", "When it was drawn", "--at", shown,
            says="Before the yeast went in it is the original gravity. ",
        ),
        Field(
            "kind", "What it is of", "KIND", choices=(
                ("sample", "the beer, or its wort"), ("forced test", "a forced ferment test that has ended")),
            group=_MORE,
        ),
        Field(
            "calibrated", f"Calibration temperature printed on it ({shown.temperature})", "--calibrated-at",
            f"Of a hydrometer that is not on record; else {shown.units.temp(20.0, 0)}.", mode="decimal", group=_MORE,
        ),
        Field("words", "In your words", "--words", group=_MORE, rows=2),
    )  # fmt: skip
    return Form(
        f"Note a hand sample of {name}",
        ("note",),
        fields,
        "Note the sample",
        "Noted.",
        page_of(cellar, batch),
        arguments=(f"batch:{name}",),
        values={"kind": "sample"},
        lead=paragraph("It corrects what the sensor reads. Swirl the gas out of it first: gas lifts a hydrometer."),
        batch=name,
        prepared=lambda values: by_refractometer(values, "gravity", "with"),
        tried=True,
        insist="Store it all the same",
    )
