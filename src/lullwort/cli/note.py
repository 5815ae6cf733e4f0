"""`lullwort note`: write down what was done to a batch, or a hand sample."""

from __future__ import annotations

from typing import Any

import click
import msgspec

from lullwort.analysis import WORT_SAMPLE_US, is_wort_sample
from lullwort.cellarbook import Book, open_book
from lullwort.cli.amounts import AMOUNT, KINDS, positive_volume_l, weighed
from lullwort.cli.batchentry import dry_run_option
from lullwort.cli.common import SHOWN, with_settings
from lullwort.cli.explaining import explain_option
from lullwort.cli.lines import say
from lullwort.cli.named import NAME, Named, batch_at, batch_sampled, named
from lullwort.cli.noteaddition import added_to, refuse_beside_amount
from lullwort.cli.notedthen import noted_then
from lullwort.cli.sampledoubts import refuse_sample
from lullwort.cli.samplegiven import SampleGiven, brix_typed, sample_keys
from lullwort.cli.sampletold import forced_test_told, tell_sample
from lullwort.cli.shownunits import local_time, units_of
from lullwort.cli.values import gravity_unit, instant, now_us, points_put_in, refuse_future
from lullwort.collector import checked_event, refuse_contradictions
from lullwort.detector import Units
from lullwort.errors import RefusedError, UsageError
from lullwort.faults import Faults
from lullwort.records import EVENT_KINDS, Batch, Event, Instrument, from_datetime, to_datetime
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
    "--added",
    metavar=AMOUNT,
    multiple=True,
    help=f"Of an addition, instead: what was put in, as '500g sucrose', '2kg fruit 12%' or '2L water'; any of {KINDS}.",
)
@click.option("--volume", metavar="VOLUME", help="Of the beer into which that went. Default: the batch's.")
@click.option(
    "--gravity-read",
    metavar="GRAVITY",
    help="Of a sample or a forced test: the hydrometer's reading, degassed; a refractometer's as 6.2Bx.",
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
@click.option("--words", default="", metavar="TEXT", help="Anything worth remembering; what a remark says.")
@click.option(
    "--remove", is_flag=True, help="Take this note back; KIND and --at are enough where they tell which, or --words.",
)  # fmt: skip
@dry_run_option
@explain_option
@with_settings("book", *SHOWN)
def note(
    settings: Settings,
    name: str,
    kind: str,
    at: str,
    points: str | None,
    added: tuple[str, ...],
    volume: str | None,
    gravity_read: str | None,
    temperature_read: str | None,
    instrument: str | None,
    calibrated_at: str | None,
    words: str,
    remove: bool,
    dry_run: bool,
    explain: bool,
) -> None:
    """Write down KIND of BATCH, or of the batch in VESSEL: a dry hop, an addition, a sample and so on.

    What may wake the yeast starts the proof anew; a remark changes nothing. A sample corrects what the sensor reads; a
    forced test tells where the beer should end.
    (Packaging is noted with `lullwort batch close`.) A GRAVITY may carry its unit: 1.012SG, 12pt or 3.1P.

    A sample of the wort, drawn after the boil, cooled, and before the yeast goes in, is the original gravity: note it
    with that time. Degas a sample of beer before it is read. A refractometer's reading of beer needs the original
    gravity, and is an estimate. --explain tells of a sample how its gravity comes about.

    Exit 0: noted. Exit 1: it was not in a vessel at that time, or the note is on record already.
    """
    faults, at_us = Faults(), now_us()
    with faults.each():
        at_us = instant(at, "--at", settings)
        if not remove:
            refuse_future(at_us, "--at")
    if remove and dry_run:
        raise UsageError("note: --dry-run goes with what is noted, not with --remove")
    entered: dict[str, Any] = {"at": to_datetime(at_us), "kind": kind}
    if points is not None:
        with faults.each():
            entered["points"] = points_put_in(points, "--points", settings)
    if gravity_read is not None:
        given = SampleGiven(gravity_read, temperature_read, instrument, calibrated_at)
        with faults.each():
            entered |= sample_keys(given, settings, _on_record(settings, instrument))
    else:
        alone = {"temperature_c": temperature_read, "instrument": instrument, "calibrated_c": calibrated_at}
        for key, text in alone.items():
            if text is not None:
                with faults.each():
                    raise UsageError(
                        f"note: {_OPTION_OF_KEY[key]} goes with a sample, and a sample with --gravity-read"
                    )
    if words:
        entered["note"] = words
    by_moment = remove and points is None and gravity_read is None
    if added or volume is not None:
        with faults.each():
            refuse_beside_amount(added, kind, points)
        _refuse_amounts(added, volume, settings, faults)
    elif not by_moment and not faults:  # of what could not be read it would say that it is missing
        checked_event("note", entered, _OPTION_OF_KEY)  # before the book is opened, which may be missing, too
    faults.refuse()
    with open_book(settings.book, create=False) as book:
        meant = named(book, name)
        # What is to be taken back may lie where the batch no longer is, since its packaging was dated anew.
        batch = _meant_at(book, meant, kind, at_us, settings, remove=remove)
        if by_moment:
            event = noted_then(batch, kind, at_us, words)
        else:
            event = _event(book, batch, entered, added, volume, settings)
        if remove:
            book.batches.remove_event(batch.name, event)
        else:
            if kind == "sample":
                refuse_sample(batch, event, settings)
            _refuse_contradiction(batch, event)
            if event in batch.events if dry_run else not book.batches.add_event(batch.name, event):
                raise RefusedError(f"batch {batch.name!r} has exactly this note on record already")
        batch = _with(batch, event) if dry_run else book.batches.get(batch.name)
        soon = [b for b in book.batches.all(batch.vessel) if 0 < b.pitched_us - at_us <= WORT_SAMPLE_US]
    done = "taken back from" if remove else "would be noted for" if dry_run else "noted for"
    say(f"{kind} at {local_time(at_us, settings)} {done} {batch.name}{_as_read(event, gravity_read, settings)}")
    if kind == "forced test" and not remove:
        for line in forced_test_told(batch, event, settings):
            say(f"  {line}")
    if kind == "sample" and not remove:
        next_batch = next((b for b in soon if b.name != batch.name), None)
        tell_sample(batch, event, settings, next_batch=next_batch, noted=not dry_run, explain=explain)


def _refuse_contradiction(batch: Batch, event: Event) -> None:
    """Raise UsageError where an event changes where the batch begins or should end, and that cannot be.

    Once noted, it would be in the way of closing the batch and of reading its batches file back.
    """
    if is_wort_sample(batch, event) or event.kind in ("forced test", "addition"):
        refuse_contradictions("note", _with(batch, event), _OPTION_OF_KEY)


def _with(batch: Batch, event: Event) -> Batch:
    events = sorted((*batch.events, event), key=lambda one: one.order)
    return msgspec.structs.replace(batch, events=tuple(events))


def _refuse_amounts(added: tuple[str, ...], volume: str | None, settings: Settings, faults: Faults) -> None:
    """What is wrong with an amount by itself goes to `faults`."""
    for text in added:
        with faults.each():
            weighed(text, "--added", settings)
    if volume is not None:
        with faults.each():
            positive_volume_l(volume, "--volume", settings)


def _meant_at(book: Book, meant: Named, kind: str, at_us: int, settings: Settings, *, remove: bool) -> Batch:
    # A remark on a batch that is named may be of its brew day, or of the glass.
    if meant.batch is not None and (remove or kind == "remark"):
        return meant.batch
    if kind == "sample":
        return batch_sampled(book, meant, at_us, units_of(settings))
    return batch_at(book, meant, at_us)


def _on_record(settings: Settings, instrument: str | None) -> tuple[Instrument, ...]:
    """The instruments of the book, if one is named: it tells the unit of a number."""
    if instrument is None:
        return ()
    with open_book(settings.book, create=False) as book:
        return book.equipment.instruments()


def _event(
    book: Book, batch: Batch, entered: dict[str, Any], added: tuple[str, ...], volume: str | None, settings: Settings
) -> Event:
    """What is to be noted or taken back; of an amount the points that it makes, which are shown first."""
    if added:
        put = added_to(book, batch, from_datetime(entered["at"]), added, volume, settings)
        for line in put.says:
            say(line)
        words = "; ".join(text for text in (entered.get("note"), put.entered["note"]) if text)
        entered = {**entered, **put.entered, "note": words}
    return checked_event("note", entered, _OPTION_OF_KEY)


def _as_read(event: Event, typed: str | None, settings: Settings) -> str:
    """The numbers of an event as they were understood, a gravity in the unit in which it was `typed` as well."""
    units = units_of(settings)
    if event.points is not None:
        return f": {units.short(event.points)} points" + (
            f" ({units.difference(event.points)})" if units.gravity == "plato" else ""
        )
    if event.brix is not None:
        return f": {units.short(event.brix)} °Bx"
    if event.gravity is None or typed is None:
        return ""
    if brix_typed(typed) is not None:  # of a hydrometer
        return f": {_gravity((event.gravity - 1.0) * 1000.0, units)} ({typed.strip()})"
    points, unit = (event.gravity - 1.0) * 1000.0, gravity_unit(typed, settings)
    shown = [_gravity(points, units)]
    if unit != units.gravity:
        shown.append(f"({_gravity(points, msgspec.structs.replace(units, gravity=unit))})")
    if event.temperature_c is not None:
        shown.append(f"read at {units.temp(event.temperature_c)}")
    return f": {' '.join(shown)}"


def _gravity(points: float, units: Units) -> str:
    return units.level(points) + (" SG" if units.gravity == "sg" else "")
