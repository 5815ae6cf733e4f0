"""A remark is noted, listed, written, read back and taken back, and changes no verdict."""

from __future__ import annotations

import json
from typing import Any

Shell = Any  # the fixture's class lives in conftest.py
REMARK = ("note", "north-12", "remark", "--at", "2026-07-24T18:00Z", "--words")


def test_a_remark_is_its_words(stored: Shell) -> None:
    for words in ((), ("--words", "  ")):
        refused = stored("note", "north", "remark", "--at", "2026-07-24T18:00Z", *words, exits=2).stderr
        assert "note: a remark goes with --words: what is worth remembering?" in refused
    assert "--points go with an addition" in stored(*REMARK, "x", "--points", "2", exits=2).stderr
    stored(*REMARK, "smells of apples")
    assert "remark Fri 24 Jul 2026 18:00 UTC, smells of apples" in stored("batch", "list").stdout


def test_a_file_with_a_remark_without_words_is_refused(stored: Shell) -> None:
    text = (stored.folder / "north.toml").read_text(encoding="utf-8")
    event = '  [[batch.event]]\n  at = 2026-07-24T18:00:00Z\n  kind = "remark"\n'
    stored.write("wordless.toml", text + event)
    refused = stored("replay", "north.csv", "--batches", "wordless.toml", exits=2).stderr
    assert "a remark goes with note: what is worth remembering?" in refused


def test_two_remarks_of_one_moment_are_kept_and_told_apart_by_their_words(stored: Shell) -> None:
    stored(*REMARK, "smells of apples")
    stored(*REMARK, "clear, at last")
    assert "exactly this note" in stored(*REMARK, "clear, at last", exits=1).stderr
    listed = stored("batch", "list").stdout
    assert "smells of apples" in listed
    assert "clear, at last" in listed
    several = stored(*REMARK[:-1], "--remove", exits=1).stderr
    assert "several notes of remark: tell which by what was noted, or --words" in several
    assert "several notes" in stored(*REMARK, "clear", "--remove", exits=1).stderr
    stored(*REMARK, "clear, at last", "--remove")
    stored(*REMARK[:-1], "--remove")
    assert "remark" not in stored("batch", "list").stdout


def test_a_remark_of_the_brew_day_and_one_of_the_glass_belong_to_the_batch_that_is_named(stored: Shell) -> None:
    stored("batch", "close", "batch:north-12", "--packaged", "2026-08-05T12:00Z")
    for at, words in (("2026-07-18T12:00Z", "mashed at 66"), ("2026-09-20T19:00Z", "dry, clear, a little thin")):
        stored("note", "north-12", "remark", "--at", at, "--words", words)
        assert "no batch was in vessel" in stored("note", "north", "remark", "--at", at, "--words", "x", exits=1).stderr
    assert "was not in vessel" in stored("note", "north-12", "rouse", "--at", "2026-09-20T19:00Z", exits=1).stderr
    stored("export", "out.toml", "--batch", "north-12")
    other = {"LULLWORT_BOOK": str(stored.folder / "other.book")}
    stored("backfill", "--batches", "out.toml", "--store-only", env=other)
    listed = stored("batch", "list", env=other).stdout
    assert "remark Sat 18 Jul 2026 12:00 UTC, mashed at 66" in listed
    assert "remark Sun 20 Sep 2026 19:00 UTC, dry, clear, a little thin" in listed


def test_a_remark_that_is_newer_than_the_log_changes_no_answer(stored: Shell) -> None:
    def asked() -> Any:
        document = json.loads(stored("verdict", "north", "--json").stdout)["vessels"][0]
        return {key: value for key, value in document.items() if key != "told"}

    before = asked()
    stored("note", "north-12", "remark", "--at", "2026-10-20T19:00Z", "--words", "still in its vessel")
    stored(*REMARK, "smells of apples")
    assert asked() == before
