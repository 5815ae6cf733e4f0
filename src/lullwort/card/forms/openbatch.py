"""A batch is opened in a vessel."""

from __future__ import annotations

from collections.abc import Mapping

from lullwort.card.forms.entryfields import (
    EXPECTED,
    entered_values,
    first_fields,
    later_fields,
    moment_field,
    planned_fields,
)
from lullwort.card.forms.form import Form, paragraph
from lullwort.card.forms.instruments import by_refractometer, instrument_field
from lullwort.card.forms.inunits import InUnits
from lullwort.card.known.cellar import Cellar
from lullwort.card.pages.fields import Field, Html
from lullwort.card.pages.markup import batch_path, vessel_path
from lullwort.exporting import escaped
from lullwort.records import Batch, check_id
from lullwort.settings import Settings

__all__ = ["open_form"]

_READ = "How the original gravity was read"


def open_form(cellar: Cellar, settings: Settings, vessel: str = "") -> Form | None:
    """For one vessel, or any that is named in it; None for what can be no vessel."""
    shown = InUnits.of(settings)
    try:
        check_id(vessel or "any")
    except ValueError:
        return None
    fields = (
        *(() if vessel else (_vessel_field(cellar),)),
        moment_field("pitched", "The yeast went in", "--pitched", shown),
        *first_fields(shown),
        Field(
            "name", "Name of the batch", "--name", "Small letters, digits and -; else the vessel and the date.",
            group=EXPECTED,
        ),
        *later_fields(shown),
        Field(
            "read-at", f"Temperature of the wort ({shown.temperature})", "--original-gravity-read-at",
            "When it was read; corrected for it.", mode="decimal", group=_READ,
        ),
        instrument_field(cellar, "with", "--original-gravity-with", _READ, refractometer=True),
        *planned_fields(shown),
    )  # fmt: skip
    ordinary = entered_values(Batch(vessel="any", name="any", pitched_us=0), shown)
    usual = {name: ordinary[name] for name in ("caution", "reported")}
    return Form(
        f"Open a batch in {vessel}" if vessel else "Open a batch",
        ("batch", "open"),
        tuple(fields),
        "Open the batch",
        "Opened.",
        f"/vessel/{vessel}" if vessel else _to_its_vessel,
        arguments=(vessel,) if vessel else (),
        values=usual,
        lead=_lead(cellar, vessel, shown),
        prepared=lambda values: by_refractometer(_without(values, usual), "original-gravity", "with"),
        tried=True,
    )


def _vessel_field(cellar: Cellar) -> Field:
    known = sorted({*cellar.book.readings.vessels(), *(batch.vessel for batch in cellar.book.batches.all())})
    return Field(
        "vessel", "Vessel", "VESSEL", "Its short name, as sensors report it: small letters, digits and -.",
        required=True, suggested=tuple(known), stand_in="any",
    )  # fmt: skip


def _lead(cellar: Cellar, vessel: str, shown: InUnits) -> str:
    inside = [batch for batch in cellar.book.batches.all(vessel) if batch.packaged_us is None] if vessel else []
    if not inside:
        return paragraph("Readings count for this batch from the moment the yeast goes in.")
    name = inside[-1].name
    close = batch_path(name, "close")
    return Html(
        f'<p><a href="{batch_path(name)}">{escaped(name)}</a> is still open there, pitched '
        f"{escaped(shown.units.moment(inside[-1].pitched_us))}. If it has been packaged, "
        f'<a href="{close}">close it first</a>; else its readings end where the new batch begins.</p>'
    )


def _to_its_vessel(values: Mapping[str, str]) -> str:
    return vessel_path(values["vessel"])


def _without(values: Mapping[str, str], usual: Mapping[str, str]) -> dict[str, str]:
    """What was left as it usually is need not be told."""
    return {name: value for name, value in values.items() if usual.get(name) != value}
