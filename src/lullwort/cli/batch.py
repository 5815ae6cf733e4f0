"""`lullwort batch`: open, edit, close and list batches; `batchcompare` has its `compare`."""

from __future__ import annotations

from typing import Any

import click
import msgspec

from lullwort.analysis import HandReading, hand_readings, measured_original
from lullwort.cellarbook import Book, open_book
from lullwort.cli.batchcompare import compare
from lullwort.cli.batchentry import OPTION_OF_KEY, dry_run_option, entered_of, entry_options
from lullwort.cli.common import SHOWN, with_settings
from lullwort.cli.judging import judge_book
from lullwort.cli.lines import say
from lullwort.cli.littlepriming import refuse_little_priming
from lullwort.cli.named import NAME, batch_at, named
from lullwort.cli.packagingentry import close_options, packaging_entered
from lullwort.cli.packagingsaid import packaging_says, say_of_bottles, say_what_priming_comes_to, warn_of_container
from lullwort.cli.sensorlearning import learn_from
from lullwort.cli.shownunits import local_time, shown_in, units_of
from lullwort.cli.showsensor import learned_says
from lullwort.cli.values import instant, now_us, refuse_future, warn_of_future
from lullwort.cli.wortsample import wort_options, wort_sample_of
from lullwort.collector import checked_batch, checked_packaging_day, refuse_unfit_instrument
from lullwort.detector import Judged, value_range
from lullwort.errors import RefusedError, UsageError
from lullwort.faults import Faults
from lullwort.packaging_day import event_says
from lullwort.records import BESIDE_A_BATCH, HOUR_US, Batch, Event, PackagingDay, format_utc, to_datetime
from lullwort.settings import Settings

__all__ = ["batch"]

_NOW_US = 48 * HOUR_US
"""[µs] Who closes a batch longer after its newest reading hardly means this moment."""


@click.group(short_help="Open, edit, close, list and compare batches.")
def batch() -> None:
    """Open, edit, close, list and compare batches."""


batch.add_command(compare)


@batch.command("open")
@click.argument("vessel")
@click.option("--pitched", required=True, metavar="TIME", help="When the yeast went in (ISO 8601, or now).")
@click.option("--name", help="Default: the vessel and the date of the pitch.")
@entry_options
@wort_options
@dry_run_option
@with_settings("book", *SHOWN)
def open_(settings: Settings, vessel: str, pitched: str, name: str | None, dry_run: bool, **given: Any) -> None:
    """Open a batch in VESSEL. The vessel's readings count for it until it is packaged or the next one is pitched.

    A GRAVITY may carry its unit: 1.052SG, 52pt or 12.9P. The original gravity is read after the boil and any topping
    up, in wort that has been cooled and stirred, before the yeast goes in.
    """
    faults, pitched_at = Faults(), to_datetime(now_us())
    with faults.each():
        pitched_at = to_datetime(instant(pitched, "--pitched", settings))
    entered = {"vessel": vessel, "pitched": pitched_at, **({"name": name} if name else {})}
    with faults.each():
        entered |= wort_sample_of(settings, given, pitched_at)
    entered |= entered_of(settings, given, faults)
    if faults:  # what could be read may be wrong as well
        with faults.each():
            checked_batch("batch open", entered, OPTION_OF_KEY, units_of(settings))
        faults.refuse()
    opened = checked_batch("batch open", entered, OPTION_OF_KEY, units_of(settings))
    warn_of_future(opened.pitched_us, "--pitched")
    if dry_run and not settings.book.exists():
        _say_batch(opened, settings)
        return
    with open_book(settings.book) as book:
        for event in opened.events:
            refuse_unfit_instrument("batch open", event, book.equipment.instruments())
        if dry_run:
            _say_batch(opened, settings)
            return
        if not book.batches.put(opened, shown=shown_in(settings)):
            raise RefusedError(f"batch {opened.name!r} is open already, just so")
        opened = book.batches.get(opened.name)
    _say_batch(opened, settings)
    warn_of_container(opened.packaging_day, settings)
    say_of_bottles(opened, settings)


