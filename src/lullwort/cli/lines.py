"""How commands print: wrapped to the width of a terminal, into a file or another program a line for each thing."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from lullwort.plaintext import plain_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console

__all__ = ["console", "say", "say_page"]

_WIDEST = 100
"""[columns] Wider text is hard to read."""

_HANG = 4
"""[columns] More than things are indented that belong to another."""


def counted(number: int, one: str, many: str) -> str:
    """A number of things; not grouped by thousands, for a comma there is the decimal mark of many.

    >>> counted(1, "batch", "batches"), counted(1052, "batch", "batches")
    ('1 batch', '1052 batches')
    """
    return f"{number} {one if number == 1 else many}"


def console() -> Console:
    """The terminal, no wider than reads well, for text that is laid out; into a file it is laid out as well."""
    from rich.console import Console

    from lullwort.cli.plainpage import PlainPage

    width = min(Console().width, _WIDEST)
    return PlainPage(highlight=False, emoji=False, markup=False, width=width)


def say_page(lay_out: Callable[[Console], None]) -> None:
    """Print what `lay_out` puts on the page that it is given."""
    page = console()
    with page.capture() as captured:
        lay_out(page)
    for line in captured.get().splitlines():
        click.echo(line.rstrip())  # a table fills its lines with blanks, which are in the way of who copies them


def say(line: str, *, err: bool = False) -> None:
    """Print `line`; where it takes several at a terminal, the others stand a little deeper.

    A word longer than the terminal is wide stays whole, for it is a path or a name that somebody may copy.
    """
    line = plain_text(line)
    if (sys.stderr if err else sys.stdout).isatty():
        from textwrap import fill

        deeper = " " * (len(line) - len(line.lstrip()) + _HANG)
        line = fill(line, console().width, subsequent_indent=deeper, break_long_words=False, break_on_hyphens=False)
    click.echo(line, err=err)
