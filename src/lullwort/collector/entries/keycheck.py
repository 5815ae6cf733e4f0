"""Tables of keys and values that people write, checked key by key: batches, events, mappings of files."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from datetime import datetime
from types import MappingProxyType
from typing import Any

from lullwort.errors import UsageError
from lullwort.faults import Faults
from lullwort.records import check_id, from_datetime, near_id

__all__ = [
    "AS_IN_A_FILE",
    "Check",
    "Names",
    "NotThatError",
    "a_moment",
    "a_number",
    "an_id",
    "as_table",
    "checked_keys",
    "one_of",
    "text",
    "whole_number",
]

Check = Callable[[Any], Any]

Names = Mapping[str, str]
"""What people called a key where they typed it, such as the option --yeast-min for yeast_min_c."""

AS_IN_A_FILE: Names = MappingProxyType({})
"""Keys go by their own names."""


class NotThatError(ValueError):
    """A value is not what its key expects; says what is. One that may hold a secret is not shown."""

    def __init__(self, expected: str, *, secret: bool = False) -> None:
        super().__init__(expected)
        self.secret = secret


def a_number(low: float, high: float, unit: str = "", hint: Callable[[float], str] | None = None) -> Check:
    """A number from `low` to `high`; `hint` says of one outside what was probably meant."""

    def check(value: Any) -> float:
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not is_number or not low <= value <= high:
            meant = hint(value) if is_number and hint is not None else ""
            raise NotThatError(f"a number from {low:g} to {high:g}{unit}{meant}")
        return float(value)

    return check


def a_moment(value: Any) -> int:
    """An instant, in µs since 1970 UTC."""
    if not isinstance(value, datetime) or value.utcoffset() is None:
        raise NotThatError("a time with an offset, such as 2026-03-02T09:00:00Z")
    return from_datetime(value)


def whole_number(low: int, high: int, unit: str) -> Check:
    """A whole number from `low` to `high`."""

    def check(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise NotThatError(f"a whole number from {low} to {high}{unit}")
        return value

    return check


def text(value: Any) -> str:
    """Any text."""
    if not isinstance(value, str):
        raise NotThatError("a text")
    return value


def an_id(value: Any) -> str:
    """An id."""
    try:
        return check_id(text(value))
    except NotThatError:
        raise
    except ValueError as exc:
        near = near_id(value)
        meant = f"; {near!r} was probably meant" if near else ""
        raise NotThatError(str(exc).rpartition(" is not ")[2] + meant) from exc


def one_of(choices: tuple[str, ...]) -> Check:
    """One of some words."""

    def check(value: Any) -> str:
        if value not in choices:
            near = difflib.get_close_matches(str(value).lower(), choices, n=1, cutoff=0.5)
            raise NotThatError(f"one of {', '.join(choices)}{f'; did you mean {near[0]!r}?' if near else ''}")
        return str(value)

    return check


def as_table(where: str, entered: object) -> dict[str, Any]:
    """What was entered, if it is a table. `where` comes first in every error."""
    if not isinstance(entered, dict):
        raise UsageError(f"{where} is {entered!r}, expected a table of keys and values")
    return dict(entered)


def checked_keys(
    where: str,
    entered: Mapping[str, Any],
    keys: Mapping[str, tuple[str, Check]],
    *,
    required: tuple[str, ...] = (),
    names: Names = AS_IN_A_FILE,
) -> dict[str, Any]:
    """The fields that the keys fill, each checked. Raises UsageError that names the key, what was seen and expected;
    where several are wrong all are told.

    Args:
        keys: for each known key its field and its check.
        names: what to call a key in an error.
    """
    fields, faults = {}, Faults()
    for key, value in entered.items():
        with faults.each():
            if key not in keys:
                near = difflib.get_close_matches(key, keys, n=1, cutoff=0.4)
                hint = f"; did you mean {near[0]!r}?" if near else f"; known are {', '.join(keys)}"
                raise UsageError(f"{where}: unknown key {key!r}{hint}")
            field, check = keys[key]
            try:
                fields[field] = check(value)
            except NotThatError as exc:
                shown = value.isoformat() if isinstance(value, datetime) else repr(value)
                seen = "something else (not shown, it may hold a secret)" if exc.secret else shown
                raise UsageError(f"{where}: {names.get(key, key)} is {seen}, expected {exc}") from None
    for key in required:
        if key not in entered:
            with faults.each():
                raise UsageError(f"{where}: {names.get(key, key)} is missing")
    faults.refuse()
    return fields
