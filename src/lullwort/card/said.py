"""What a command said, as a page says it: options by the labels of fields, commands to be typed as links."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence

from lullwort.card.commands import Ran
from lullwort.card.fields import Field, Html
from lullwort.card.markup import batch_path, vessel_path
from lullwort.card.quoted import masked
from lullwort.exporting import escaped

__all__ = ["faults_of", "in_words", "own_sentence", "told_html", "told_section"]

_OPTION = re.compile(r"(?<![\w-])(--[a-z][a-z-]*[a-z]|VESSEL|KIND)(?![\w-])(?: (?:TIME|GRAVITY|VOLUME|BATCH|TEXT)\b)?")
_COMMAND = re.compile(r"`([^`]*)`")
_PREFIX = re.compile(r"(?:(?:batch open|forced test|[a-z0-9][a-z0-9._-]*): )+(?=\S)")
_CLICK = re.compile(r"^Error: (?:Invalid value for (?:'(?P<option>[^']*)'): )?(?P<says>.*)", re.MULTILINE | re.DOTALL)
_BATCH = re.compile(r"\bbatch '([a-z0-9][a-z0-9._-]*)'")
_KEY = re.compile(r"\b([a-z]+(?:_[a-z]+)+) (?=is )")
_UNIT_OF_KEY = re.compile(r"(?:_g_l|_(?:bar|[lchg]))$")
_BEGINS = re.compile(r"(?:a|an|another|batch|no|nothing|several|the|there|what)\b")
_ABOUT_IT = re.compile(r"“[^”]*”(?P<says>: | is (?!not below)| lies )")
_ITS_BEGINNING = {": ": "", " is ": "It is ", " lies ": "It lies "}

_ELSEWHERE = {"VESSEL": "VESSEL", "KIND": "KIND", "--pitched": "the pitch", "--volume": "“Volume in the vessel”"}
"""What an option is called on a page that has no field for it."""

_AT_A_TERMINAL = tuple(
    (re.compile(typed), instead)
    for typed, instead in (
        (r" \(`lullwort batch edit` changes the book; [^)]*\)", ": `lullwort batch edit` changes that"),
        (r"Next: `(lullwort sheet [^`]*)` makes its page to keep\.", r"Next: `\1`, a page to keep."),
        (r", or state which with the setting volume", ", or choose one under `units`"),
        (r", or state a zone with --zone or in the settings", ", or choose a zone under `units`"),
        (r"--remove takes the note back", "`note` let it be taken back"),
        (
            r"--points go with an addition, and an addition with --points",
            "what was put in goes with an addition, and an addition with what was put in: an amount, or points",
        ),
    )
)
"""Sentences of the commands that are for a terminal, and what a page says instead."""

_ID = r"(?:batch:)?([a-z0-9][a-z0-9._-]*)"
_LINKED: tuple[tuple[re.Pattern[str], str | Callable[[str], str], str], ...] = tuple(
    (re.compile(command), address, called)
    for command, address, called in (
        (rf"lullwort batch edit(?: {_ID})?\b.*", lambda name: batch_path(name, "edit"), "correct the entries"),
        (rf"lullwort batch close(?: {_ID})?\b.*", lambda name: batch_path(name, "close"), "close the batch"),
        (rf"lullwort sheet {_ID}", lambda name: batch_path(name, "sheet"), "the sheet"),
        (rf"lullwort batch open {_ID}.*", lambda name: vessel_path(name, "open"), "open a batch"),
        (rf"lullwort (?:sealed|verdict|why) {_ID}", batch_path, "the batch's page"),
        ("lullwort batch list()", "/", "the list of vessels"),
        ("note()", lambda name: f"{batch_path(name, 'note')}#noted", "the batch's notes"),
        ("units()", "/units", "Units"),
    )
)
"""A command, the address that does the same, and what its link is called; an address that is of a batch or vessel is
made from the name in the command, or from that of the page's own batch."""


def in_words(text: str, fields: Sequence[Field] = (), batch: str = "") -> Html:
    """A sentence of a command as a page says it.

    Args:   fields: of the form that the command was given; `batch` is what it was about, if one.
    """
    found = _BATCH.search(text)
    batch = batch or (found[1] if found else "")
    without = masked(text)  # what somebody typed is told as it was typed
    text = without.text
    for typed, instead in _AT_A_TERMINAL:
        text = typed.sub(instead, text)
    text = _KEY.sub(lambda key: f"{_UNIT_OF_KEY.sub('', key[1]).replace('_', ' ')} ", text)
    text = re.sub(r"\b(batch|vessel):(?=[a-z0-9])", r"\1 ", _kept_in_commands(text))
    labels = {field.option: field.label.partition(" (")[0] for field in fields if field.option}
    parts = []
    for number, part in enumerate(_COMMAND.split(text)):
        if number % 2:
            parts.append(_link(without.back(part.replace("\x00", ":")), batch))
        else:
            parts.append(escaped(without.back(_OPTION.sub(lambda found: _labelled(found, labels), part))))
    return Html("".join(parts))


