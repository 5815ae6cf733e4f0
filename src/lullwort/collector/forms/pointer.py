"""JSON Pointer [RFC6901]: where in a JSON document a value stands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

__all__ = ["Pointer"]

_INDEX = re.compile(r"0|[1-9][0-9]*")


@dataclass(frozen=True)
class Pointer:
    """Such as /sensors/0/gravity; the empty one is the document itself. Raises ValueError for what is none.

    >>> Pointer("/a~1b/1").of({"a/b": [1, 2]}), Pointer("").of(3)
    (2, 3)
    """

    text: str

    def __post_init__(self) -> None:
        if self.text and not self.text.startswith("/"):
            raise ValueError("a JSON Pointer, which begins with /, such as /data/gravity")
        if re.search(r"~(?![01])", self.text):
            raise ValueError("a JSON Pointer, in which ~ is written ~0 and a / within a name ~1")

    def of(self, document: Any) -> Any:
        """The value there. Raises LookupError if there is none."""
        value = document
        for token in self.text.split("/")[1:]:
            name = token.replace("~1", "/").replace("~0", "~")
            if isinstance(value, dict):
                value = value[name]
            elif isinstance(value, list) and _INDEX.fullmatch(name):
                value = value[int(name)]
            else:
                raise LookupError(name)
        return value
