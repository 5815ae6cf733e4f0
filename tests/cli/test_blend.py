"""Two beers together: what they make, and never a word that lets a blend into the bottle unproved."""

from __future__ import annotations

import json
from typing import Any

import pytest

from lullwort.rehearsal import batches_toml, csv_text, invent, renamed
from lullwort.science import brew

Shell = Any  # the fixture's class lives in conftest.py

TYPED = ("blend", "1.050/1.012", "1.070/1.022", "--take", "10L", "--take", "8L")


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture
def cellar(stored: Shell) -> Shell:
    """A book with an ale that is ready and one that is stuck."""
    south = renamed(invent("stuck warm", 3), "south", "south-1")
    stored.write("south.csv", csv_text(south))
    stored.write("south.toml", batches_toml(south))
    stored("backfill", "south.csv", "--batches", "south.toml", "--store-only")
    return stored


def test_two_typed_beers_make_what_their_masses_make(lullwort: Shell) -> None:
    told = json.loads(lullwort(*TYPED, "--json").stdout)
    both = brew(1.050, 1.012, 10.0) + brew(1.070, 1.022, 8.0)
    assert told["original_gravity"]["value"] == pytest.approx(both.original_gravity(), abs=1e-6)
    assert told["abv"]["value"] == pytest.approx(both.strength().abv_pct, abs=1e-4)
    assert told["volume_l"]["value"] == pytest.approx(both.volume_l, abs=1e-3)
    assert [beer["volume_l"] for beer in told["of"]] == [10.0, 8.0]
    out = lullwort(*TYPED).stdout
    assert "make 18.00 L at 20 °C of 5.6 % by volume" in flat(out)
    assert "alcohol by volume 5.56 %" in flat(out)
    comma = lullwort("blend", "12,4P/3,1P", "1,070/1,022", "--take", "10", "--take", "8", "--decimal", "comma").stdout
    assert "5,6 % by volume" in comma


def test_a_blend_is_never_let_into_the_bottle_unproved(lullwort: Shell) -> None:
    out = flat(lullwort(*TYPED).stdout)
    assert "The yeast of the beer of 1.050/1.012 may ferment what the other's has left." in out
    assert "may still ferment so: bottled, up to" in out
    assert "is not known here, and comes on top" in out
    assert "bottle it once it has held still by itself. Bottles can burst" in out
    alike = flat(lullwort("blend", "1.050/1.012", "1.050/1.012", "--take", "1L", "--take", "1L").stdout)
    assert "Bottles can burst" in alike


def test_a_beer_under_way_keeps_the_blend_from_the_bottle(cellar: Shell) -> None:
    out = flat(cellar("blend", "north", "south", "--take", "10L", "--take", "8L").stdout)
    assert "Do not bottle it: south-1 may not be packaged yet, and neither may the blend." in out
    assert "bar at 20.0 °C; ordinary brown bottles would burst." in out
    assert "north-12: 1.0525 to 1.0143, apparent attenuation 72 %, ready; left to ferment 0 points" in out
    told = json.loads(cellar("blend", "north", "south", "--take", "10L", "--take", "8L", "--json").stdout)
    stuck = told["of"][1]
    # What the stuck beer has left is shared out over the blend, and is no less than that.
    assert told["may_ferment_points"]["at_most"] >= stuck["points_left_upper"] * 8.0 / 18.0
    assert told["cautions"][0].startswith("Do not bottle it")


def test_two_that_are_ready_are_not_ready_together(cellar: Shell) -> None:
    out = flat(cellar("blend", "north", "1.052/1.020", "--take", "10L", "--take", "5L").stdout)
    assert "Do not bottle it" not in out
    assert "The yeast of north-12 may ferment what the other's has left" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("1.050/1.012", "1.070/1.022", "--take", "10L"), "is given 1 time, expected once for each beer"),
        (("1.012/1.050", "1.070/1.022", "--take", "10L", "--take", "8L"), "are the two swapped?"),
        (("1.050/1.012", "1.070/1.022", "--take", "10L", "--take", "0"), "more than nothing"),
        (("1.050/", "1.070/1.022", "--take", "10L", "--take", "1"), "is ''"),
        (("north", "north-12", "--take", "10L", "--take", "1L"), "both beers are 'north-12'"),
        (("north", "south", "--take", "100L", "--take", "1L"), "has 19.0 L on record"),
    ],
)
def test_what_cannot_be_blended_is_told_in_a_sentence(cellar: Shell, words: tuple[str, ...], says: str) -> None:
    assert says in flat(cellar("blend", *words, exits=2).stderr)


def test_explain_and_a_narrow_terminal(lullwort: Shell) -> None:
    assert "the blend: masses of beer, extract and alcohol add up" in lullwort(*TYPED, "--explain").stdout
    assert "explained" in json.loads(lullwort(*TYPED, "--explain", "--json").stdout)
    assert max(map(len, lullwort.at_terminal(40, *TYPED))) <= 40
