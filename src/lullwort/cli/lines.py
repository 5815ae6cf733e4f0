"""How commands print: wrapped to the width of a terminal, into a file or another program a line for each thing; what is
laid out as a page is so wherever it goes."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING

import click

from lullwort.plaintext import plain_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console

__all__ = ["console", "say", "say_page", "say_wrapped"]

_WIDEST = 100
"""[columns] Wider text is hard to read."""

_HANG = 4
"""[columns] More than things are indented that belong to another."""


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
        line = _wrapped(line)
    click.echo(line, err=err)


def say_wrapped(line: str) -> None:
    """As `say` at a terminal, wherever it goes: a sentence on a page that has tables, too, which are laid out as well.

    A command in `backticks` stays whole, for somebody may copy it.
    """
    whole = re.sub("`[^`]*`", lambda command: command[0].replace(" ", _STAYS), line)
    click.echo(_wrapped(whole).replace(_STAYS, " "))


def _wrapped(line: str) -> str:
    from textwrap import fill

    deeper = " " * (len(line) - len(line.lstrip()) + _HANG)
    return fill(line, console().width, subsequent_indent=deeper, break_long_words=False, break_on_hyphens=False)


_STAYS = "\x1f"
# No blank for what wraps lines, and in nobody's text.
