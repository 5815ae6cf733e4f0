"""`lullwort verdict`: say whether each batch may be packaged, and why."""

from __future__ import annotations

import click

from lullwort.cellarbook import open_book
from lullwort.cli.answer import answer
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.explaining import explain_option
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.judging import judge_book
from lullwort.cli.named import NAME, named
from lullwort.cli.telling import keep_and_tell
from lullwort.cli.values import instant, now_us
from lullwort.settings import Settings

__all__ = ["verdict"]


@click.command(short_help="Say whether each batch may be packaged, and why.")
@click.argument("name", required=False, metavar=f"[{NAME}]")
@click.option("--all", "every", is_flag=True, help="Batches already packaged too.")
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def verdict(settings: Settings, name: str | None, every: bool, as_of: str | None, explain: bool, as_json: bool) -> None:
    """Say whether each batch in the cellar book may be packaged, and why; of one VESSEL or BATCH if it is named.

    With several batches only the answers are shown; name one to see the evidence.

    Exit 0: judged. Exit 1: no such vessel or batch.
    """
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    with open_book(settings.book, create=False) as book:
        meant = None if name is None else named(book, name)
        entries = judge_book(book, None if meant is None else meant.vessel, as_of_us)
        if meant is not None and meant.batch is not None:
            entries = [e for e in entries if e.batch is not None and e.batch.name == meant.batch.name]
        news = keep_and_tell(book, entries, now_us(), settings.units) if as_of is None else []
        entries = foreseen_by_book(entries, book)
    if not as_json and not every:
        entries = [e for e in entries if e.judged is None or e.judged.verdict != "packaged"] or entries
    answer(entries, settings, as_json=as_json, news=news, brief=len(entries) > 1, explain=explain, as_of_us=as_of_us)
