"""`lullwort batch compare`: does this batch go as earlier ones of its recipe did?"""

from __future__ import annotations

from pathlib import Path

import click

from lullwort.cellarbook import open_book
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.explaining import explain_option, say_explained
from lullwort.cli.lines import say, say_page
from lullwort.cli.named import NAME, named
from lullwort.cli.shownunits import units_of
from lullwort.cli.values import instant
from lullwort.errors import UsageError
from lullwort.settings import Settings

__all__ = ["compare"]


@click.command(short_help="Tell whether a batch goes as earlier ones of its recipe did.")
@click.argument("name", metavar=NAME)
@click.option(
    "--picture", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.svg",
    help="Draw them over each other, as SVG.",
)  # fmt: skip
@click.option("--overwrite", is_flag=True, help="Write over a picture that is there already.")
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def compare(
    settings: Settings,
    name: str,
    picture: Path | None,
    overwrite: bool,
    as_of: str | None,
    explain: bool,
    as_json: bool,
) -> None:
    """Tell whether BATCH, or the youngest batch in VESSEL, goes as the earlier batches of its recipe did.

    Batches are of one recipe if the same was entered for them with --recipe. Shown are the newest twelve before this
    one, each with its lag, from the pitch until fermentation has certainly begun; the most that fell in a day; the time
    until three quarters of the fall were gone (75 %); the tail, from there until within a point of the end; the end;
    and the time to `ready`.

    Called different is what hardly 1 in 20 would show that go as before. It says nothing of whether the beer may be
    packaged.

    Exit 0: told. Exit 1: no such vessel or batch, no recipe, or no earlier batch of it.
    """
    # Only now, for the other commands of the group need none of it.
    from lullwort.cli.comparedocument import compared_document
    from lullwort.cli.drawn import write_picture
    from lullwort.cli.repeats import beside_earlier
    from lullwort.cli.showcompare import show_compared
    from lullwort.forecast import COMPARED_EXPLAINED

    if picture is not None and picture.suffix.lower() != ".svg":
        raise UsageError(f"{picture}: its format is not known, expected a name in .svg")
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    with open_book(settings.book, create=False) as book:
        beside = beside_earlier(book, named(book, name), as_of_us)
    if as_json:
        click.echo(compared_document(beside, COMPARED_EXPLAINED if explain else ()))
    else:
        say_page(lambda page: show_compared(beside, settings, page))
        if explain:
            say_explained(COMPARED_EXPLAINED, settings.decimal)
    if picture is not None:
        write_picture(picture, beside, units_of(settings), overwrite=overwrite)
        say(f"{picture} written", err=as_json)
