"""A note is taken back, once that is confirmed."""

from __future__ import annotations

import hashlib

import msgspec

from lullwort.analysis import hand_readings
from lullwort.card.forms.batches import batch_called, page_of
from lullwort.card.forms.form import Form, paragraph
from lullwort.card.forms.inunits import InUnits
from lullwort.card.known.cellar import Cellar
from lullwort.card.pages.markup import batch_path
from lullwort.packaging_day import event_says
from lullwort.records import Batch, Event, format_utc
from lullwort.settings import Settings

__all__ = ["take_back_address", "take_back_form"]


def take_back_address(batch: Batch, event: Event) -> str:
    """Where a note of a batch is taken back."""
    return f"{batch_path(batch.name, 'note', 'remove')}?which={_which(event)}"


def take_back_form(cellar: Cellar, settings: Settings, name: str, which: str) -> Form | None:
    """Of a note that is on record; None for another."""
    batch, shown = batch_called(cellar, name), InUnits.of(settings)
    event = None if batch is None else next((one for one in batch.events if _which(one) == which), None)
    if batch is None or event is None:
        return None
    said = event_says(event, dict(hand_readings(batch)).get(event), shown.units)
    told = ", ".join([event.kind, shown.units.moment(event.at_us), *said, *([event.note] if event.note else [])])
    return Form(
        f"Take a note of {name} back?",
        ("note", "--remove", f"--at={format_utc(event.at_us)}", f"--words={event.note}", *_read(batch, event)),
        (),
        "Take it back",
        "Taken back.",
        page_of(cellar, batch),
        arguments=(f"batch:{name}", event.kind),
        lead=paragraph(told) + paragraph("The batch is judged anew as if it had never been noted."),
        batch=name,
    )


def _which(event: Event) -> str:
    return hashlib.sha256(msgspec.json.encode(event)).hexdigest()[:16]


def _read(batch: Batch, event: Event) -> list[str]:
    """What tells a sample from others of its minute that have the same words."""
    alike = [one for one in batch.events if (one.kind, one.note) == (event.kind, event.note)]
    if sum(abs(one.at_us - event.at_us) < 60_000_000 for one in alike) < 2:
        return []
    read = {
        "--gravity-read": f"{event.brix!r}Bx" if event.brix is not None else f"{event.gravity!r}SG",
        "--temperature-read": None if event.temperature_c is None else f"{event.temperature_c!r}C",
        "--instrument": event.instrument,
        "--calibrated-at": None if event.calibrated_c is None else f"{event.calibrated_c!r}C",
        "--points": None if event.points is None else f"{event.points!r}pt",
    }
    if event.gravity is None and event.brix is None:
        del read["--gravity-read"]
    return [f"{option}={value}" for option, value in read.items() if value is not None]
