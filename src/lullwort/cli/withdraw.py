"""`lullwort withdraw`: take an import out of use as a whole."""

from __future__ import annotations

import click

from lullwort.cellarbook import Imported, open_book
from lullwort.cli.common import SHOWN, with_settings
from lullwort.cli.judging import judge_book
from lullwort.cli.lines import say
from lullwort.cli.shownunits import local_time
from lullwort.cli.telling import keep_and_tell
from lullwort.cli.values import now_us
from lullwort.counting import counted
from lullwort.settings import Settings

__all__ = ["withdraw"]


@click.command(short_help="Take an import out of use as a whole.")
@click.argument("name", required=False, metavar="[IMPORT]")
@with_settings("book", *SHOWN)
def withdraw(settings: Settings, name: str | None) -> None:
    """Take an import out of use as a whole, as when its unit was stated wrongly. Without IMPORT: list them.

    IMPORT is the name that `backfill` printed, or its first digits. The readings stay in the book but count no
    more; storing the same file in the same way brings them back.

    Exit 0: withdrawn. Exit 1: no such import.
    """
    with open_book(settings.book, create=False) as book:
        if name is None:
            for imported in book.imports.all():
                say(_line(imported, settings))
            return
        withdrawn = book.imports.withdraw(name, now_us())
        say(_line(withdrawn, settings))
        # Others change where this one contradicted them; what is told here is what was asked about.
        own = book.imports.vessels(withdrawn.name)
        for says in keep_and_tell(book, judge_book(book, None, None), now_us(), settings.units, only=own):
            say(says)


def _line(imported: Imported, settings: Settings) -> str:
    state = "in use"
    if imported.withdrawn_us is not None:
        state = f"withdrawn {local_time(imported.withdrawn_us, settings)}"
    elif not imported.in_use:
        state = "not finished: store the file again"
    return (
        f"{imported.name}  {counted(imported.readings, 'reading')}, {imported.set_aside} set aside, "
        f"from {imported.place}, {local_time(imported.started_us, settings)}: {state}"
    )
