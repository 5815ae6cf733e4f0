"""`lullwort why`: what a verdict rests on, since when each check has held, and what would change it."""

from __future__ import annotations

import click

from lullwort.cellarbook import open_book
from lullwort.cli.asked import asked
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.document import document
from lullwort.cli.explaining import explain_option, say_explained
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.judging import judge_book
from lullwort.cli.lines import say_page
from lullwort.cli.named import NAME, named
from lullwort.cli.showwhy import show_why
from lullwort.cli.values import instant, told_at
from lullwort.cli.verdictexplained import entries_explained
from lullwort.settings import Settings

__all__ = ["why"]


@click.command(short_help="Tell what a verdict rests on, since when, and what would change it.")
@click.argument("name", metavar=NAME)
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def why(settings: Settings, name: str, as_of: str | None, explain: bool, as_json: bool) -> None:
    """Tell why BATCH, or the youngest batch in VESSEL, has the verdict that it has, or that it had then.

    Shown are the seven checks, each with whether it holds, since when, what was seen and what would turn it; then every
    change of the verdict with what was known when it came. It only reads: nothing is kept, and nothing counts as told.

    Exit 0: told. Exit 1: no such vessel or batch, or none at that time.
    """
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    with open_book(settings.book, create=False) as book:
        meant = named(book, name)
        found = asked(judge_book(book, meant.vessel, as_of_us), meant, as_of_us)
        (entry,) = foreseen_by_book([found], book)
    figures = entries_explained([entry]) if explain else []
    if as_json:
        click.echo(document([entry], figures))
        return
    told_us = told_at(as_of_us)
    say_page(lambda page: show_why(entry.told_by(told_us), settings, page, now_us=told_us))
    if explain:
        say_explained(figures, settings.decimal)
