"""`lullwort backfill`: store log files in the cellar book, then judge."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

import click

from lullwort.cellarbook import Book, ImportCounts, Intake, open_book
from lullwort.cli.answer import answer
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, log_options, mapping_of, with_settings
from lullwort.cli.dryrun import show_dry_runs
from lullwort.cli.dryrundocument import aside_documents, vessel_documents
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.judging import judge_book
from lullwort.cli.lines import say
from lullwort.cli.shownunits import local_time, shown_in
from lullwort.cli.sources import Source, followed, log_sources, refuse_to_overwrite, tell_remarks, tell_set_aside
from lullwort.cli.telling import keep_and_tell
from lullwort.cli.values import instant, now_us
from lullwort.collector import LogSurvey, VesselSurvey, open_log, read_batches_file
from lullwort.counting import counted
from lullwort.errors import UsageError
from lullwort.records import Batch, SetAside
from lullwort.settings import Settings

__all__ = ["backfill"]

_WAY_OUT = "and are not used: if another import is wrong, `lullwort withdraw` takes it back"


@click.command(short_help="Store log files in the cellar book, then judge.")
@click.argument("files", nargs=-1, metavar="[FILE...]", type=click.Path(path_type=Path))
@click.option(
    "--batches", "batches_file", metavar="FILE", type=click.Path(path_type=Path),
    help="TOML file of batches to enter in the book as well.",
)  # fmt: skip
@click.option("--update", is_flag=True, help="Where the batches file contradicts the book, let the file win.")
@click.option("--store-only", is_flag=True, help="Store, but do not judge; with --json the counts are the document.")
@log_options
@as_of_option
@as_json_option
@with_settings("book", *SHOWN)
def backfill(
    settings: Settings,
    files: tuple[Path, ...],
    batches_file: Path | None,
    update: bool,
    store_only: bool,
    as_of: str | None,
    as_json: bool,
    as_proposed: bool,
    dry_run: bool,
    set_aside_file: Path | None,
    log: dict[str, Any],
) -> None:
    """Store log files in the cellar book, then judge the vessels that they hold readings of.

    FILE is a CSV with the columns time, vessel, gravity and temperature, or any other log: --dry-run shows how it
    could be read. Where hand samples alone tell of a batch there is no log, and --batches is enough. Every row is
    stored, already known, or set aside with its reason; storing a file again changes nothing. A run that was cut off
    may simply be started again.

    Exit 0: every row stored or already known. Exit 1: some rows set aside, or an entry refused.
    """
    stated = mapping_of(settings, log)
    if not files and (batches_file is None or dry_run):
        raise UsageError("backfill: name a log file, or the batches of hand samples alone with --batches")
    if dry_run:
        raise SystemExit(0 if show_dry_runs(files, stated, settings, as_json=as_json) else 1)
    refuse_to_overwrite(set_aside_file)
    batches = [] if batches_file is None else _entered(batches_file, settings)
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    sources = log_sources(files, stated, as_proposed=as_proposed)
    for source in sources if len(sources) > 1 else ():
        with open_log(*source):
            pass  # one that must be refused is, before anything of the others is stored
    with open_book(settings.book) as book:
        for instrument in dict.fromkeys(instrument for batch in batches for instrument in batch.instruments):
            book.equipment.enter_instrument(instrument, update=update, shown=shown_in(settings))
        for batch in batches:
            book.batches.put(batch, update=update, shown=shown_in(settings))
        touched = {batch.vessel for batch in batches}
        set_aside, files_stored = list[SetAside](), list[dict[str, Any]]()
        for source in sources:
            stored = _store(source, book)
            set_aside += stored.set_aside
            touched |= stored.vessels.keys()
            files_stored.append(_document(source.path, stored))
            for line in _summary(source.path, stored, settings):
                say(line, err=as_json)
        if store_only and as_json:
            click.echo(json.dumps({"files": files_stored}, indent=2, ensure_ascii=False))
        if not store_only:
            # What a file says of a sensor may contradict what is on record of it in another vessel, so all are judged.
            judged = judge_book(book, None, as_of_us)
            news = keep_and_tell(book, judged, now_us(), settings.units) if as_of is None else []
            entries = foreseen_by_book([entry for entry in judged if entry.vessel in touched], book)
            if entries:
                click.echo(err=as_json)
            answer(entries, settings, as_json=as_json, news=news, brief=len(entries) > 1, as_of_us=as_of_us)
    tell_set_aside(set_aside, set_aside_file)
    raise SystemExit(1 if set_aside else 0)


def _entered(batches_file: Path, settings: Settings) -> list[Batch]:
    """The batches of the file; their samples may name instruments that the book has."""
    if not settings.book.exists():
        return read_batches_file(batches_file)
    with open_book(settings.book, create=False) as book:
        return read_batches_file(batches_file, book.equipment.instruments())


class _Stored(NamedTuple):
    """What became of one file: its import's name, its counts, its rows set aside, and what it has of each vessel."""

    name: str
    counts: ImportCounts
    set_aside: list[SetAside]
    vessels: dict[str, VesselSurvey]


def _store(source: Source, book: Book) -> _Stored:
    set_aside: list[SetAside] = []
    survey = LogSurvey()
    with open_log(*source) as log:
        run = book.imports.begin(Intake(log.kind, str(log.path), log.sha256, log.understood), now_us())
        for block, rows in followed(log):
            set_aside += rows
            survey.add(block)
            run.store(block, rows)
        counts = run.finish(now_us())
        tell_remarks(log)
    return _Stored(run.name, counts, set_aside, survey.vessels())


def _document(path: Path, stored: _Stored) -> dict[str, Any]:
    """What became of a file, for programs; with --store-only, where nothing is judged."""
    counts = stored.counts
    return {
        "file": str(path), "import": stored.name, "rows": counts.rows, "stored": counts.stored,
        "already_known": counts.known, "set_aside_count": counts.set_aside, "conflicts": counts.conflicts,
        "set_aside": aside_documents(stored.set_aside), "vessels": vessel_documents(stored.vessels),
        "vessel_count": len(stored.vessels),
    }  # fmt: skip


def _summary(path: Path, stored: _Stored, settings: Settings) -> list[str]:
    counts = stored.counts
    contradict = counted(counts.conflicts, "instant contradicts", "instants contradict")
    lines = [
        f"{path} (import {stored.name}): {counted(counts.rows, 'row')} read, {counts.stored} stored, "
        f"{counts.known} already known, {counts.set_aside} set aside"
        + (f"; {contradict} another report, {_WAY_OUT}" if counts.conflicts else "")
    ]
    for vessel, found in stored.vessels.items():
        aside = sum(1 for row in stored.set_aside if row.vessel == vessel)
        lines.append(
            f"  {vessel}: {counted(found.readings, 'row')}, {local_time(found.first_us, settings)} to "
            f"{local_time(found.last_us, settings)}" + (f", {aside} set aside" if aside else "")
        )
    return lines
