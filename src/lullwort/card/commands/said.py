"""What a command said, as a page says it: options by the labels of fields, commands to be typed as links."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from lullwort.card.commands.commands import Ran
from lullwort.card.pages.fields import Field, Html
from lullwort.card.pages.markup import command_html, ended
from lullwort.card.pages.quoted import masked
from lullwort.exporting import escaped

__all__ = ["doubts_of", "faults_of", "in_words", "own_sentence", "told_html", "told_section"]

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
        (r"`(?:lullwort )?withdraw` without a name lists them", "`lullwort withdraw` lists them"),
        (r", or state which with the setting volume", ", or choose one under `units`"),
        (r", or state a zone with --zone or in the settings", ", or choose a zone under `units`"),
        (r"--remove takes the note back", "It can be taken back in `note`"),
        (
            r"--points go with an addition, and an addition with --points",
            "what was put in goes with an addition, and an addition with what was put in: an amount, or points",
        ),
    )
)
"""Sentences of the commands that are for a terminal, and what a page says instead."""


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
            parts.append(command_html(without.back(part.replace("\x00", ":")), batch))
        else:
            parts.append(escaped(without.back(_OPTION.sub(lambda found: _labelled(found, labels), part))))
    return Html(ended("".join(parts)))


def _kept_in_commands(text: str) -> str:
    """What stands in a command keeps its form: `batch:north-1` there is one name."""
    return _COMMAND.sub(lambda found: found[0].replace(":", "\x00"), text.replace("\x00", ""))


def _labelled(found: re.Match[str], labels: Mapping[str, str]) -> str:
    option = found[1]
    return f"“{labels[option]}”" if option in labels else _ELSEWHERE.get(option, f"“{option[2:].replace('-', ' ')}”")


def faults_of(ran: Ran, fields: Sequence[Field], batch: str = "") -> dict[str, str]:
    """What was wrong, by the name of the field that it is about; under "" what is about none of them."""
    if ran.failed:
        why = "" if "Traceback" in ran.err else _sentences(ran.err)[-1][1]
        told = in_words(why, fields, batch) or "The command fell over. What the service logs may tell more."
        return {"": Html(f"Something that is needed failed, so that this could not be done. {told}")}
    found: dict[str, str] = {}
    for option, says in _sentences(ran.err):
        told = says if says or ran.code != 1 else "It was refused, without a reason."
        about = _about(option, told, fields)
        shown = _beginning(in_words(told, fields, batch), beside=bool(about))
        found[about] = Html(f"{found[about].rstrip('.')}. {shown}") if about in found else shown
    return found


def _beginning(says: Html, *, beside: bool) -> Html:
    """A sentence that begins as one; beside its field it need not name that."""
    found = _ABOUT_IT.match(says) if beside else None
    if found is not None:
        return Html(_ITS_BEGINNING[found["says"]] + says[found.end() :])
    return Html(says[0].upper() + says[1:]) if _BEGINS.match(says) else says


def own_sentence(err: str) -> str:
    """Why the command says that it did not do it, the last of what it wrote; empty where it says nothing of its own."""
    return f"\n{err}".rpartition("\nlullwort: ")[2].strip() if "\nlullwort: " in f"\n{err}" else ""


def _sentences(err: str) -> list[tuple[str, str]]:
    """For each error the option that it is about, where it says so itself, and its sentence; one at the least."""
    _warnings, *ours = f"\n{err}".split("\nlullwort: ")
    if ours:
        return [("", says[found.end() :] if (found := _PREFIX.match(says)) else says) for says in map(str.strip, ours)]
    found = _CLICK.search(err)
    if found is None:
        return [("", err.strip())]
    option = found["option"] or ""
    return [(option, f"{option}: {found['says'].strip()}" if option else found["says"].strip())]


def _about(option: str, says: str, fields: Sequence[Field]) -> str:
    says = masked(says).text
    told = next((field.name for field in fields if any(part in says for part in field.tells)), None)
    if told is not None:
        return told
    by_option = {field.option: field.name for field in fields if field.option}
    named = [option, *(found[1] for found in _OPTION.finditer(_COMMAND.sub("", says)))]
    return next((by_option[each] for each in named if each in by_option), "")


def doubts_of(ran: Ran, fields: Sequence[Field] = (), batch: str = "") -> Html:
    """What a command that has done its work, or has only tried, asks about; empty where nothing is doubtful."""
    return Html(" ".join(in_words(line, fields, batch) for line in _lines(ran.err)))


def told_html(ran: Ran, done: str, fields: Sequence[Field] = (), batch: str = "", *, again: bool = False) -> str:
    """What a command said that has done its work, its doubts first.

    Args:    done:  what it has done, in a word, such as "Noted."
             again: whether the form had been sent before.
    """
    doubts = "".join(_doubt(line, fields, batch) for line in _lines(ran.err))
    first, *more = [in_words(line, fields, batch) for line in _lines(ran.out)] or [Html()]
    once = " This had been sent already, and was done once." if again else ""
    rest = "".join(f"<p>{line}</p>" for line in more)
    folded = f'<details id="told-more"><summary>More of it</summary>{rest}</details>' if more else ""
    return told_section(done, f"{first}{once}", doubts + folded)


def told_section(done: str, says: str, more: str = "") -> str:
    """What is told once, with the focus on it, and how to be rid of it. `says` and `more` are HTML.

    It is short, for the answer of the page stands below it; see `assets/live.js` for how it goes by itself.
    """
    return (
        '<section class="told" id="told" role="status" tabindex="-1" autofocus>'
        f'<p><b>{escaped(done)}</b> {says} <a href="?">Put this away</a></p>{more}</section>'
    )


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _doubt(line: str, fields: Sequence[Field], batch: str) -> str:
    danger, _, rest = line.partition("DANGER: ")
    grave = (not danger and bool(rest)) or "burst" in line or "handle them only" in line
    mark, kind = ("Danger", "danger") if grave else ("Mind", "doubt")
    return f'<p class="{kind}"><b>{mark}:</b> {in_words(rest or line, fields, batch)}</p>'
