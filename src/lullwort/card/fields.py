"""Fields of a form, each with its label, its hint, and what is wrong with it standing beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lullwort.card.posted import TOKEN_FIELD
from lullwort.exporting import escaped

__all__ = ["Field", "field_html", "form_html"]


class Field(NamedTuple):
    """One field.

    Attributes:
        name:    as it is posted.
        label:   as the brewer reads it.
        option:  of the command that its value goes to, such as "--pitched"; empty where it is an argument.
        hint:    stands below the label: what is meant, with an example.
        choices: value and label of each; none for text that is typed.
        required: whether the form is of no use without it.
        rows:    of a text of several lines; 0 for one line.
        mode:    of the keys that a phone shows: "text", "decimal" or "search".
    """

    name: str
    label: str
    option: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    required: bool = False
    rows: int = 0
    mode: str = "text"


def form_html(
    action: str, fields: Sequence[Field], submit: str, token: str, values: Mapping[str, str], errors: Mapping[str, str]
) -> str:
    """The form, its fields as they were filled in.

    Args:    token: of the visitor.
             errors: what is wrong, by name of the field; under "" what is wrong with none of them.
    """
    whole = f'<p class="wrong" role="alert">{escaped(errors[""])}</p>' if errors.get("") else ""
    rows = "".join(field_html(field, values.get(field.name, ""), errors.get(field.name, "")) for field in fields)
    return (
        f'<form method="post" action="{escaped(action)}" novalidate>{whole}'
        f'<input type="hidden" name="{TOKEN_FIELD}" value="{escaped(token)}">{rows}'
        f'<p class="send"><button type="submit">{escaped(submit)}</button></p></form>'
    )


def field_html(field: Field, value: str, error: str) -> str:
    """One field with its label."""
    called, said = f"f-{field.name}", []
    label = escaped(field.label) + ("" if field.required else ' <span class="free">(may stay empty)</span>')
    if field.hint:
        said.append(f'<span class="hint" id="{called}-hint">{escaped(field.hint)}</span>')
    if error:
        said.append(f'<span class="wrong" id="{called}-wrong">{escaped(error)}</span>')
    by = " ".join(f"{called}-{what}" for what, there in (("hint", field.hint), ("wrong", error)) if there)
    marks = (f' aria-describedby="{by}"' if by else "") + (' aria-invalid="true"' if error else "")
    marks += " required" if field.required else ""
    name = f'id="{called}" name="{escaped(field.name)}"{marks}'
    if field.choices:
        options = "".join(
            f'<option value="{escaped(given)}"{" selected" if given == value else ""}>{escaped(shown)}</option>'
            for given, shown in field.choices
        )
        control = f"<select {name}>{options}</select>"
    elif field.rows:
        control = f'<textarea {name} rows="{field.rows}">{escaped(value)}</textarea>'
    else:
        control = f'<input {name} value="{escaped(value)}" inputmode="{field.mode}" autocomplete="off">'
    return f'<div class="field"><label for="{called}">{label}</label>{"".join(said)}{control}</div>'
