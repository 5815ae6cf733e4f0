"""Fields of a form, each with its label, its hint, and what is wrong with it standing beside it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Literal, NamedTuple

from lullwort.exporting import escaped

__all__ = ["INSIST_FIELD", "TOKEN_FIELD", "Field", "Html", "field_html", "form_html", "markup"]

TOKEN_FIELD = "form-token"
"""Carries what shows that a form was ours."""


class Html(str):
    """Text that is HTML already."""

    __slots__ = ()


def markup(text: str) -> str:
    """`text` as HTML: as it is where it is `Html`, else escaped."""
    return text if isinstance(text, Html) else escaped(text)


class Field(NamedTuple):
    """One field.

    Attributes:
        name:    as it is posted.
        label:   as the brewer reads it.
        option:  of the command that its value goes to, such as "--pitched", or what its help calls the argument, such
                 as "VESSEL"; empty where no command is given it.
        hint:    stands below the label: what is meant, with an example.
        choices: value and label of each; none for text that is typed.
        required: whether the form is of no use without it.
        rows:    of a text of several lines; 0 for one line.
        mode:    of the keys that a phone shows: "text", "decimal" or "search".
        kind:    "moment" for a date and time, "box" for one that is ticked, "file" for a file, else "text".
        group:   heading under which it lies folded up; empty for a field that is seen at once.
        empty:   what the command is given where nothing was entered; nothing at all where this is empty.
        unset:   what the command is given to take back what is on record; empty where it cannot.
        each_line: whether each line of its text is an option of its own.
        always:  whether it goes to the command of a form for changes even where it is as it was.
        suggested: values that may be picked, beside any other that is typed.
        free:    whether it is said that it may stay empty.
        tells:   parts of sentences that are about this field, though they do not name its option.
        stand_in: what the command is given in its place while the rest is checked, where it is needed and missing.
    """

    name: str
    label: str
    option: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    required: bool = False
    rows: int = 0
    mode: str = "text"
    kind: Literal["text", "moment", "box", "file"] = "text"
    group: str = ""
    empty: str = ""
    unset: str = ""
    each_line: bool = False
    always: bool = False
    suggested: tuple[str, ...] = ()
    free: bool = True
    tells: tuple[str, ...] = ()
    stand_in: str = ""


TICKED = "yes"
"""What a box that is ticked posts."""


def form_html(
    action: str,
    fields: Sequence[Field],
    submit: str,
    token: str,
    values: Mapping[str, str],
    errors: Mapping[str, str],
    *,
    hidden: Iterable[tuple[str, str]] = (),
    warning: str = "",
    heading: str = "Not done",
    asked: Collection[str] = (),
    insist: tuple[str, str] = ("", ""),
) -> str:
    """The form, its fields as they were filled in; where something is wrong, that stands first with a link to each.

    Args:    token: of the visitor.
             errors: what is wrong, by name of the field; under "" what is wrong with none of them.
             hidden: names and values that go with it unseen.
             heading: stands above what is wrong.
             asked: names of fields that may not lie folded up.
             insist: what the button says by which it is done all the same, and what that posts; none where empty.
             warning: HTML that stands above the boxes to tick, which stand above the button.
    """
    unseen = "".join(
        f'<input type="hidden" name="{escaped(name)}" value="{escaped(value)}" autocomplete="off">'
        for name, value in [(TOKEN_FIELD, token), *hidden]
    )
    encoded = ' enctype="multipart/form-data"' if any(field.kind == "file" for field in fields) else ""
    groups = list(dict.fromkeys(field.group for field in fields if field.group))
    plain = [f for f in fields if not f.group and f.kind != "box"]
    rows = [_shown(field, values, errors) for field in plain]
    boxes = "".join(_shown(field, values, errors) for field in fields if field.kind == "box")
    for number, group in enumerate(groups, start=1):
        rows.append(_folded(number, group, [f for f in fields if f.group == group], values, errors, asked))
    called = f' id="{_ENTRY}"' if insist[0] else ""
    return (
        f'{_summary(fields, errors, heading, insist)}<form class="entry"{called} method="post" '
        f'action="{escaped(action)}"{encoded} '
        f'novalidate autocomplete="off">{unseen}{"".join(rows)}{warning}{boxes}'
        f'<p class="send"><button type="submit">{escaped(submit)}</button></p></form>'
    )


INSIST_FIELD = "insist"
_ENTRY = "entry"


_CLAUSE = re.compile(r"(?<!&amp)(?<!&lt)(?<!&gt)(?<!&quot)(?<!&#x27)(?<!&#39);(?= )")
"""Where a clause ends; a semicolon that ends a character reference is none."""


def _summary(fields: Sequence[Field], errors: Mapping[str, str], heading: str, insist: tuple[str, str]) -> str:
    if not any(errors.values()):
        return ""
    said = [f"<li>{markup(errors[''])}</li>"] if errors.get("") else []
    said += [
        f'<li><a href="#f-{escaped(field.name)}">{escaped(field.label)}</a>: {_shortly(errors[field.name])}</li>'
        for field in fields
        if errors.get(field.name)
    ]
    return (
        f'<div class="faults" id="faults" role="alert" tabindex="-1" autofocus><h2>{escaped(heading)}</h2>'
        f"<ul>{''.join(said)}</ul>{_insisting(*insist)}</div>"
    )


def _shortly(error: str) -> str:
    """Its first clause; the whole stands beside its field. What holds markup stays whole, or it would be torn."""
    shown = markup(error)
    return shown if "<" in shown else _CLAUSE.split(shown, maxsplit=1)[0]


def _insisting(says: str, value: str) -> str:
    if not says:
        return ""
    return (
        f'<p><button type="submit" form="{_ENTRY}" name="{INSIST_FIELD}" value="{escaped(value)}">{escaped(says)}'
        "</button></p>"
    )


def _folded(
    number: int, group: str, fields: Sequence[Field], values: Mapping[str, str], errors: Mapping[str, str],
    asked: Collection[str],
) -> str:  # fmt: skip
    opened = " open" if any(errors.get(field.name) or field.name in asked for field in fields) else ""
    rows = "".join(_shown(field, values, errors) for field in fields)
    return f'<details class="more" id="more-{number}"{opened}><summary>{escaped(group)}</summary>{rows}</details>'


def _shown(field: Field, values: Mapping[str, str], errors: Mapping[str, str]) -> str:
    return field_html(field, values.get(field.name, ""), errors.get(field.name, ""))


def field_html(field: Field, value: str, error: str) -> str:
    """One field with its label."""
    called = f"f-{escaped(field.name)}"
    is_free = field.free and not (field.required or field.kind == "box" or field.choices)
    free = ' <span class="free">(may stay empty)</span>' if is_free else ""
    label = f'<label for="{called}">{escaped(field.label)}{free}</label>'
    said = f'<span class="hint" id="{called}-hint">{markup(field.hint)}</span>' if field.hint else ""
    if error:
        said += f'<span class="wrong" id="{called}-wrong"><b>Look again:</b> {markup(error)}</span>'
    by = " ".join(f"{called}-{what}" for what, there in (("hint", field.hint), ("wrong", error)) if there)
    marks = (f' aria-describedby="{by}"' if by else "") + (' aria-invalid="true"' if error else "")
    marks += " required" if field.required else ""
    control = _control(field, f'id="{called}" name="{escaped(field.name)}"{marks}', value, called)
    faulty = " faulty" if error else ""
    if field.kind == "box":
        return f'<div class="field box{faulty}"><div class="tick">{control}{label}</div>{said}</div>'
    return f'<div class="field{faulty}">{label}{said}{control}</div>'


def _control(field: Field, marks: str, value: str, called: str) -> str:
    if field.choices:
        options = "".join(
            f'<option value="{escaped(given)}"{" selected" if given == value else ""}>{escaped(shown)}</option>'
            for given, shown in field.choices
        )
        return f"<select {marks}>{options}</select>"
    if field.rows:
        return f'<textarea {marks} rows="{field.rows}">{escaped(value)}</textarea>'
    if field.kind == "box":
        return f'<input type="checkbox" {marks} value="{TICKED}"{" checked" if value == TICKED else ""}>'
    if field.kind == "file":
        return f'<input type="file" {marks}>'
    if field.kind == "moment" and (not value or _LOCAL_MOMENT.fullmatch(value)):
        return f'<input type="datetime-local" {marks} value="{escaped(value)}">'
    listed = f' list="{called}-list"' if field.suggested else ""
    picked = "".join(f'<option value="{escaped(each)}"></option>' for each in field.suggested)
    return (
        f'<input type="text" {marks} value="{escaped(value)}" inputmode="{field.mode}" autocomplete="off"{listed}>'
        + (f'<datalist id="{called}-list">{picked}</datalist>' if field.suggested else "")
    )


_LOCAL_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,3})?)?")
# HTML Living Standard, "valid local date and time string"; a browser shows none of what is no such string.