@batch.command()
@click.argument("name", metavar=NAME)
@entry_options
@dry_run_option
@with_settings("book", *SHOWN)
def edit(settings: Settings, name: str, dry_run: bool, **given: Any) -> None:
    """Correct what was entered of BATCH, or of the batch that is in VESSEL; it is judged anew from its start.

    A GRAVITY may carry its unit: 1.052SG, 52pt or 12.9P. Of packaging day (--target to --filled) `none` takes back what
    is on record.
    """
    faults = Faults()
    entered = entered_of(settings, given, faults)
    if not entered and not faults:
        raise UsageError("nothing to edit: give at least one option, see --help")
    with open_book(settings.book, create=False) as book:
        meant = named(book, name)
        known = meant.batch or batch_at(book, meant, now_us())
        if faults or dry_run:
            with faults.each():
                _changed(known, entered, settings, given.get("primed"))
            faults.refuse()
            return
        told = entered.get("packaging_day", {}).keys()
        edited = _put(book, known, entered, settings, primed=given.get("primed"))
        if told & _PRIMED and edited.packaging_day.primed_g:
            entries = judge_book(book, edited.vessel, None, only=[edited.name])
            judged = next((entry.judged for entry in entries if entry.batch is not None), None)
            if judged is not None:
                say_what_priming_comes_to(edited, judged, settings)


@batch.command()
@click.argument("name", metavar=NAME)
@click.option("--packaged", metavar="TIME", help="When it was packaged (ISO 8601, or now). Default: now.")
@close_options
@dry_run_option
@with_settings("book", *SHOWN)
def close(settings: Settings, name: str, packaged: str | None, dry_run: bool, **given: Any) -> None:
    """Close BATCH, or the batch that is in VESSEL: it has been packaged.

    One that is closed already is dated anew if it is named itself. TIME must be given where the vessel's newest reading
    is more than two days old, and where another batch seems to have begun in its log. What its log shows of how its
    sensor answers to temperature is kept with the sensor: see `lullwort sensor`. What was moved, primed and filled may
    be told later, too, with `lullwort batch edit`.
    """
    faults, packaged_us = Faults(), now_us()
    with faults.each():
        packaged_us = instant(packaged or "now", "--packaged", settings)
        refuse_future(packaged_us, "--packaged")
    dated = not faults
    done = {"packaging_day": packaging_entered(settings, given, faults)}
    with open_book(settings.book, create=False) as book:
        meant = named(book, name)
        closed = meant.batch or batch_at(book, meant, packaged_us)
        if meant.batch is None and closed.packaged_us is not None:
            raise RefusedError(
                f"batch {closed.name!r} is closed already: to date it anew, name batch:{closed.name}, not its vessel"
            )
        if packaged is None:
            with faults.each():
                _refuse_unlikely_now(book, closed, packaged_us)
        if faults or dry_run:
            with faults.each():
                _changed(
                    closed, ({"packaged": to_datetime(packaged_us)} if dated else {}) | done, settings, given["primed"]
                )
            faults.refuse()
            return
        judged = _judged_before(book, closed, packaged_us)
        edited = _put(book, closed, {"packaged": to_datetime(packaged_us), **done}, settings, primed=given["primed"])
        if judged is not None:
            say_what_priming_comes_to(edited, judged, settings)
        if judged is not None and judged.verdict not in ("ready", "packaged"):
            say(_NOT_PROVED.format(verdict=judged.verdict), err=True)
        # Its log is complete now: what it shows of its sensors is learned from it.
        for learned in learn_from(book, book.batches.get(closed.name)):
            say(learned_says(learned, settings))
    say(f"Next: `lullwort sheet {closed.name}` makes its page to keep.")


_NOT_PROVED = (
    "It was not proved that this beer had ended ({verdict}). If bottles or vessels are filled already, keep them cold, "
    "closed in and away from people, and handle them only with eyes and hands covered."
)


def _judged_before(book: Book, closed: Batch, packaged_us: int) -> Judged | None:
    """The batch as it stood when it was packaged; None where it was pitched later."""
    found = (e.judged for e in judge_book(book, closed.vessel, packaged_us, only=[closed.name]) if e.batch is not None)
    return next(found, None)


@batch.command("list")
@with_settings("book", *SHOWN)
def list_(settings: Settings) -> None:
    """List all batches with their notes, and the vessels with readings but no batch."""
    with open_book(settings.book, create=False) as book:
        batches = book.batches.all()
        without = sorted(set(book.readings.vessels()) - {b.vessel for b in batches})
    for entry in batches:
        _say_batch(entry, settings)
        said = dict(hand_readings(entry))
        for event in entry.events:
            say(f"  {_event_line(event, said.get(event), settings)}")
    for vessel in without:
        say(f"vessel {vessel}: readings, but no batch; `lullwort batch open {vessel} --pitched TIME` opens one")


def _refuse_unlikely_now(book: Book, closed: Batch, now_us: int) -> None:
    """Raise UsageError where the log says that a batch was hardly packaged just now."""
    newest_us = max(book.readings.sensors(closed.vessel).values(), default=now_us)
    if now_us - newest_us > _NOW_US:
        raise UsageError(
            f"the newest reading of vessel {closed.vessel!r} is of {format_utc(newest_us)}, more than two days ago: "
            f"say when {closed.name!r} was packaged, with --packaged TIME"
        )
    judged = next(e.judged for e in judge_book(book, closed.vessel, None) if e.batch == closed)
    split = None if judged is None else judged.now.split
    if split is not None:
        raise UsageError(
            f"another batch seems to have begun in vessel {closed.vessel!r} at {format_utc(split.began_us)}: say when "
            f"{closed.name!r} was packaged, with --packaged TIME, before that if it was so"
        )


