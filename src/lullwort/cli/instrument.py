"""`lullwort instrument`: keep, check and list what samples are read with."""

from __future__ import annotations

from typing import Any

import click
import msgspec

from lullwort.cellarbook import Book, open_book
from lullwort.cli.common import SHOWN, with_settings
from lullwort.cli.explaining import explain_option, say_explained
from lullwort.cli.instrumentcheck import checked_in_water, gravity_in_water
from lullwort.cli.lines import say
from lullwort.cli.samplegiven import brix_typed, calibration_c, liquid_c
from lullwort.cli.sampletold import error_said, made_for
from lullwort.cli.shownunits import units_of
from lullwort.cli.values import gravity_difference, instant, number, points_put_in, warn_of_future
from lullwort.collector import SCALE_UNIT, checked_instrument
from lullwort.counting import counted
from lullwort.detector import value_range
from lullwort.errors import RefusedError, UsageError
from lullwort.packaging_day import estimated
from lullwort.records import INSTRUMENT_KINDS, Instrument
from lullwort.science import HYDROMETER_WATER_EXPLAINED
from lullwort.settings import Settings

__all__ = ["instrument"]

_OPTION_OF_KEY = {
    "name": "NAME", "kind": "--kind", "calibrated_c": "--calibrated-at", "division": "--division",
    "wort_factor": "--wort-factor", "error": "--reads", "checked": "--at",
}  # fmt: skip
"""What a key of an instrument in a batches file is called on the command line."""


@click.group(short_help="Keep, check and list what samples are read with.")
def instrument() -> None:
    """Keep, check and list what samples are read with: hydrometers and refractometers.

    What is known of one counts in each sample that names it, those noted before as well.
    """


def _described(command: Any) -> Any:
    for option in reversed((
        click.option(
            "--calibrated-at", metavar="TEMPERATURE", help="Printed on a hydrometer: 60F or 20C; 20C if not given.",
        ),
        click.option(
            "--division", metavar="N",
            help="Between two marks: points (0.001 SG), or °P where these are set or as 0.5P; of a refractometer °Bx. "
            "2 points and 0.2 °Bx if not given.",
        ),
        click.option(
            "--wort-factor", metavar="N",
            help="Of a refractometer: the °Bx that it shows of wort, over its °P, 1.00 to 1.06; 1.04 if not given.",
        ),
    )):  # fmt: skip
        command = option(command)
    return command


@instrument.command()
@click.argument("name")
@click.option("--kind", type=click.Choice(INSTRUMENT_KINDS), default="hydrometer", show_default=True)
@_described
@with_settings("book", *SHOWN)
def add(settings: Settings, name: str, kind: str, **given: str | None) -> None:
    """Keep an instrument under a NAME of yours, such as jar-1."""
    added = checked_instrument(
        "instrument add", {"name": name, "kind": kind, **_keys(given, settings, kind)}, _OPTION_OF_KEY
    )
    with open_book(settings.book) as book:
        if any(known.name == name for known in book.equipment.instruments()):
            raise RefusedError(f"an instrument is called {name!r} already; `lullwort instrument edit` changes it")
        book.equipment.put_instrument(added)
    say(_line(added, settings))
    units = units_of(settings)
    off = value_range(units.difference(2.0), units.difference(5.0))
    often = f"hydrometers are often {off} off" if kind == "hydrometer" else "it has to read 0 there"
    say(f"  Check it in plain water with `lullwort instrument check {name}`: {often}.")


@instrument.command()
@click.argument("name")
@_described
@with_settings("book", *SHOWN)
def edit(settings: Settings, name: str, **given: str | None) -> None:
    """Correct what is kept of an instrument; samples read with it are judged anew."""
    if not any(given.values()):
        raise UsageError("nothing to edit: give at least one option, see --help")
    with open_book(settings.book, create=False) as book:
        known = _called(book, name)
        keys = _keys(given, settings, known.kind)
        checked = checked_instrument("instrument edit", {"name": name, "kind": known.kind, **keys}, _OPTION_OF_KEY)
        edited = msgspec.structs.replace(known, **{key: getattr(checked, key) for key in keys})
        anew = known.checked_us is not None and edited.calibrated_c != known.calibrated_c
        if anew:  # its error was found by what water shows on the other scale
            edited = msgspec.structs.replace(edited, error=0.0, checked_us=None)
        book.equipment.put_instrument(edited)
    say(_line(edited, settings))
    if anew:
        say(f"  Its check in water went by another temperature: `lullwort instrument check {name}` checks it anew.")


