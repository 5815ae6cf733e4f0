"""`lullwort note`: write down what was done to a batch, or a hand sample."""

from __future__ import annotations

from typing import Any

import click

from lullwort.cellarbook import Book, open_book
from lullwort.cli.common import with_settings
from lullwort.cli.shownunits import local_time
from lullwort.cli.values import gravity_sg, instant, number, temp_c, warn_of_future
from lullwort.collector import checked_event
from lullwort.errors import RefusedError
from lullwort.records import EVENT_KINDS, Batch, to_datetime
from lullwort.settings import Settings

__all__ = ["note"]

_OPTION_OF_KEY = {
    "at": "--at", "kind": "KIND", "points": "--points", "gravity": "--gravity-read",
    "temperature_c": "--temperature-read", "note": "--words",
}  # fmt: skip
"""What a key of an event in a batches file is called on the command line."""


@click.command(short_help="Write down what was done to a batch, or a hand sample.")
@click.argument("vessel")
@click.argument("kind", type=click.Choice([kind for kind in EVENT_KINDS if kind != "packaged"]))
@click.option("--at", default="now", show_default=True, metavar="TIME", help="When (ISO 8601, or now).")
@click.option("--points", metavar="POINTS", help="Of an addition: how many gravity points it put in.")
@click.option("--gravity-read", metavar="GRAVITY", help="Of a sample: the hydrometer's reading, degassed.")
@click.option(
    "--temperature-read", metavar="TEMPERATURE",
    help="Of a sample: its temperature when read; without it the reading counts as corrected.",
)  # fmt: skip
@click.option("--words", default="", metavar="TEXT", help="Anything worth remembering.")
@click.option("--remove", is_flag=True, help="Take exactly this note back.")
@with_settings("book", "gravity", "temperature", "zone")
def note(
    settings: Settings,
    vessel: str,
    kind: str,
    at: str,
    points: str | None,
    gravity_read: str | None,
    temperature_read: str | None,
    words: str,
    remove: bool,
) -> None:
    """Write down KIND of the batch in VESSEL: a dry hop, an addition, a sample and so on.

    What may wake the yeast starts the proof anew. A sample corrects what the sensor reads.
    (Packaging is noted with `lullwort batch close`.)

    Exit 0: noted. Exit 1: no batch was in that vessel at that time, or the note is on record already.
    """
    at_us = instant(at, "--at", settings)
    warn_of_future(at_us, "--at")
    entered: dict[str, Any] = {"at": to_datetime(at_us), "kind": kind}
    if points is not None:
        entered["points"] = number(points, "--points")
    if gravity_read is not None:
        entered["gravity"] = gravity_sg(gravity_read, "--gravity-read", settings)
    if temperature_read is not None:
        entered["temperature_c"] = temp_c(temperature_read, "--temperature-read", settings)
    if words:
        entered["note"] = words
    event = checked_event("note", entered, _OPTION_OF_KEY)
    with open_book(settings.book, create=False) as book:
        name = _batch_in(book, vessel, at_us).name
        if remove:
            book.batches.remove_event(name, event)
        elif not book.batches.add_event(name, event):
            raise RefusedError(f"batch {name!r} has exactly this note on record already")
    done = "taken back from" if remove else "noted for"
    click.echo(f"{kind} at {local_time(at_us, settings)} {done} {name}")


def _batch_in(book: Book, vessel: str, at_us: int) -> Batch:
    """The batch that was in the vessel at that instant."""
    fitting = [
        b
        for b in book.batches.all(vessel)
        if b.pitched_us <= at_us and (b.packaged_us is None or at_us < b.packaged_us)
    ]
    if not fitting:
        raise RefusedError(f"no batch was in vessel {vessel!r} at that time; `lullwort batch list` shows them")
    return fitting[-1]
