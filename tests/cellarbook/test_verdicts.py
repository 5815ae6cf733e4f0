from __future__ import annotations

from pathlib import Path

from lullwort.cellarbook import Told, VerdictRow, open_book

HISTORY = [VerdictRow(1, "lag", "because", "[]"), VerdictRow(2, "fermenting", "because", "[]")]


def test_a_history_is_replaced_and_what_was_told_only_grows(path: Path) -> None:
    with open_book(path) as book:
        book.verdicts.save("north-12", HISTORY)
        book.verdicts.tell("north-12", Told(10, "ready", 2, "READY"))
        book.verdicts.save("north-12", HISTORY[:1])
        book.verdicts.tell("north-12", Told(20, "fermenting", 1, "WITHDRAWN"))
    with open_book(path) as book:
        assert book.verdicts.of("north-12") == HISTORY[:1]
        assert [told.verdict for told in book.verdicts.told("north-12")] == ["ready", "fermenting"]
        assert book.verdicts.of("south-1") == []
