"""`lullwort backfill`: store log files in the cellar book, then judge."""

from __future__ import annotations

from pathlib import Path

import click

from lullwort.cellarbook import Book, ImportCounts, Intake, open_book
from lullwort.cli.answer import answer
from lullwort.cli.common import as_json_option, as_of_option, csv_options, log_options, with_settings
from lullwort.cli.judging import judge_book
from lullwort.cli.logs import tell_remarks, tell_set_aside
from lullwort.cli.telling import keep_and_tell
from lullwort.cli.values import instant, now_us
from lullwort.collector import CsvOptions, open_csv, read_batches_file
from lullwort.records import SetAside
from lullwort.settings import Settings

__all__ = ["backfill"]


@click.command(short_help="Store log files in the cellar book, then judge.")
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
@click.option(
    "--batches", "batches_file", metavar="FILE", type=click.Path(path_type=Path),
    help="TOML file of batches to enter in the book as well.",
)  # fmt: skip
@click.option("--update", is_flag=True, help="Where the batches file contradicts the book, let the file win.")
@click.option("--store-only", is_flag=True, help="Store, but do not judge.")
@log_options
@as_of_option
@as_json_option
@with_settings("book", "gravity", "temperature", "zone")
def backfill(
    settings: Settings,
    files: tuple[Path, ...],
    batches_file: Path | None,
    update: bool,
    store_only: bool,
    as_of: str | None,
    as_json: bool,
    **log: str | bool | None,
) -> None:
    """Store log files in the cellar book, then judge what it holds.

    Every row is stored, already known, or set aside with its reason; storing a file again changes nothing. A run
    that was cut off may simply be started again.

    Exit 0: every row stored or already known. Exit 1: some rows set aside, or an entry refused.
    """
    options = csv_options(settings, log)
    batches = [] if batches_file is None else read_batches_file(batches_file)
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    with open_book(settings.book) as book:
        for batch in batches:
            book.batches.put(batch, update=update)
        set_aside = []
        for path in files:
            name, counts, rows = _store(path, options, book)
            set_aside += rows
            click.echo(
                f"{path} (import {name}): {counts.rows} rows read, {counts.stored} stored, "
                f"{counts.known} already known, {counts.set_aside} set aside"
                + (f"; {counts.conflicts} instants contradict another import" if counts.conflicts else ""),
                err=as_json,
            )
        if not store_only:
            entries = judge_book(book, None, as_of_us)
            news = keep_and_tell(book, entries, now_us()) if as_of is None else []
            click.echo(err=as_json)
            answer(entries, settings, as_json=as_json, news=news, brief=len(entries) > 1)
    tell_set_aside(set_aside)
    raise SystemExit(1 if set_aside else 0)


def _store(path: Path, options: CsvOptions, book: Book) -> tuple[str, ImportCounts, list[SetAside]]:
    """One file into the book: what its import is called, its counts, and its rows set aside."""
    set_aside: list[SetAside] = []
    with open_csv(path, options) as log:
        tell_remarks(log)
        run = book.imports.begin(Intake(log.kind, str(path), log.sha256, log.understood), now_us())
        for block, rows in log.blocks():
            set_aside += rows
            run.store(block, rows)
        return run.name, run.finish(now_us()), set_aside
