"""`lullwort export`: write readings, batches or the whole book as a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

import click

from lullwort.cellarbook import Book, open_book
from lullwort.cli.common import as_of_option, with_settings
from lullwort.cli.dateoptions import date_options, day_of
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.judging import judge_book
from lullwort.cli.lines import say
from lullwort.cli.named import NAME, named
from lullwort.cli.shownunits import units_of
from lullwort.cli.values import instant, now_us
from lullwort.counting import counted
from lullwort.detector import Judged, Units
from lullwort.errors import RefusedError, UsageError
from lullwort.exporting import (
    Written,
    batch_record,
    batches_text,
    battery_unit,
    calendar_text,
    record_text,
    schema_text,
    whole_file,
    write_csv,
    write_parquet,
    write_senml,
    write_text,
)
from lullwort.forecast import plan
from lullwort.packaging_day import CRASH_DAYS, calendar_days, packaging_dates, wish_says
from lullwort.records import Batch, Block
from lullwort.settings import Settings
from lullwort.standing import Entry, owned_span

__all__ = ["export"]

_EVER = (-(2**62), 2**62)


class _Wanted(NamedTuple):
    """What is to be written; None and `_EVER`: all there is. `from_us` ≤ readings < `to_us` [µs]; `units` in words.

    `as_of_us` [µs] is the instant to judge as of, None for the newest reading. `crash_days` and `on` are those of
    `packaging_dates`.
    """

    file: Path
    vessel: str | None
    batch: Batch | None
    from_us: int
    to_us: int
    as_of_us: int | None
    crash_days: int
    on: date | None
    overwrite: bool
    units: Units


class _Format(NamedTuple):
    """What a suffix stands for, which options go with it beside --overwrite, what writes it, and of how much."""

    holds: str
    options: tuple[str, ...]
    write: Callable[[Book, _Wanted], Written]
    of_one_batch: bool = False


@click.command(short_help="Write readings, batches or the whole book as a file.")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--vessel", metavar="ID", help="Only of this vessel.")
@click.option(
    "--batch", "batch", metavar=NAME,
    help="Only of this batch, or the youngest in this vessel: from its pitch to its packaging.",
)  # fmt: skip
@click.option("--from", "from_", metavar="TIME", help="Only readings from then on (ISO 8601, or now).")
@click.option("--to", metavar="TIME", help="Only readings before then.")
@as_of_option
@date_options
@click.option("--overwrite", is_flag=True, help="Write over a file that is there already.")
@click.option("--schema", is_flag=True, help="Print the JSON Schema of a batch's record, and write nothing.")
@with_settings("book", "gravity", "zone", "decimal")
def export(
    settings: Settings,
    file: Path | None,
    vessel: str | None,
    batch: str | None,
    from_: str | None,
    to: str | None,
    as_of: str | None,
    crash_days: int | None,
    on: str | None,
    overwrite: bool,
    schema: bool,
) -> None:
    """Write readings, batches or the whole book as a FILE, in a format by its suffix.

    \b
    .csv .parquet .senml  readings, as backfill and replay read them back
    .json                 the record of one --batch: entries, events, verdicts, readings hour by hour
    .ics                  what can be planned of one --batch, for a calendar; --as-of an earlier moment, too;
                          --crash-days and --on as of `lullwort plan`
    .toml                 batches, as backfill --batches takes them back
    .book                 a copy of the whole book, made while others may use it

    The file is there as a whole or not at all. Of two for a calendar it keeps the one written later, whatever --as-of.

    Exit 0: written. Exit 1: written, but something of it has no place in this format; or refused, as when there is
    such a file already.
    """
    if schema:
        click.echo(schema_text(), nl=False)
        return
    if file is None:
        raise UsageError("no FILE is named; --help shows which there may be")
    form = _FORMATS.get(file.suffix.lower())
    if form is None:
        raise UsageError(f"{file}: its format is not known, expected a name in {', '.join(_FORMATS)}")
    given = {
        "--vessel": vessel, "--batch": batch, "--from": from_, "--to": to, "--as-of": as_of, "--crash-days": crash_days,
        "--on": on,
    }  # fmt: skip
    for option, value in given.items():
        if value is not None and option not in form.options:
            raise UsageError(f"{option} does not go with a {file.suffix.lower()} file, which holds {form.holds}")
    if batch is None and form.of_one_batch:
        raise UsageError(f"a {file.suffix.lower()} file holds {form.holds}: name it with --batch")
    if vessel is not None and batch is not None:
        raise UsageError("--vessel and --batch do not go together: a batch is in one vessel")
    wanted = _Wanted(
        file, vessel, None,
        _EVER[0] if from_ is None else instant(from_, "--from", settings),
        _EVER[1] if to is None else instant(to, "--to", settings),
        None if as_of is None else instant(as_of, "--as-of", settings),
        CRASH_DAYS if crash_days is None else crash_days, day_of(on, "--on"), overwrite, units_of(settings),
    )  # fmt: skip
    if wanted.from_us >= wanted.to_us:
        raise UsageError("--from is not before --to")
    _refuse_the_book_itself(file, settings.book)
    with open_book(settings.book, create=False) as book:
        if vessel is not None and vessel not in {*book.readings.vessels(), *(b.vessel for b in book.batches.all())}:
            raise RefusedError(f"the book knows no vessel {vessel!r}; `lullwort batch list` shows them")
        if batch is not None:
            wanted = wanted._replace(batch=_batch_called(book, batch, wanted.as_of_us))
        written = form.write(book, wanted)
    say(f"{file}: {written.says} written")
    for remark in written.remarks:
        say(f"{file}: {remark}", err=True)
    raise SystemExit(1 if written.remarks else 0)


def _refuse_the_book_itself(file: Path, book: Path) -> None:
    if file.exists() and book.exists() and file.samefile(book):
        raise UsageError(f"{file}: is the cellar book itself, which is never written over")


def _batch_called(book: Book, text: str, as_of_us: int | None) -> Batch:
    """The batch of this name, or the youngest in the vessel of this name. Raises RefusedError."""
    meant = named(book, text)
    batches = book.batches.all(meant.vessel) if meant.batch is None else [meant.batch]
    pitched = [batch for batch in batches if as_of_us is None or batch.pitched_us <= as_of_us]
    if not pitched:
        then = "yet" if as_of_us is None else "yet at that time"
        raise RefusedError(f"no batch of {text!r} was pitched {then}; `lullwort batch list` shows when each was")
    return pitched[-1]


def _window(book: Book, wanted: _Wanted) -> tuple[str | None, int, int]:
    """Vessel, and from when to when [µs]: of a batch what it owns, which ends where the vessel's next one begins."""
    if wanted.batch is None:
        return wanted.vessel, wanted.from_us, wanted.to_us
    batch = wanted.batch
    from_us, to_us = owned_span(batch, book.batches.all(batch.vessel))
    return batch.vessel, max(wanted.from_us, from_us), min(wanted.to_us, to_us)


