"""An addition noted by its weight: the points are shown, counted, and taken back."""

from __future__ import annotations

import json
from typing import Any

import pytest

Shell = Any  # the fixture's class lives in conftest.py

AT = ("--at", "2026-07-22T12:00Z")


def flat(text: str) -> str:
    return " ".join(text.split())


def original(shell: Shell) -> float:
    return float(json.loads(shell("strength", "north", "--json").stdout)["original_gravity"]["value"])


def test_sugar_by_weight_is_noted_as_the_points_it_makes(stored: Shell) -> None:
    before = original(stored)
    out = flat(stored("note", "north", "addition", "--added", "500 g sucrose", *AT).stdout)
    assert out.startswith("500 g of sucrose in 19.0 L, which stood at 1.0")
    assert "The rule of thumb (46 points a pound and US gallon) says 10.1 points." in out
    # By hand: 500 g in 19 litres of wort make 9 points, see test_ingredients.
    assert original(stored) - before == pytest.approx(0.0090, abs=0.0002)
    assert "500 g of sucrose in 19.0 L" in stored("batch", "list").stdout
    again = stored("note", "north", "addition", "--added", "500 g sucrose", *AT, "--remove").stdout
    assert "taken back from north-12" in again
    assert original(stored) == before


def test_fruit_and_water_lower_the_original_gravity(stored: Shell) -> None:
    before = original(stored)
    out = flat(stored("note", "north", "addition", "--added", "2kg fruit", "--words", "cherries", *AT).stdout)
    assert "points more, the original gravity" in out
    assert "less." in out
    assert "lullwort batch edit north-12 --volume" in out
    fruited = original(stored)
    assert fruited < before
    assert "cherries; 2 kg of fruit in 19.0 L" in stored("batch", "list").stdout
    stored("note", "north", "addition", "--added", "2L water", "--at", "2026-07-22T18:00Z")
    assert original(stored) < fruited - 0.003
    assert json.loads(stored("verdict", "north", "--json").stdout)["vessels"][0]["batch"] == "north-12"


def test_the_note_goes_through_a_batches_file_and_the_record(stored: Shell) -> None:
    stored("note", "north", "addition", "--added", "2kg fruit", *AT)
    stored("export", "out.toml", "--batch", "north-12")
    stored("export", "out.json", "--batch", "north-12")
    assert "original_points = -" in (stored.folder / "out.toml").read_text(encoding="utf-8")
    (event,) = json.loads((stored.folder / "out.json").read_text(encoding="utf-8"))["events"]
    assert event["points"] > 0.0 > event["original_points"]
    # The same file changes nothing: the note is on record as it was.
    stored("backfill", "north.csv", "--batches", "out.toml", "--store-only")
    assert stored("batch", "list").stdout.count("2 kg of fruit") == 1


def test_a_batch_of_unknown_volume_or_gravity_is_asked_for_it_or_told_what_is_supposed(lullwort: Shell) -> None:
    lullwort("batch", "open", "west", "--pitched", "2026-07-20T09:00Z", "--name", "west-1")
    words = ("note", "west", "addition", "--added", "500g sugar", *AT)
    assert "--volume is missing" in flat(lullwort(*words, exits=2).stderr)
    assert "as an ordinary wort" in flat(lullwort(*words, "--volume", "5us gal").stdout)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("addition", "--points", "3", "--added", "5g sugar"), "the points follow from the amount"),
        (("addition", "--volume", "3L"), "--volume goes with --added"),
        (("sample", "--added", "5g sugar"), "goes with an addition, not with a sample"),
        (("addition", "--added", "5000kg sugar"), "are both units right?"),
        (("addition", "--points", "-3"), "water, which lowers gravity, is noted by its amount"),
        (("addition",), "--points go with an addition"),
        (("addition", "--added", "5g sugr"), "did you mean"),
        (("addition", "--added", "0,5 lb"), "is '0,5 lb': of what? Expected a weight and what it is of"),
    ],
)
def test_what_cannot_be_noted_is_told_in_a_sentence(stored: Shell, words: tuple[str, ...], says: str) -> None:
    assert says in flat(stored("note", "north", *words, *AT, exits=2).stderr)


def test_only_what_is_on_record_is_taken_back(stored: Shell) -> None:
    words = ("note", "north", "addition", "--added", "5g sugar", *AT, "--remove")
    assert "no addition at that moment" in flat(stored(*words, exits=1).stderr)
    for points in ("3", "4"):
        stored("note", "north", "addition", "--points", points, *AT)
    assert "several notes of addition" in flat(stored(*words, exits=1).stderr)
