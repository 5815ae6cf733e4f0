from __future__ import annotations

import json

import pytest

from lullwort.collector.senml import elements
from lullwort.collector.senml.elements import PackScanner


class Counting:
    """A decoder that counts how often it is asked."""

    def __init__(self) -> None:
        self.asked = 0
        self._decoder = json.JSONDecoder()

    def raw_decode(self, text: str, at: int) -> tuple[object, int]:
        self.asked += 1
        return self._decoder.raw_decode(text, at)


@pytest.mark.parametrize("line", ["[\n", '[{"a":[\n', "[1,\n"])
def test_a_file_of_nothing_but_nesting_is_given_up_early(monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    decoder = Counting()
    monkeypatch.setattr(elements, "_DECODER", decoder)
    text = line * 50_000
    found = list(PackScanner(text).elements())
    assert decoder.asked < 100
    assert "nothing after so much nesting is looked at" in found[-1].fault
    assert found[-1].end == len(text)


def test_a_few_deep_ones_leave_the_packs_after_them() -> None:
    deep = "[" * 5000 + "\n"
    found = list(PackScanner(deep * 5 + '[{"n":"a"}]').elements())
    assert [element.fault == "" for element in found] == [False] * 5 + [True]