def _reports(book: Book, wanted: _Wanted) -> Iterator[Block]:
    return book.readings.reports(*_window(book, wanted))


def _csv(book: Book, wanted: _Wanted) -> Written:
    unit = battery_unit(_reports(book, wanted))
    return write_csv(wanted.file, _reports(book, wanted), unit, overwrite=wanted.overwrite)


def _parquet(book: Book, wanted: _Wanted) -> Written:
    unit = battery_unit(_reports(book, wanted))
    return write_parquet(wanted.file, _reports(book, wanted), unit, overwrite=wanted.overwrite)


def _senml(book: Book, wanted: _Wanted) -> Written:
    return write_senml(wanted.file, _reports(book, wanted), overwrite=wanted.overwrite)


def _judged(book: Book, wanted: _Wanted) -> tuple[Judged, Entry]:
    """What became of the one batch that was named."""
    assert wanted.batch is not None
    (entry,) = judge_book(book, wanted.batch.vessel, wanted.as_of_us, only=(wanted.batch.name,))
    assert entry.judged is not None
    return entry.judged, entry


def _record(book: Book, wanted: _Wanted) -> Written:
    judged, entry = _judged(book, wanted)
    name = judged.batch.name
    vessel, from_us, to_us = _window(book, wanted)
    readings = book.readings.together(vessel or "", from_us, to_us)
    record = batch_record(judged, book.verdicts.told(name), readings, entry.set_aside)
    write_text(wanted.file, record_text(record), overwrite=wanted.overwrite)
    return Written(f"the record of {name}", ())


def _calendar(book: Book, wanted: _Wanted) -> Written:
    judged, judged_only = _judged(book, wanted)
    name = judged.batch.name
    if judged.verdict == "packaged":
        raise RefusedError(f"{name} is packaged: nothing of it is left to plan")
    (entry,) = foreseen_by_book([judged_only], book)
    foreseen = plan(judged, entry.forecast, wanted.units)
    if not foreseen:
        raise RefusedError(f"nothing of {name} can be planned: there is no forecast of it")
    zone = wanted.units.zone
    dates = packaging_dates(judged, entry.forecast, zone, crash_days=wanted.crash_days, on=wanted.on)
    if dates.wish is not None and dates.wish.refused:
        raise RefusedError(wish_says(dates))
    planned = (*foreseen, *calendar_days(judged, dates, wanted.units))
    text = calendar_text(judged.batch, planned, now_us(), zone)
    write_text(wanted.file, text, overwrite=wanted.overwrite)
    cancelled = sum(each.status == "cancelled" for each in planned)
    of_them = f" ({cancelled} of them cancelled)" if cancelled else ""
    return Written(f"{counted(len(planned), 'event', 'events')} of {name}{of_them}", ())


def _batches(book: Book, wanted: _Wanted) -> Written:
    batches = [wanted.batch] if wanted.batch is not None else book.batches.all(wanted.vessel)
    write_text(wanted.file, batches_text(batches), overwrite=wanted.overwrite)
    kept = "what is known of sensors (calibrations, answers to temperature) has no place in it: a .book copy has all"
    return Written(counted(len(batches), "batch", "batches"), (kept,) if book.equipment.sensors() else ())


def _copy(book: Book, wanted: _Wanted) -> Written:
    with whole_file(wanted.file, overwrite=wanted.overwrite) as part:
        book.copy_to(part)
    return Written("a copy of the cellar book", ())


_OF_A_PLAN = ("--batch", "--as-of", "--crash-days", "--on")
_OF_READINGS = ("--vessel", "--batch", "--from", "--to")
_FORMATS = {
    ".csv": _Format("readings", _OF_READINGS, _csv),
    ".parquet": _Format("readings", _OF_READINGS, _parquet),
    ".senml": _Format("readings", _OF_READINGS, _senml),
    ".json": _Format("the record of one batch", ("--batch",), _record, of_one_batch=True),
    ".ics": _Format("what can be planned of one batch", _OF_A_PLAN, _calendar, of_one_batch=True),
    ".toml": _Format("batches", ("--vessel", "--batch"), _batches),
    ".book": _Format("the whole book", (), _copy),
}
