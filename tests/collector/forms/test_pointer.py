from __future__ import annotations

import json

import pytest

from lullwort.collector.forms import Pointer

# RFC 6901, section 5: the document and what each pointer gives.
DOCUMENT = json.loads(
    r'{"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4, "i\\j": 5, "k\"l": 6, " ": 7, "m~n": 8}'
)
GIVES = {
    "": DOCUMENT, "/foo": ["bar", "baz"], "/foo/0": "bar", "/": 0, "/a~1b": 1, "/c%d": 2, "/e^f": 3, "/g|h": 4,
    "/i\\j": 5, '/k"l': 6, "/ ": 7, "/m~0n": 8,
}  # fmt: skip


@pytest.mark.parametrize("pointer", GIVES)
def test_the_published_examples(pointer: str) -> None:
    assert Pointer(pointer).of(DOCUMENT) == GIVES[pointer]


@pytest.mark.parametrize("pointer", ["/bar", "/foo/2", "/foo/01", "/foo/-", "/foo/bar", "/a~1b/0"])
def test_where_nothing_is_there_is_an_error(pointer: str) -> None:
    with pytest.raises(LookupError):
        Pointer(pointer).of(DOCUMENT)


@pytest.mark.parametrize("text", ["foo", "/a~", "/a~2b"])
def test_what_is_no_pointer_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="a JSON Pointer"):
        Pointer(text)
