"""Ids of vessels, sensors and batches: valid as a SenML name part and as a broker topic level."""

from __future__ import annotations

import re

__all__ = ["check_id", "near_id"]

_ID = re.compile(r"[a-z0-9][a-z0-9._-]*")
_NOT_IN_ID = re.compile(r"[^a-z0-9._-]+")


def check_id(text: str) -> str:
    """`text` itself if it is a valid id, else ValueError that says what one is.

    >>> check_id("north")
    'north'
    >>> check_id("North 1")
    Traceback (most recent call last):
    ValueError: 'North 1' is not an id: lower-case letters, digits, '.', '_' and '-', starting with a letter or digit
    """
    if _ID.fullmatch(text) is None:
        raise ValueError(
            f"{text!r} is not an id: lower-case letters, digits, '.', '_' and '-', starting with a letter or digit"
        )
    return text


def near_id(text: str) -> str:
    """The valid id that is nearest to `text`; empty where nothing of it could stand in one.

    >>> near_id("North 1"), near_id("??")
    ('north-1', '')
    """
    return _NOT_IN_ID.sub("-", text.lower()).strip("._-")
