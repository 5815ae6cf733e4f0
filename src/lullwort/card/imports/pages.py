"""The other pages of an import: the file to choose, the wait, what was stored, and the way back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lullwort.card.commands.said import in_words
from lullwort.card.imports.drypage import aside_table
from lullwort.card.imports.stating import arranged
from lullwort.card.pages.fields import Field, form_html
from lullwort.card.pages.markup import part, vessel_path
from lullwort.cellarbook import Imported
from lullwort.counting import counted
from lullwort.detector import Units
from lullwort.exporting import escaped

__all__ = ["choose_page", "gone_page", "refused_page", "stored_page", "waiting_page", "withdraw_page", "withdrawn_page"]


def choose_page(
    fields: Sequence[Field], stated: Mapping[str, str], faults: Mapping[str, str], past: Iterable[Imported],
    most_mib: int, token: str, units: Units,
) -> list[str]:  # fmt: skip
    """Where a file is chosen; below it the imports there have been, newest first.

    Args:   most_mib: [MiB] how long a file may be.
    """
    return [
        "<h1>Import a log</h1>",
        f"<p>A CSV, Parquet or SenML file of up to {most_mib} MiB. How it would be read is shown first; nothing is "
        "stored before you have seen it.</p>",
        form_html("/import", fields, "Show how it would be read", token, stated, faults),
        _past(past, units),
    ]


def _past(past: Iterable[Imported], units: Units) -> str:
    rows = "".join(f"<li>{_imported(one, units)}{_way_back(one)}</li>" for one in past)
    if not rows:
        return ""
    return part("past", f'<ul class="past">{rows}</ul>', heading="Imported lately")


def _imported(one: Imported, units: Units) -> str:
    return (
        f"<b>{escaped(one.place)}</b> <small>{escaped(one.name)}, {escaped(units.moment(one.started_us))}</small><br>"
        f"{counted(one.readings, 'reading')}, {one.set_aside} set aside: {escaped(_state(one, units))} "
    )


def _state(one: Imported, units: Units) -> str:
    if one.withdrawn_us is not None:
        return f"taken back {units.moment(one.withdrawn_us)}"
    if one.live:
        return "live readings, which go on coming"
    return "in use" if one.in_use else "not finished: import the file again"


def _way_back(one: Imported) -> str:
    if one.live or not one.in_use:
        return ""
    what = f'<span class="unseen"> {escaped(one.place)}</span>'
    return f'<a href="/import/withdraw/{escaped(one.name)}">Take back{what}</a>'


def waiting_page(name: str, doing: str, address: str) -> list[str]:
    """A file is being worked at; the page asks for itself again. `doing` says what is done."""
    return [
        f"<h1>{escaped(name)}</h1>",
        f'<p class="waiting" role="status">{escaped(doing)} It goes on if you leave this page, which looks again by '
        "itself every few seconds.</p>",
        f'<p class="way"><a href="{escaped(address)}">Look now</a></p>',
    ]


def refused_page(
    name: str, fields: Sequence[Field], stated: Mapping[str, str], faults: Mapping[str, str], again: str, token: str
) -> list[str]:
    """A file that could not be read at all, with what could be stated of it."""
    return [
        f"<h1>{escaped(name)}</h1>",
        '<p class="wrong" role="alert">It could not be read so. Nothing of it is stored.</p>',
        form_html(again, arranged(fields, faults), "Read it again", token, stated, faults, heading="Not read"),
        '<p class="way"><a href="/import">Another file</a></p>',
    ]


def gone_page(broken_off: Iterable[Imported], units: Units) -> list[str]:
    """A file that is not held, or no longer. `broken_off` are imports that have not come to their end."""
    rows = "".join(f"<li>{_imported(one, units)}</li>" for one in broken_off)
    unfinished = (
        '<p class="doubt"><b>Mind:</b> Of these a part is stored and does not count yet. Unless it is being stored '
        "just now, the service was ended, or took up changed settings, while it was: choose the file again, and the "
        f'rest follows.</p><ul class="past">{rows}</ul>'
    )
    return [
        "<h1>That file is not here any more</h1>",
        '<p class="wrong" role="alert">A file that was handed in is held for an hour, and not when the service has '
        "been started anew or has taken up changed settings. What has been stored is in the list.</p>",
        unfinished if rows else "",
        '<p class="way"><a href="/import">Choose it again</a></p>',
    ]


def stored_page(name: str, document: Mapping[str, Any]) -> list[str]:
    """What became of a file."""
    called = str(document["import"])
    conflicts = (
        f'<p class="doubt"><b>Mind:</b> {document["conflicts"]} instants contradict another report and are not used. '
        "If another import is wrong, take that one back.</p>"
        if document["conflicts"]
        else ""
    )
    vessels = "".join(
        f'<li><a href="{vessel_path(one["vessel"])}">{escaped(one["vessel"])}</a>: '
        f"{counted(one['readings'], 'reading')}</li>"
        for one in document["vessels"]
    )
    return [
        f"<h1>{escaped(name)}</h1>",
        f'<p class="verdict" role="status"><b>{document["stored"]} stored</b>, '
        f"{document['already_known']} already known, "
        f"{document['set_aside_count']} set aside, of {counted(document['rows'], 'row')}.</p>",
        "<p>Where a batch is open its answer follows within a minute. Else open one: the page of the vessel asks for "
        "it.</p>"
        if vessels
        else "",
        conflicts,
        f'<ul class="others">{vessels}</ul>' if vessels else "",
        aside_table(document, "set aside"),
        f"<p>If a unit or a zone was wrong, take it back as a whole, and import the file again: "
        f'<a href="/import/withdraw/{escaped(called)}">take back import {escaped(called)}</a>.</p>',
        '<p class="way"><a href="/import">Another file</a></p>',
    ]


def withdraw_page(one: Imported, token: str, units: Units, faults: Mapping[str, str]) -> list[str]:
    """Asks whether an import is to be taken back."""
    if not one.in_use:
        ask = f"<p>It is not in use: {escaped(_state(one, units))}.</p>"
    else:
        ask = (
            "<p>Its readings then count no more, and the verdicts that rest on them change. They stay in the book: "
            "importing the same file in the same way brings them back.</p>"
            + form_html(f"/import/withdraw/{one.name}", (), "Take it back", token, {}, faults)
        )
    return [
        f"<h1>Take {escaped(one.place)} back?</h1>", f"<p>{_imported(one, units)}</p>", ask,
        '<p class="way"><a href="/import#past">Leave it as it is</a></p>',
    ]  # fmt: skip


def withdrawn_page(one: Imported, said: Iterable[str]) -> list[str]:
    """An import has been taken back. `said` are the lines of the command."""
    return [
        f"<h1>{escaped(one.place)} is taken back</h1>",
        f"<p>{counted(one.readings, 'reading')} {'counts' if one.readings == 1 else 'count'} no more.</p>",
        "".join(f"<p>{in_words(line)}</p>" for line in said),
        '<p class="way"><a href="/import#past">All imports</a></p>',
    ]
