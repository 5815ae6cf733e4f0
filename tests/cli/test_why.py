"""A verdict that is asked why, as a person sees it and as a program reads it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest

from lullwort.detector import CHECKS

Shell = Any  # the fixture's class lives in conftest.py
Said = Callable[..., str]

JUDGED = ("north.csv", "--batches", "north.toml")
FALLING, HOLDING = "2026-07-21T12:00Z", "2026-07-24T12:00Z"


@pytest.fixture
def asked(stored: Shell) -> Said:
    """What a command prints, with the log of one ale in the book."""
    return lambda *words: stored(*words).stdout


def flat(text: str) -> str:
    return " ".join(text.split())


def document(asked: Said, *words: str) -> Any:
    (entry,) = json.loads(asked(*words, "--json"))["vessels"]
    return entry


def test_the_answer_comes_first_then_each_check_and_how_it_came_to_this(asked: Said) -> None:
    out = asked("why", "north", "--zone", "Europe/Berlin")
    lines = out.splitlines()
    assert lines[1].startswith("May it be packaged?  Yes (ready since ")
    assert "Bottles can burst" in flat(out)
    assert "What changes it: Taken back by a dry hop" in flat(out)
    heads = [f"  {check}: holds, since " for check in CHECKS]
    found = [next(i for i, line in enumerate(lines) if line.startswith(head)) for head in heads]
    assert found == sorted(found)
    assert all(lines[i].endswith(" CEST") for i in found)
    history = out.partition("How it came to this:")[2]
    told = [line.strip().partition(" ")[0] for line in history.splitlines() if line.endswith(" CEST")]
    assert told == ["lag", "fermenting", "holding", "ready"]
    assert "Hold now: where it should be, undisturbed." in flat(history)
    assert "No check has turned." in history
    assert "UTC" not in out


def test_a_check_that_fails_says_what_it_waits_for_and_the_history_what_was_lost(asked: Said) -> None:
    ready_at = document(asked, "why", "north")["ready_at"]
    asked("note", "north", "dry hop", "--at", ready_at)
    out = flat(asked("why", "north", "--as-of", "2026-07-28T06:00Z"))
    assert "Not yet (holding since " in out
    assert "What changes it: Ready once " in out
    assert "undisturbed: does not hold, since " in out
    assert " more proving hours: warm and seen." in out
    assert "Hold no longer: flat, little left, undisturbed." in out


def test_it_speaks_the_brewer_s_units_while_the_beer_falls_too(asked: Said) -> None:
    out = asked("why", "north", "--gravity", "plato", "--temperature", "F", "--as-of", FALLING)
    assert "(fermenting since " in out
    assert "Holding once gravity is at most 4.59 °P" in flat(out)
    assert "Fails below 59.0 °F" in flat(out)
    assert "°C" not in out
    assert " points" not in out


def test_the_document_is_that_of_every_command_that_judges(asked: Said) -> None:
    entry = document(asked, "why", "north")
    assert entry == document(asked, "replay", *JUDGED)
    assert entry["changes_when"].startswith("Taken back by ")
    assert all(check["changes_when"] for check in entry["evidence"])


def test_what_was_known_at_each_change_is_what_judging_as_of_then_says(asked: Said) -> None:
    history = document(asked, "why", "north")["history"]
    assert len(history) == 4
    for i, change in enumerate(history):
        then = document(asked, "replay", *JUDGED, "--as-of", change["at"])
        assert then["verdict"] == change["verdict"]
        # What is to go is told by the forecast while it lies ahead, by the judge's rule of thumb once it is history.
        assert without_hours(then["reason"]) == without_hours(change["reason"])
        assert then["evidence"] == change["evidence"]
        assert then["history"] == history[: i + 1]


def without_hours(says: str) -> str:
    return re.sub(r"about \d+ h of proof", "about some h of proof", says)


def test_of_a_vessel_the_batch_that_was_in_it_then_is_told(asked: Said, logged: Shell) -> None:
    asked("batch", "close", "north", "--packaged", "2026-08-01T00:00Z")
    asked("batch", "open", "north", "--pitched", "2026-08-02T00:00Z", "--name", "north-13")
    assert asked("why", "north").startswith("north-13 in vessel north")
    assert document(asked, "why", "north", "--as-of", "2026-08-01T06:00Z")["batch"] == "north-12"
    packaged = flat(asked("why", "north-12"))
    assert "Done (packaged since " in packaged
    assert "Only another date of packaging" in packaged
    for words, says in [
        (("north-13", "--as-of", "2026-08-01T06:00Z"), "nothing was pitched yet in batch 'north-13'"),
        (("north", "--as-of", "2020-01-01T00:00Z"), "in vessel 'north'"),
        (("west",), "knows no vessel or batch 'west'"),
    ]:
        assert says in logged("why", *words, exits=1).stderr


def test_a_vessel_without_a_batch_and_a_batch_without_readings_are_answered_too(asked: Said, logged: Shell) -> None:
    logged.write("south.csv", (logged.folder / "north.csv").read_text().replace(",north,", ",south,"))
    asked("backfill", "south.csv", "--store-only")
    assert "No batch is open for these readings" in flat(asked("why", "south"))
    assert document(asked, "why", "south")["changes_when"] == "Another verdict once they belong to a batch."
    asked("batch", "open", "west", "--pitched", "2026-07-19T00:00Z")
    out = flat(asked("why", "west"))
    assert "What changes it: The first usable readings of this batch." in out
    assert "No hour of it has been judged yet." in out


def test_asked_at_a_narrow_terminal_it_fits_and_leaves_nothing_out_and_nothing_counts_as_told(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    before = logged.everything(logged.folder / "cellar.book")
    shown = logged.at_terminal(40, "why", "north-12", "--as-of", HOLDING)
    whole = logged("why", "north-12", "--as-of", HOLDING)
    assert whole.stderr == ""
    assert 30 < max(map(len, shown)) <= 40
    assert flat(" ".join(shown)) == flat(whole.stdout)
    assert "…" not in whole.stdout
    assert logged.everything(logged.folder / "cellar.book") == before
    assert "READY TO PACKAGE" in logged("verdict", "north").stderr
