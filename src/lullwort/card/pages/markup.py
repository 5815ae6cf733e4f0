"""Pieces of HTML that every part of the card is made of."""

from __future__ import annotations

import re
from collections.abc import Iterable
from urllib.parse import quote

from lullwort.card.pages.commandlinks import page_of_command
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import format_utc

__all__ = [
    "batch_path",
    "command_html",
    "ended",
    "first_sentence",
    "moment",
    "part",
    "prose",
    "todo_links",
    "vessel_path",
]

_NEXT_SENTENCE = re.compile(r"(?<=[.?!]) (?=[A-Z])")
_COMMAND = re.compile(r"`([^`]+)`")


def part(name: str, body: str, *, heading: str = "", kind: str = "") -> str:
    """A part of a page, which the live script exchanges by its name. One that says nothing keeps its place, unseen.

    Args:    heading: as text, of the second rank; body: as HTML.
             kind:    a class for its looks.
    """
    if not body:
        return f'<section id="{name}" data-part="{name}" hidden></section>'
    looks = f"part {kind}".rstrip()
    if not heading:
        return f'<section id="{name}" data-part="{name}" class="{looks}">{body}</section>'
    return (
        f'<section id="{name}" data-part="{name}" class="{looks}" aria-labelledby="{name}-head">'
        f'<h2 id="{name}-head">{escaped(heading)}</h2><div class="body">{body}</div></section>'
    )


def moment(at_us: int, units: Units, *, shown: str = "", kind: str = "") -> str:
    """A moment [µs] that a person and a script can read.

    Args:    shown: instead of the whole of it.
    """
    looks = f' class="{kind}"' if kind else ""
    return f'<time datetime="{format_utc(at_us)}"{looks}>{escaped(shown or units.moment(at_us))}</time>'


def prose(text: str, batch: str = "") -> str:
    """Sentences as HTML; of a command between backticks the page that does it, or that only a terminal does.

    Args:   batch: that they are about.

    >>> prose("It has `<it>` & is `lullwort note`", "a-1")
    'It has <code>&lt;it&gt;</code> &amp; is <a href="/batch/a-1/note">note it</a>'
    """
    parts = _COMMAND.split(text)
    return ended("".join(command_html(p, batch) if number % 2 else escaped(p) for number, p in enumerate(parts)))


def ended(html: str) -> str:
    """Sentences with what `command_html` gave in them: no comma stands before another mark."""
    return _ELSE_AT_END.sub(_ELSE[:-1], html)


def command_html(command: str, batch: str = "") -> str:
    """The page that does what a command does; else the command, which is for a terminal."""
    page = page_of_command(command, batch)
    if page is not None:
        return f'<a href="{escaped(page.address)}">{page.called}</a>'
    return f"<code>{escaped(command)}</code>{_ELSE if command.startswith('lullwort ') else ''}"


_ELSE = ", at a terminal,"
_ELSE_AT_END = re.compile(rf"{_ELSE}(?=[.;:,)?]|$)")


def first_sentence(text: str) -> str:
    """What a text begins with, up to the end of its first sentence.

    >>> first_sentence("Gravity holds still at 1.0253, but that is too high. Stuck, or the entry is wrong.")
    'Gravity holds still at 1.0253, but that is too high.'
    """
    return _NEXT_SENTENCE.split(text, maxsplit=1)[0]


def todo_links(links: Iterable[tuple[str, str]]) -> str:
    """Where things are done: paths with what is done there, one below the other; nothing where there are none."""
    items = "".join(f'<li><a href="{escaped(path)}">{escaped(says)}</a></li>' for path, says in links)
    return f'<ul class="acts">{items}</ul>' if items else ""


def vessel_path(vessel: str, *rest: str) -> str:
    """Where a page of a vessel is.

    >>> vessel_path("north", "open"), batch_path("a/b")
    ('/vessel/north/open', '/batch/a%2Fb')
    """
    return "/".join(["/vessel", quote(vessel, safe=""), *rest])


def batch_path(name: str, *rest: str) -> str:
    """Where a page of a batch is."""
    return "/".join(["/batch", quote(name, safe=""), *rest])
