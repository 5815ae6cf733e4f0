"""A form: its fields, the command that what is entered goes to, and where one goes on once it is done."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from lullwort.card.pages.fields import TICKED, Field, Html, form_html
from lullwort.exporting import escaped
from lullwort.records import parse_instant

__all__ = ["ONCE_FIELD", "Form"]

_UNTYPED = re.compile("[\x00\ud800-\udfff]")
# NUL, and halves of a letter (Unicode standard, "surrogates").
ONCE_FIELD, _WAS = "once", "was-"
_MOST_LETTERS, _MOST_LETTERS_OF_LINES = 300, 4000

Values = Mapping[str, str]


class Form(NamedTuple):
    """One form.

    Attributes:
        title:     of its page.
        command:   its name, such as ("batch", "close"), and options that are always given.
        fields:    in order; those whose option is the name of an argument fill the arguments, after `arguments`.
        submit:    what the button says.
        done:      what was done, in a word, such as "Noted."
        after:     address to go on to, or what makes it of what was entered.
        arguments: of the command, ahead of those that fields fill.
        values:    with which it is first shown.
        lead:      HTML above it; `tail` below it, `warning` above its button.
        batch:     that it is about; empty where none is.
        changes:   whether only what differs from `values` as they were shown goes to the command; what was emptied is
                   taken back then.
        prepared:  makes of what was entered what the fields stand for.
        refused:   what is wrong with it, by name of the field, which no command would find.
        first:     values that a link hands over, in the place of those.
        asked:     names of fields that a link asks for, which are seen at once.
        tried:     whether its command can try it with `--dry-run` and enter nothing.
        insist:    what the button says by which it is done though the command has doubts of it; empty where those are
                   told when it is done.
    """

    title: str
    command: tuple[str, ...]
    fields: tuple[Field, ...]
    submit: str
    done: str
    after: str | Callable[[Values], str]
    arguments: tuple[str, ...] = ()
    values: Values = MappingProxyType({})
    lead: str = ""
    tail: str = ""
    warning: str = ""
    batch: str = ""
    changes: bool = False
    prepared: Callable[[Values], Values] = dict
    refused: Callable[[Values], dict[str, str]] = lambda _values: {}
    tried: bool = False
    insist: str = ""
    first: Values = MappingProxyType({})
    asked: frozenset[str] = frozenset()

    def begun(self, given: Iterable[tuple[str, str]], moment: Callable[[int], str]) -> Form:
        """As a link begins it: with the values of `given` that its fields can take; the others are left out.

        Boxes are ticked by nobody but the brewer.

        Args:   moment: one [µs] as the page's fields have it; in a link it stands in ISO 8601 with its offset.
        """
        pairs = list(given)
        by_name = {field.name: field for field in self.fields if field.kind not in ("box", "file")}
        first = {}
        for name, value in pairs:
            field = by_name.get(name)
            if field is None or not value:
                continue
            text = _local(value, moment) if field.kind == "moment" else value
            if text and not self._fault(field, text):
                first[name] = text
        asked = frozenset(first) | {value for name, value in pairs if name == "show" and value in by_name}
        return self._replace(first=first, asked=asked)

    def body(
        self, action: str, token: str, once: str, entered: Values | None, errors: Values, insisted: str = ""
    ) -> list[str]:
        """The content of its page, as HTML.

        Args:   action: its address.  token: of the visitor.  once: tells this showing of it from others.
                entered: as it was posted; None where it is shown for the first time.
                insisted: what the button to insist posts; empty where there is none.
        """
        shown = {**self.values, **self.first} if entered is None else entered
        was = [(f"{_WAS}{f.name}", self._was(f, entered)) for f in self.fields] if self.changes else []
        form = form_html(
            action, self.fields, self.submit, token, shown, errors, hidden=[(ONCE_FIELD, once), *was],
            warning=self.warning, asked=self.asked, heading="Can that be?" if insisted else "Not done",
            insist=(self.insist, insisted) if insisted else ("", ""),
        )  # fmt: skip
        return [f"<h1>{escaped(self.title)}</h1>", self.lead, form, self.tail]

    def faults(self, entered: Values) -> dict[str, str]:
        """What is wrong before any command is asked."""
        found = {f.name: says for f in self.fields if (says := self._fault(f, entered.get(f.name, "")))}
        return {**self.refused(entered), **found}

    def without(self, entered: Values, faults: Values) -> dict[str, str]:
        """What was entered, but for the fields that are at fault, so that the rest can be tried."""
        stand_ins = {f.name: f.stand_in for f in self.fields if f.name in faults}
        was = {f"{_WAS}{name}": "" for name in stand_ins}
        return {**entered, **was, **stand_ins}

    def goes_on_to(self, entered: Values) -> str:
        """The address to go on to once it is done."""
        return self.after if isinstance(self.after, str) else self.after(entered)

    def changed(self, entered: Values) -> bool:
        """Whether anything differs from what was shown."""
        return any(entered.get(f.name, "") != entered.get(f"{_WAS}{f.name}", "") for f in self.fields)

    def words(self, entered: Values, options: list[str], *, trial: bool = False) -> list[str]:
        """The command as its words, each value in the word of its option, so that nothing typed becomes one.

        Args:   options: by which it takes and tells values as the page does.  trial: whether nothing is entered.
        """
        given = self._given(self.prepared(entered))
        named = [
            f"{field.option}={one}"
            for field, value in given
            if field.option.startswith("--")
            for one in (filter(None, map(str.strip, value.splitlines())) if field.each_line else [value])
        ]
        filled = [value for field, value in given if field.option and not field.option.startswith("--")]
        return [*self.command, *(["--dry-run"] if trial else []), *named, *options, "--", *self.arguments, *filled]

    def _given(self, entered: Values) -> list[tuple[Field, str]]:
        given = []
        for field in self.fields:
            value = entered.get(field.name, "")
            if self.changes and not field.always and value == entered.get(f"{_WAS}{field.name}", ""):
                continue
            value = value or field.empty or (field.unset if self.changes else "")
            if value:
                given.append((field, value))
        return given

    def _was(self, field: Field, entered: Values | None) -> str:
        return self.values.get(field.name, "") if entered is None else entered.get(f"{_WAS}{field.name}", "")

    def _fault(self, field: Field, value: str) -> str:
        if _UNTYPED.search(value):  # no command could be given it
            return "It holds a character that nobody types: enter it again."
        if len(value) > (_MOST_LETTERS_OF_LINES if field.rows else _MOST_LETTERS):
            most = _MOST_LETTERS_OF_LINES if field.rows else _MOST_LETTERS
            return f"It is longer than {most} letters: say it more shortly."
        if field.required and not value:
            return (
                "Tick it if that is so; nothing is done otherwise."
                if field.kind == "box"
                else "It is missing, and needed."
            )
        if field.choices and value and value not in dict(field.choices):
            return f"It is “{value}”, expected one of those in the list."
        if field.kind == "box" and value not in ("", TICKED):
            return "It can only be ticked or not."
        return ""


def _local(value: str, moment: Callable[[int], str]) -> str:
    try:
        return moment(parse_instant(value))
    except (ValueError, OverflowError):
        return ""


def paragraph(text: str, kind: str = "") -> Html:
    """Plain text as a paragraph of that class."""
    return Html(f'<p class="{kind}">{escaped(text)}</p>' if kind else f"<p>{escaped(text)}</p>")