def _kept_in_commands(text: str) -> str:
    """What stands in a command keeps its form: `batch:north-1` there is one name."""
    return _COMMAND.sub(lambda found: found[0].replace(":", "\x00"), text.replace("\x00", ""))


def _labelled(found: re.Match[str], labels: Mapping[str, str]) -> str:
    option = found[1]
    return f"“{labels[option]}”" if option in labels else _ELSEWHERE.get(option, f"“{option[2:].replace('-', ' ')}”")


def _link(command: str, batch: str) -> str:
    for pattern, address, called in _LINKED:
        found = pattern.fullmatch(command)
        if found is None:
            continue
        name = found[1] or batch
        if isinstance(address, str) or name:
            where = address if isinstance(address, str) else address(name)
            return f'<a href="{escaped(where)}">{called}</a>'
    return f"<code>{escaped(command)}</code> (at a terminal)"


def faults_of(ran: Ran, fields: Sequence[Field], batch: str = "") -> dict[str, str]:
    """What was wrong, by the name of the field that it is about; under "" what is about none of them."""
    if ran.failed:
        why = "" if "Traceback" in ran.err else _sentence(ran.err)[1]
        told = in_words(why, fields, batch) or "The command fell over. What the service logs may tell more."
        return {"": Html(f"Something that is needed failed, so that this could not be done. {told}")}
    option, says = _sentence(ran.err)
    if ran.code == 1 and not says:
        says = "It was refused, without a reason."
    about = _about(option, says, fields)
    return {about: _beginning(in_words(says, fields, batch), beside=bool(about))}


def _beginning(says: Html, *, beside: bool) -> Html:
    """A sentence that begins as one; beside its field it need not name that."""
    found = _ABOUT_IT.match(says) if beside else None
    if found is not None:
        return Html(_ITS_BEGINNING[found["says"]] + says[found.end() :])
    return Html(says[0].upper() + says[1:]) if _BEGINS.match(says) else says


def own_sentence(err: str) -> str:
    """Why the command says that it did not do it, the last of what it wrote; empty where it says nothing of its own."""
    return f"\n{err}".rpartition("\nlullwort: ")[2].strip() if "\nlullwort: " in f"\n{err}" else ""


def _sentence(err: str) -> tuple[str, str]:
    """The option that an error is about, where it says so itself, and its sentence."""
    says = own_sentence(err)
    if says:
        return "", says[found.end() :] if (found := _PREFIX.match(says)) else says
    found = _CLICK.search(err)
    if found is None:
        return "", err.strip()
    option = found["option"] or ""
    return option, f"{option}: {found['says'].strip()}" if option else found["says"].strip()


def _about(option: str, says: str, fields: Sequence[Field]) -> str:
    says = masked(says).text
    told = next((field.name for field in fields if any(part in says for part in field.tells)), None)
    if told is not None:
        return told
    by_option = {field.option: field.name for field in fields if field.option}
    named = [option, *(found[1] for found in _OPTION.finditer(_COMMAND.sub("", says)))]
    return next((by_option[each] for each in named if each in by_option), "")


def told_html(ran: Ran, fields: Sequence[Field] = (), batch: str = "", *, again: bool = False) -> str:
    """What a command said that has done its work, its doubts first.

    Args:    again: whether the form had been sent before.
    """
    doubts = [line.strip() for line in ran.err.splitlines() if line.strip()]
    parts = [_doubt(line, fields, batch) for line in doubts]
    if again:
        parts.append("<p>This had been sent already, and was done once.</p>")
    parts.append(_paragraphs((line.strip() for line in ran.out.splitlines() if line.strip()), fields, batch))
    return told_section("".join(parts))


def told_section(inside: str) -> str:
    """What is told once, with the focus on it."""
    return f'<section class="told" id="told" role="status" tabindex="-1" autofocus>{inside}</section>'


def _doubt(line: str, fields: Sequence[Field], batch: str) -> str:
    danger, _, rest = line.partition("DANGER: ")
    grave = (not danger and bool(rest)) or "burst" in line or "handle them only" in line
    mark, kind = ("Danger", "danger") if grave else ("Mind", "doubt")
    return f'<p class="{kind}"><b>{mark}:</b> {in_words(rest or line, fields, batch)}</p>'


def _paragraphs(lines: Iterable[str], fields: Sequence[Field], batch: str) -> str:
    return "".join(f"<p>{in_words(line, fields, batch)}</p>" for line in lines)
