"""`lullwort sheet`: one page for a batch, at the terminal or as HTML to be printed."""

from __future__ import annotations

import json
from pathlib import Path

import click

from lullwort.analysis import CourseHour, hourly_course
from lullwort.cellarbook import Book, open_book
from lullwort.cli.asked import asked_or_only
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.lines import say, say_page
from lullwort.cli.named import NAME
from lullwort.cli.sheetdocument import sheet_document
from lullwort.cli.shownunits import units_of
from lullwort.cli.showsheet import show_sheet
from lullwort.cli.stillso import no_longer_of
from lullwort.cli.values import instant, now_us
from lullwort.errors import RefusedError, UsageError
from lullwort.packaging_day import SheetFacts, ToldThen, sheet_explained, sheet_facts, sheet_of
from lullwort.records import format_utc
from lullwort.settings import Settings
from lullwort.standing import Entry, owned_span

__all__ = ["sheet"]


@click.command(short_help="Make one page for a batch: dates, gravities, strength, events, verdict, bottles.")
@click.argument("name", required=False, metavar=f"[{NAME}]")
@click.option(
    "--html", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.html",
    help="Write the page as HTML that stands on its own and prints on one A4 or Letter page.",
)  # fmt: skip
@click.option("--overwrite", is_flag=True, help="Write over a file that is there already.")
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def sheet(
    settings: Settings, name: str | None, html: Path | None, overwrite: bool, as_of: str | None, explain: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """Make one page for BATCH, or for the youngest batch in VESSEL: what is known of it, and room to write.

    Without a name it is that of the batch under way; where none is, of the one that was packaged last.

    Left out is what is not known. No priming amount stands there before the verdict is `ready`, unless it is in
    already. Of a packaged batch verdict and evidence are those of its packaging; what was noted and told since is on
    it, too. It only reads: nothing is kept, and nothing counts as told.

    Exit 0: made. Exit 1: no such vessel or batch, none at that time, or the file is there already.
    """
    if html is not None and html.suffix.lower() not in (".html", ".htm"):
        raise UsageError(f"--html is {html}: its format is not known, expected a name in .html")
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    with open_book(settings.book, create=False) as book:
        entry = asked_or_only(book, name, as_of_us, or_packaged=True)
        facts, course = _facts(book, entry, as_of_us)
    figures = sheet_explained(facts) if explain or html is not None else []
    units = units_of(settings)
    if as_json:
        explained = {"explained": as_documents(figures)} if explain else {}
        click.echo(json.dumps(sheet_document(facts) | explained, indent=2, ensure_ascii=False))
    elif html is None:
        page = sheet_of(facts, units)
        say_page(lambda out: show_sheet(page, facts, course, units, out))
    if explain and not as_json:
        say_explained(figures, settings.decimal)
    if html is not None:
        # Only now, for the page at the terminal needs none of it.
        from lullwort.cli.sheetpage import write_sheet

        whole_by = f"lullwort sheet {facts.batch.name}"
        if as_of_us is not None:
            whole_by += f" --as-of {format_utc(as_of_us)}"
        write_sheet(html, facts, course, figures, units, whole_by=whole_by, overwrite=overwrite)
        say(f"{html} written", err=as_json)


def _facts(book: Book, entry: Entry, as_of_us: int | None) -> tuple[SheetFacts, list[CourseHour]]:
    batch = entry.batch
    if batch is None or entry.judged is None:
        raise RefusedError(
            f"vessel {entry.vessel!r} has readings, but no batch; `lullwort batch open {entry.vessel} --pitched TIME` "
            "opens one"
        )
    (foreseen,) = foreseen_by_book([entry], book)
    readings = book.readings.together(batch.vessel, *owned_span(batch, book.batches.all(batch.vessel)))
    course = list(hourly_course(batch, readings, entry.judged.as_of_us))
    told = [
        ToldThen(told.told_us, told.verdict, told.verdict_us)
        for told in book.verdicts.told(batch.name)
        if as_of_us is None or told.told_us <= as_of_us
    ]
    noted_by_us, no_longer = now_us() if as_of_us is None else as_of_us, no_longer_of(book, entry, as_of_us)
    judged = entry.judged.told_by(now_us())
    facts = sheet_facts(judged, course, told, foreseen.forecast, no_longer, noted_by_us=noted_by_us)
    return facts, course
