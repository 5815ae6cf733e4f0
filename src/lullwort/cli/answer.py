"""What a command that has judged prints: what is new first, then the document or the answers."""

from __future__ import annotations

from collections.abc import Iterable

import click

from lullwort.cli.document import document
from lullwort.cli.explaining import say_explained
from lullwort.cli.lines import say, say_page
from lullwort.cli.show import show
from lullwort.cli.values import told_at
from lullwort.cli.verdictexplained import entries_explained
from lullwort.settings import Settings
from lullwort.standing import Entry

__all__ = ["answer"]


def answer(
    entries: list[Entry],
    settings: Settings,
    *,
    as_json: bool,
    news: Iterable[str] = (),
    brief: bool,
    explain: bool = False,
    as_of_us: int | None = None,
) -> None:
    """Print `news` on standard error and `entries` as JSON or as text; `brief` leaves the evidence out of the text,
    `explain` tells how the figures come about, and `as_of_us` [µs] is the instant that was asked for, where one was.

    News comes first, for it is told once, and whoever reads the rest may stop early.
    """
    for says in news:
        say(says, err=True)
    figures = entries_explained(entries) if explain else []
    if as_json:
        click.echo(document(entries, figures))
        return
    told_us = told_at(as_of_us)
    told = [entry.told_by(told_us) for entry in entries]
    say_page(lambda page: show(told, settings, page, now_us=told_us, brief=brief))
    if explain:
        say_explained(figures, settings.decimal)
