"""A beer that is primed, or packaged, is told what is in it and never how much to weigh."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

Shell = Any  # the fixture's class lives in conftest.py
TABLE = re.compile(r"for 17\.0 L")


@pytest.fixture
def primed(stored: Shell) -> Shell:
    stored("batch", "edit", "north-12", "--target", "2.4volumes", "--priming-sugar", "sucrose", "--moved", "17L")
    stored("batch", "edit", "north-12", "--primed", "103g")
    return stored


def flat(text: str) -> str:
    return " ".join(text.split())


def document(shell: Shell, *words: str, exits: int = 0) -> Any:
    return json.loads(shell("priming", *words, "--json", exits=exits).stdout)


def test_what_went_in_stands_alone(primed: Shell) -> None:
    out = primed("priming", "north").stdout
    assert (
        "Already in it: 103 g of sucrose, which come to 2.4 (at most 2.6) volumes of CO2. Do not sugar it twice."
        in (flat(out))
    )
    assert not TABLE.search(out)
    assert "more are missing" not in out
    assert document(primed, "north")["amounts"] == []


def test_another_sugar_is_no_reason_to_prime_it_again(primed: Shell) -> None:
    assert not TABLE.search(primed("priming", "north", "--priming-sugar", "honey").stdout)


def test_only_what_is_missing_is_told(primed: Shell) -> None:
    whole = document(primed, "north", "--target", "2.8")["primed"]["missing_grams"]
    # By hand, stoichiometry: 0.4 volumes of 1.977 g/L in 17 L, at 0.5143 g a gram of sucrose, are 26.1 g.
    assert whole == pytest.approx(26.1, abs=2.5)
    assert f"For 2.8 volumes about {whole:.0f} g more are missing" in flat(
        primed("priming", "north", "--target", "2.8").stdout
    )


def test_of_a_packaged_batch_no_amount_is_told(primed: Shell) -> None:
    primed("batch", "close", "north", "--packaged", "2026-08-06T06:00Z")
    out = primed("priming", "batch:north-12", "--target", "2.8").stdout
    assert "Already in it: 103 g of sucrose" in flat(out)
    assert "missing" not in out
    primed("batch", "edit", "north-12", "--primed", "none")
    out = flat(primed("priming", "batch:north-12").stdout)
    assert "It is packaged, so no priming is told. What went in is not on record" in out
    assert not re.search(r"[0-9] g\b", out)
    assert document(primed, "batch:north-12")["primed"] is None


def test_primed_too_early_is_a_danger_and_the_plan_adds_none(primed: Shell) -> None:
    early = ("--as-of", "2026-07-23T12:00Z")
    out = flat(primed("priming", "north", *early, exits=1).stdout)
    assert out.index("DANGER: Priming went in before it was proved") < out.index("Already in it: 103 g of sucrose")
    assert "Do not seal it in glass" in out
    assert document(primed, "north", *early, exits=1)["amounts"] is None
    for when in (early, ()):
        listed = flat(primed("plan", "north", "--checklist", *when).stdout)
        assert "Primed already (103 g of sucrose): add none." in listed
        assert "is told once the verdict is ready" not in listed
        assert "Weigh" not in listed


def test_too_much_of_it_is_told_to_be_so(primed: Shell) -> None:
    primed("batch", "edit", "north-12", "--primed", "206g")
    out = flat(primed("priming", "north").stdout)
    assert "That is too much (ordinary brown bottles bear 2.4 bar): keep the bottles cold, closed in" in out


def test_a_weight_that_was_told_is_no_danger_once_it_is_in_and_twice_as_much_is(primed: Shell) -> None:
    primed("batch", "edit", "north-12", "--target", "2.7volumes", "--primed", "none")
    (told,) = document(primed, "north", "--priming-sugar", "sucrose")["amounts"]
    entered = primed("batch", "edit", "north-12", "--primed", f"{told['grams']:.0f}g")
    assert "At the upper end that is too much: keep the bottles cool." in flat(entered.stdout)
    assert "anger" not in flat(primed("plan", "north").stdout).replace("dangerous", "")
    doubled = primed("batch", "edit", "north-12", "--primed", f"{2.0 * told['grams']:.0f}g")
    assert "DANGER: the priming comes to about" in flat(doubled.stderr)
    assert "Danger. With what was put in it may come to" in flat(primed("plan", "north").stdout)
