"""The page that does what a command does, with what stands in the command filled in there already."""

from __future__ import annotations

import re
import shlex
from typing import NamedTuple
from urllib.parse import quote, urlencode

__all__ = ["FOR_A_TERMINAL", "PageOf", "page_of_command"]

FOR_A_TERMINAL = ("calibrate", "instrument", "sensor")
"""Commands that do what no page does: they go with the making of solutions, or with a file of points."""


class PageOf(NamedTuple):
    """Where that is done.

    Attributes:
        address: of the page.
        called:  in a sentence, in the place of the command.
        act:     as a link of its own; {0} stands for the batch or the vessel.
    """

    address: str
    called: str
    act: str


class _Done(NamedTuple):
    command: re.Pattern[str]
    page: PageOf


_ID = r"(?:batch:)?([a-z0-9][a-z0-9._-]*)"
_DONE = tuple(
    _Done(re.compile(command), PageOf(*page))
    for command, *page in (
        (rf"lullwort batch edit(?: {_ID})? --steady-temperature\b.*", "/batch/{0}/edit",
         "an entry of its steady temperature", "Enter its steady temperature"),
        (rf"lullwort batch edit(?: {_ID})?\b.*", "/batch/{0}/edit", "correct the entries", "Correct the entries"),
        (rf"lullwort batch close(?: {_ID})?\b.*", "/batch/{0}/close", "close the batch", "Close {0}"),
        (rf"lullwort batch open {_ID}.*", "/vessel/{0}/open", "open a batch", "Open another batch in {0}"),
        (rf"lullwort note(?: {_ID})?\b.*", "/batch/{0}/note", "note it", "Note what was put in"),
        (rf"lullwort sheet {_ID}", "/batch/{0}/sheet", "the sheet", "Get its batch sheet"),
        (rf"lullwort (?:sealed|verdict|why)(?: {_ID})?", "/batch/{0}", "the batch's page", "See its page"),
        ("lullwort batch list()", "/", "the list of vessels", "See all vessels"),
        ("lullwort (?:withdraw|backfill)().*", "/import", "the page of imports", "See what was imported"),
        ("lullwort alerts()", "/alerts", "the alerts", "See the alerts"),
        ("(?:lullwort )?note()", "/batch/{0}/note#noted", "the batch's notes", "See its notes"),
        ("warm()", "/batch/{0}/note?kind=warm", "warm", "Note that it was warmed"),
        ("units()", "/units", "Units", "Choose units"),
    )
)  # fmt: skip
"""The first that fits counts; {0} is the name in the command, or that of the page's own batch."""

_FIELDS = {
    "--packaged": "packaged", "--pitched": "pitched", "--at": "at", "--points": "points", "--reported": "reported",
    "--steady-temperature": "steady", "--reading-interval": "interval", "--volume": "volume", "--recipe": "recipe",
    "--original-gravity": "original-gravity", "--primed": "primed", "--moved": "moved", "--filled": "filled",
}  # fmt: skip
"""Options of these commands, and the fields of forms that take them."""

_PLACEHOLDER = re.compile("[A-Z]+")


def page_of_command(command: str, batch: str = "") -> PageOf | None:
    """The page for a command as it would be typed; None where only a terminal does it.

    Args:   batch: that it is about where it names none.

    >>> page_of_command("lullwort batch close batch:a-1 --packaged 2026-05-01T18:00:00Z").address
    '/batch/a-1/close?packaged=2026-05-01T18%3A00%3A00Z'
    >>> page_of_command("lullwort batch edit --steady-temperature", "a-1").address
    '/batch/a-1/edit?show=steady#f-steady'
    """
    for pattern, page in _DONE:
        found = pattern.fullmatch(command)
        if found is None:
            continue
        named = found[1] or batch
        if not named and "{0}" in page.address:
            continue
        address = page.address.format(quote(named, safe=""))
        if address.endswith(("/edit", "/close", "/open", "/note")):
            address += _query(command)
        return PageOf(address, page.called, page.act.format(named))
    return None


def _query(command: str) -> str:
    """What its form begins with: the values in the command, and which fields are asked for without one."""
    try:
        words = shlex.split(command)
    except ValueError:  # a quote that is never closed
        return ""
    given, asked = [], []
    for word, after in zip(words, [*words[1:], ""], strict=True):
        field = _FIELDS.get(word)
        if field is not None and after and not after.startswith("--") and not _PLACEHOLDER.fullmatch(after):
            given.append((field, after))
        elif field is not None:
            asked.append(field)
    if words[1:2] == ["note"] and len(words) > 3 and not words[3].startswith("--"):
        given.insert(0, ("kind", words[3]))
    query = urlencode([*given, *(("show", field) for field in asked)])
    return (f"?{query}" if query else "") + (f"#f-{asked[0]}" if asked else "")
