"""`lullwort note`: write down what was done to a batch, or a hand sample."""

from __future__ import annotations

from typing import Any

import click

from lullwort.analysis import WORT_SAMPLE_US
from lullwort.cellarbook import open_book
from lullwort.cli.common import with_settings
from lullwort.cli.explaining import explain_option
from lullwort.cli.lines import say
from lullwort.cli.named import NAME, batch_at, batch_sampled, named
from lullwort.cli.sampledoubts import refuse_sample
from lullwort.cli.samplegiven import SampleGiven, brix_typed, sample_keys
from lullwort.cli.sampletold import tell_sample
from lullwort.cli.shownunits import local_time, units_of
from lullwort.cli.values import gravity_unit, instant, number, warn_of_future
from lullwort.collector import checked_event
from lullwort.detector import Units
from lullwort.errors import RefusedError, UsageError
from lullwort.records import EVENT_KINDS, Event, Instrument, to_datetime
from lullwort.settings import Settings

__all__ = ["note"]

_OPTION_OF_KEY = {
    "at": "--at", "kind": "KIND", "points": "--points", "gravity": "--gravity-read",
    "temperature_c": "--temperature-read", "instrument": "--instrument", "calibrated_c": "--calibrated-at",
    "brix": "--gravity-read", "note": "--words",
}  # fmt: skip
"""What a key of an event in a batches file is called on the command line."""


@click.command(short_help="Write down what was done to a batch, or a hand sample.")
@click.argument("name", metavar=NAME)
@click.argument("kind", type=click.Choice([kind for kind in EVENT_KINDS if kind != "packaged"]))
@click.option("--at", default="now", show_default=True, metavar="TIME", help="When (ISO 8601, or now).")
@click.option("--points", metavar="POINTS", help="Of an addition: how many gravity points it put in, 0.001 SG each.")
@click.option(
    "--gravity-read",
    metavar="GRAVITY",
    help="Of a sample: the hydrometer's reading, degassed; a refractometer's as 6.2Bx.",
)
@click.option(
    "--temperature-read", metavar="TEMPERATURE",
    help="Of a sample: its temperature when read; without it the reading counts as corrected.",
)  # fmt: skip
@click.option("--instrument", metavar="NAME", help="Of a sample: what it was read with, if that is on record.")
@click.option(
    "--calibrated-at", metavar="TEMPERATURE",
    help="Of a sample: what is printed on a hydrometer that is not on record, 60F or 20C; 20C if not given.",
)  # fmt: skip
@click.option("--words", default="", metavar="TEXT", help="Anything worth remembering.")
@click.option("--remove", is_flag=True, help="Take exactly this note back.")
@explain_option
@with_settings("book", "gravity", "temperature", "zone")
def note(
    settings: Settings,
    name: str,
    kind: str,
    at: str,
    points: str | None,
    gravity_read: str | None,
    temperature_read: str | None,
    instrument: str | None,
    calibrated_at: str | None,
    words: str,
    remove: bool,
    explain: bool,
) -> None:
    """Write down KIND of BATCH, or of the batch in VESSEL: a dry hop, an addition, a sample and so on.

    What may wake the yeast starts the proof anew. A sample corrects what the sensor reads.
    (Packaging is noted with `lullwort batch close`.) A GRAVITY may carry its unit: 1.012SG or 3.1P.

    A sample of the wort, drawn after the boil, cooled, and before the yeast goes in, is the original gravity: note it
    with that time. Degas a sample of beer before it is read. A refractometer's reading of beer needs the original
    gravity, and is an estimate. --explain tells of a sample how its gravity comes about.

    Exit 0: noted. Exit 1: it was not in a vessel at that time, or the note is on record already.
    """
    at_us = instant(at, "--at", settings)
    warn_of_future(at_us, "--at")
    entered: dict[str, Any] = {"at": to_datetime(at_us), "kind": kind}
    if points is not None:
        entered["points"] = number(points, "--points")
    if gravity_read is not None:
        given = SampleGiven(gravity_read, temperature_read, instrument, calibrated_at)
        entered |= sample_keys(given, settings, _on_record(settings, instrument))
    else:
        alone = {"temperature_c": temperature_read, "instrument": instrument, "calibrated_c": calibrated_at}
        for key, text in alone.items():
            if text is not None:
                raise UsageError(f"note: {_OPTION_OF_KEY[key]} goes with a sample, and a sample with --gravity-read")
    if words:
        entered["note"] = words
    event = checked_event("note", entered, _OPTION_OF_KEY)
    with open_book(settings.book, create=False) as book:
        meant = named(book, name)
        # What is to be taken back may lie where the batch no longer is, since its packaging was dated anew.
        if remove and meant.batch is not None:
            batch = meant.batch
        elif kind == "sample":
            batch = batch_sampled(book, meant, at_us, units_of(settings).moment)
        else:
            batch = batch_at(book, meant, at_us)
        if remove:
            book.batches.remove_event(batch.name, event)
        else:
            if kind == "sample":
                refuse_sample(batch, event, settings)
            if not book.batches.add_event(batch.name, event):
                raise RefusedError(f"batch {batch.name!r} has exactly this note on record already")
        batch = book.batches.get(batch.name)
        soon = [b for b in book.batches.all(batch.vessel) if 0 < b.pitched_us - at_us <= WORT_SAMPLE_US]
    done = "taken back from" if remove else "noted for"
    say(f"{kind} at {local_time(at_us, settings)} {done} {batch.name}{_as_read(event, gravity_read, settings)}")
    if kind == "sample" and not remove:
        next_batch = next((b for b in soon if b.name != batch.name), None)
        tell_sample(batch, event, settings, next_batch=next_batch, explain=explain)


def _on_record(settings: Settings, instrument: str | None) -> tuple[Instrument, ...]:
    """The instruments of the book, if one is named: it tells the unit of a number."""
    if instrument is None:
        return ()
    with open_book(settings.book, create=False) as book:
        return book.equipment.instruments()


def _as_read(event: Event, typed: str | None, settings: Settings) -> str:
    """The numbers of an event as they were understood, a gravity in the unit in which it was `typed` as well."""
    units = units_of(settings)
    if event.points is not None:
        return f": {event.points:g} points" + (f" ({units.difference(event.points)})" if units.gravity != "sg" else "")
    if event.brix is not None:
        return f": {event.brix:g} °Bx"
    if event.gravity is None or typed is None:
        return ""
    if brix_typed(typed) is not None:  # of a hydrometer
        return f": {_gravity((event.gravity - 1.0) * 1000.0, units)} ({typed.strip()})"
    points, unit = (event.gravity - 1.0) * 1000.0, gravity_unit(typed, settings)
    shown = [_gravity(points, units)]
    if unit != units.gravity:
        shown.append(f"({_gravity(points, Units(gravity=unit))})")
    if event.temperature_c is not None:
        shown.append(f"read at {units.temp(event.temperature_c)}")
    return f": {' '.join(shown)}"


def _gravity(points: float, units: Units) -> str:
    return units.level(points) + ("" if units.gravity == "plato" else " SG")