_CONTAINED = frozenset({"container", "target_g_l", "limit_bar", "primed_g", "filled"})
_PRIMED = frozenset({"primed_g", "sugar", "moved_l", "container", "limit_bar"})
_BOTTLED = frozenset({"bottles", "filled", "moved_l"})
"""Keys of packaging day after which a container, what priming comes to, and bottles are told of."""


def _changed(known: Batch, entered: dict[str, Any], settings: Settings, primed: str | None) -> Batch:
    """`known` with some of its values changed, and checked. Raises UsageError. `primed` is as it was typed."""
    fields = {key: value for key, value in entered.items() if key != "packaging_day"}
    day = checked_packaging_day(known.name, entered.get("packaging_day", {}), OPTION_OF_KEY, known.packaging_day)
    whole = {"vessel": known.vessel, "name": known.name, "pitched": to_datetime(known.pitched_us), **fields}
    changed = checked_batch(known.name, whole, OPTION_OF_KEY, units_of(settings))
    changes = {
        field: getattr(changed, field)
        for key in fields
        for field in Batch.__struct_fields__
        if field in (key, f"{key}_us")
    }
    edited = msgspec.structs.replace(known, **changes, packaging_day=day)
    checked_batch(known.name, _as_entered(edited), OPTION_OF_KEY, units_of(settings))
    refuse_little_priming(primed, day, edited.volume_l, settings)
    return edited


def _put(book: Book, known: Batch, entered: dict[str, Any], settings: Settings, *, primed: str | None = None) -> Batch:
    """Enter `known` with some of its values changed; `primed` as it was typed."""
    edited, told = _changed(known, entered, settings, primed), entered.get("packaging_day", {})
    day = edited.packaging_day
    book.batches.put(edited, update=True, whole=True)
    _say_batch(edited, settings)
    if told.keys() & _CONTAINED:
        warn_of_container(day, settings)
    if told.keys() & _BOTTLED:
        say_of_bottles(edited, settings)
    return edited


def _as_entered(entry: Batch) -> dict[str, Any]:
    """A batch as the keys and values of a batches file, events left out."""
    entered: dict[str, Any] = {}
    for field in Batch.__struct_fields__:
        value = getattr(entry, field)
        if value is None or field in BESIDE_A_BATCH:
            continue
        if isinstance(value, PackagingDay):
            entered[field] = {key: one for key, one in msgspec.to_builtins(value).items() if one is not None}
            for lots in ("bottles", "filled"):
                entered[field][lots] = [[lot.volume_l, lot.count] for lot in getattr(value, lots)]
        elif field.endswith("_us"):
            entered[field.removesuffix("_us")] = to_datetime(value)
        else:
            entered[field] = list(value) if isinstance(value, tuple) else value
    return entered


def _event_line(event: Event, said: HandReading | None, settings: Settings) -> str:
    """Args: said: what a sample says."""
    parts = [f"{event.kind} {local_time(event.at_us, settings)}", *event_says(event, said, units_of(settings))]
    return ", ".join(parts + ([event.note] if event.note else []))


def _say_batch(entry: Batch, settings: Settings) -> None:
    for line in _lines(entry, settings):
        say(line)


def _lines(entry: Batch, settings: Settings) -> list[str]:
    units = units_of(settings)
    parts = [f"{entry.name}: vessel {entry.vessel}, pitched {local_time(entry.pitched_us, settings)}"]
    if entry.recipe is not None:
        parts.append(f"recipe {entry.recipe!r}")
    original = measured_original(entry)
    if original is not None:
        by = "" if original.sample is None else " by a sample of the wort"
        parts.append(f"original gravity {units.level(original.points, 3)}{by}")
    if entry.expected_final_gravity is not None:
        end = value_range(*(units.level((g - 1.0) * 1000.0, 3) for g in entry.expected_final_gravity))
        parts.append(f"expected to end at {end}")
    if entry.volume_l is not None:
        parts.append(units.amount(entry.volume_l))
    if entry.steady_temperature_c is not None:
        parts.append(f"steady at {units.temp(entry.steady_temperature_c)}")
    if entry.packaged_us is not None:
        parts.append(f"packaged {local_time(entry.packaged_us, settings)}")
    day = packaging_says(entry.packaging_day, units)
    return [", ".join(parts), *([f"  packaging day: {', '.join(day)}"] if day else [])]