@instrument.command("list")
@with_settings("book", *SHOWN)
def list_(settings: Settings) -> None:
    """List all instruments with what is known of each."""
    with open_book(settings.book, create=False) as book:
        instruments = book.equipment.instruments()
    for one in instruments:
        say(_line(one, settings))
    if not instruments:
        say("no instrument is on record; `lullwort instrument add NAME` keeps one")


@instrument.command()
@click.argument("name")
@click.option("--reads", required=True, metavar="READING", help="What it shows in plain water: 1.002, or 0.2Bx.")
@click.option("--water", metavar="TEMPERATURE", help="Of that water, needed for a hydrometer: 22C or 72F.")
@click.option("--at", default="now", show_default=True, metavar="TIME", help="When (ISO 8601, or now).")
@explain_option
@with_settings("book", *SHOWN)
def check(settings: Settings, name: str, reads: str, water: str | None, at: str, explain: bool) -> None:
    """Learn an instrument's own error from what it shows in plain water, and take it off from now on.

    Use tap or distilled water at room temperature, with no bubbles on the instrument. What tap water holds is less
    than a point.
    """
    at_us = instant(at, "--at", settings)
    warn_of_future(at_us, "--at")
    with open_book(settings.book, create=False) as book:
        known = _called(book, name)
        checked = checked_in_water(known, reads, water, at_us, settings)
        book.equipment.put_instrument(checked)
        samples = sum(event.instrument == name for batch in book.batches.all() for event in batch.events)
    units = units_of(settings)
    unit = SCALE_UNIT[known.kind]
    if known.kind == "hydrometer" and water is not None:
        should = units.level((gravity_in_water(known, water, settings) - 1.0) * 1000.0)
        say(f"{name}: plain water at {units.temp(liquid_c(water, '--water', settings))} should show {should} on it")
    say(_line(checked, settings))
    before, now = (estimated(0.0, one.error_sd).high for one in (known, checked))
    if before > now:
        said = [
            f"{units.number(size, 1)} {unit}" if unit == "°Bx" else units.difference(size) for size in (before, now)
        ]
        say(f"  Its error is known to ± {said[1]} now (9 of 10); it was ± {said[0]}.")
    if samples:
        say(f"  {counted(samples, 'sample', 'samples')} noted with it before will be judged anew.")
    if known.kind == "refractometer" and abs(checked.error) >= 0.1:
        say("  Most refractometers have a screw that sets them to 0 in water: check it anew after that.")
    if explain:
        say_explained([HYDROMETER_WATER_EXPLAINED], settings.decimal)


def _keys(given: dict[str, str | None], settings: Settings, kind: str) -> dict[str, Any]:
    """Options that were given, as keys of an instrument in a batches file."""
    keys: dict[str, Any] = {}
    if given["calibrated_at"] is not None:
        keys["calibrated_c"] = calibration_c(given["calibrated_at"], "--calibrated-at", settings)
    for key in ("division", "wort_factor"):
        text = given[key]
        if text is not None:
            keys[key] = _number(text, _OPTION_OF_KEY[key], settings, gravity=key == "division" and kind == "hydrometer")
    return keys


def _number(text: str, option: str, settings: Settings, *, gravity: bool) -> float:
    """A number of an instrument's scale: °Bx as `0.2Bx`, else points, or °P where these are set or it carries them."""
    brix = brix_typed(text)
    if brix is not None:
        return brix
    bare = text.strip()
    if gravity and settings.gravity == "plato":
        return gravity_difference(bare, option, settings)
    return points_put_in(bare, option, settings) if bare[-1:].isalpha() else number(bare, option)


def _called(book: Book, name: str) -> Instrument:
    """The instrument of this name. Raises RefusedError that names those there are."""
    instruments = {one.name: one for one in book.equipment.instruments()}
    if name not in instruments:
        known = f"on record are {', '.join(instruments)}" if instruments else "none is on record"
        raise RefusedError(f"no instrument is called {name!r}; {known} (`lullwort instrument add` keeps one)")
    return instruments[name]


def _line(one: Instrument, settings: Settings) -> str:
    units = units_of(settings)
    parts = [f"{one.name}: {one.kind}"]
    if one.kind == "hydrometer":
        parts[0] += f" made for {made_for(one.calibrated_c, units)}"
        parts.append(f"{units.difference(one.division)} between two marks")
    else:
        parts += [f"{units.short(one.division)} °Bx between two marks", f"wort factor {units.short(one.wort_factor)}"]
    return ", ".join([*parts, error_said(one, settings)])
