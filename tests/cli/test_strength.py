"""What a beer holds, typed or on record, as people and programs read it; and what cannot be is told in a sentence."""

from __future__ import annotations

import json
from typing import Any

import pytest

from lullwort.science import strength

Shell = Any  # the fixture's class lives in conftest.py

JUDGED = ("north.csv", "--batches", "north.toml")
ALE = ("strength", "--original-gravity", "1.050", "--final-gravity", "1.012")


def flat(text: str) -> str:
    return " ".join(text.split())


def figures(shell: Shell, *words: str) -> Any:
    return json.loads(shell(*words, "--json").stdout)


def width(estimate: Any) -> float:
    return float(estimate["high"] - estimate["low"])


def test_typed_gravities_are_answered_without_a_book(lullwort: Shell) -> None:
    out = lullwort(*ALE).stdout
    assert out.startswith("Strength 5.0 % by volume (4.8 to 5.2, 9 in 10 sure).\n")
    for line in ("alcohol by weight 3.88 %", "real extract 4.90 g/100 g", "apparent attenuation 75.2 %",
                 "real attenuation 62.0 %", "energy in 330 mL 156 kcal, 652 kJ"):  # fmt: skip
        assert line in flat(out)
    assert "not for a label" in out
    assert not (lullwort.folder / "cellar.book").exists()


def test_the_document_has_every_figure_with_its_range(lullwort: Shell) -> None:
    told, beer = figures(lullwort, *ALE), strength(1.050, 1.012)
    assert told["batch"] is None
    assert told["range_holds"] == 0.9
    assert told["abv"]["value"] == pytest.approx(beer.abv_pct, abs=1e-4)
    assert told["real_attenuation"]["value"] == pytest.approx(beer.real_attenuation, abs=1e-4)
    assert told["original_gravity"]["value"] == 1.05
    assert "explained" not in told
    for name, estimate in told.items():
        if isinstance(estimate, dict):
            assert estimate["low"] < estimate["value"] < estimate["high"], name


def test_explain_gives_formula_and_source_and_the_short_formulas_beside(lullwort: Shell) -> None:
    out = lullwort(*ALE, "--explain").stdout
    assert "alcohol by weight: A = (OE - RE) / (2.0665 - 0.010665 OE)" in out
    assert "Source: Balling1865" in out
    assert "by the 131.25 rule 4.99 % and by the duty table 4.94 % by volume" in out
    explained = figures(lullwort, *ALE, "--explain")["explained"]
    assert {"figure", "formula", "source"} == set(explained[0])
    assert "131.25" not in lullwort(*ALE).stdout


def test_how_sure_a_reading_is_can_be_stated(lullwort: Shell) -> None:
    usual, sure, unsure = (
        figures(lullwort, *ALE, *words)
        for words in ((), ("--original-within", "0.0002", "--final-within", "0.2pt"), ("--final-within", "4pt"))
    )
    assert width(sure["abv"]) < width(usual["abv"]) < width(unsure["abv"])
    # By hand: 0.2 points each, in squares 0.28, are 0.037 % by volume on either side at 131.25 a point.
    assert width(sure["abv"]) == pytest.approx(2 * 0.037, abs=0.003)
    together = figures(lullwort, *ALE, "--both-within", "5pt")
    assert width(together["abv"]) < width(unsure["abv"])
    assert width(together["apparent_attenuation"]) > width(usual["apparent_attenuation"])


def test_units_and_the_decimal_comma(lullwort: Shell) -> None:
    out = lullwort("strength", "--original-gravity", "12,4", "--final-gravity", "3,08", "--gravity", "plato",
                   "--decimal", "comma").stdout  # fmt: skip
    assert "Strength 5,0 % by volume" in out
    assert "original gravity 12,40 °P" in flat(out)
    assert "original extract" not in out
    assert "." not in out.splitlines()[5]


@pytest.mark.parametrize("columns", [40, 80])
def test_a_terminal_of_any_width_shows_it_whole(lullwort: Shell, columns: int) -> None:
    lines = lullwort.at_terminal(columns, *ALE)
    assert max(map(len, lines)) <= columns
    assert "3.88 % (3.72 to 4.04 %)" in flat(" ".join(lines)) or "3.88 % 3.72 to 4.04 %" in flat(" ".join(lines))
    assert "…" not in "".join(lines)


def test_what_was_put_in_counts_and_is_told(lullwort: Shell) -> None:
    sugared = ("--added", "500g sugar", "--volume", "19L")
    out = lullwort(*ALE, *sugared).stdout
    assert "Counted in: 500 g of sucrose in 19.0 L of wort." in out
    assert "That makes an original gravity of 1.0591." in out
    plain, with_sugar = figures(lullwort, *ALE), figures(lullwort, *ALE, *sugared)
    # By hand: 9 points of 131.25 are 1.2 % by volume.
    assert with_sugar["abv"]["value"] - plain["abv"]["value"] == pytest.approx(1.2, abs=0.1)
    unsure = figures(lullwort, *ALE, *sugared, "--volume-within", "3L", "--weights-within", "10")
    assert width(unsure["abv"]) > width(with_sugar["abv"])
    gallons = figures(lullwort, *ALE, "--added", "1.1023 lb sucrose", "--volume", "5.0193us gal")
    assert gallons["abv"]["value"] == pytest.approx(with_sugar["abv"]["value"], abs=1e-3)
    assert "the rule of thumb" in lullwort(*ALE, *sugared, "--explain").stdout


def test_water_and_boiling_down_count(lullwort: Shell) -> None:
    down = lullwort(*ALE, "--volume", "20L", "--volume-after", "18L").stdout
    assert "boiled down from 20.0 L to 18.0 L, its extract kept" in down
    stronger = figures(lullwort, *ALE, "--volume", "20", "--volume-after", "18")
    weaker = figures(lullwort, *ALE, "--volume", "20", "--added", "2L water")
    # Common practice, no source: points times volume stay the same.
    assert stronger["original_gravity"]["value"] == pytest.approx(1.0 + 0.050 * 20 / 18, abs=0.0004)
    assert weaker["original_gravity"]["value"] == pytest.approx(1.0 + 0.050 * 20 / 22, abs=0.0003)


def test_a_batch_on_record_is_told_by_its_sensor_and_what_is_typed_counts_before(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    out = logged("strength", "north").stdout
    assert out.startswith("north-12 in vessel north, as of ")
    told = figures(logged, "strength", "north-12")
    verdict = json.loads(logged("verdict", "north", "--json").stdout)["vessels"][0]
    assert {name: round(value, 2) for name, value in told["abv"].items()} == verdict["abv"]
    assert "Strength so far" in logged("strength", "north", "--as-of", "2026-07-22T00:00Z").stdout
    by_hand = figures(logged, "strength", "north", "--final-gravity", "1.010", "--final-within", "1pt")
    assert by_hand["final_gravity"]["value"] == 1.01
    assert by_hand["abv"]["value"] > told["abv"]["value"]
    # Its own volume counts where none is typed: 19 L.
    assert "in 19.0 L of wort" in logged("strength", "north", "--added", "100g dextrose").stdout


def test_a_wort_that_has_not_begun_has_no_strength_and_no_error(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    for hour in range(6, 24, 6):
        told = figures(logged, "strength", "north", "--as-of", f"2026-07-19T{hour:02}:00Z")
        assert told["abv"]["value"] == pytest.approx(0.1, abs=0.15)


def test_additions_on_record_count_on_top_of_an_original_gravity_that_is_typed(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    logged("note", "north", "addition", "--points", "5", "--at", "2026-07-22T12:00Z")
    told = figures(logged, "strength", "north", "--original-gravity", "1.050")
    assert told["original_gravity"]["value"] == pytest.approx(1.055)


def test_a_batch_with_a_hand_sample_alone_is_told_by_that(lullwort: Shell) -> None:
    lullwort("batch", "open", "west", "--pitched", "2026-03-02T09:00Z", "--name", "west-1")
    sample = ("note", "west", "sample", "--at", "2026-03-20T09:00Z", "--gravity-read", "1.012")
    lullwort(*sample, "--temperature-read", "20C")
    assert "type it with --original-gravity" in lullwort("strength", "west", exits=1).stderr
    told = figures(lullwort, "strength", "west", "--original-gravity", "1.050", "--as-of", "2026-03-21T00:00Z")
    assert told["abv"]["value"] == pytest.approx(4.96, abs=0.02)
    assert width(told["final_gravity"]) == pytest.approx(2 * 0.00346, rel=0.01)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--original-gravity", "1.012", "--final-gravity", "1.050"), "are the two swapped?"),
        (("--original-gravity", "1.050", "--final-gravity", "0.975"), "was it read warm"),
        (("--original-gravity", "1050", "--final-gravity", "1.012"), "1.050 was probably meant"),
        (("--original-gravity", "12.4", "--final-gravity", "1.012"), "write 12.4P"),
        (("--original-gravity", "1.050"), "--final-gravity is missing"),
        (("--final-gravity", "1.010"), "--original-gravity is missing"),
        (("--original-gravity", "1.0005", "--final-gravity", "1.000"), "of the wort before pitching"),
        (("--original-gravity", "1.25", "--final-gravity", "1.000"), "of the wort before pitching"),
        ((), "name a batch, or type both gravities"),
        ((*ALE[1:], "--as-of", "now"), "--as-of goes with a batch"),
        ((*ALE[1:], "--volume", "19L"), "--volume goes with --added"),
        ((*ALE[1:], "--added", "500g sugar"), "how much wort was it"),
        ((*ALE[1:], "--added", "500g sugar", "--volume", "0"), "expected a volume of more than nothing"),
        ((*ALE[1:], "--added", "500g sugar", "--volume", "-19L"), "19L was probably meant"),
        ((*ALE[1:], "--added", "500g sugar", "--volume", "19L", "--volume-within", "19L"), "such as 0.5L"),
        ((*ALE[1:], "--added", "500g sugar", "--volume", "19L", "--weights-within", "100"), "such as 2"),
        ((*ALE[1:], "--added", "500kg sugar", "--volume", "19L"), "are both units right?"),
        ((*ALE[1:], "--both-within", "-1pt"), "by how much a reading may be off"),
        ((*ALE[1:], "--both-within", "1"), "write 1pt"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence_that_says_what_was_meant(
    lullwort: Shell, words: tuple[str, ...], says: str
) -> None:
    assert says in flat(lullwort("strength", *words, exits=2).stderr)


def test_sugar_explains_a_final_gravity_above_the_original(lullwort: Shell) -> None:
    lullwort("strength", "--original-gravity", "1.040", "--final-gravity", "1.045", exits=2)
    lullwort("strength", "--original-gravity", "1.040", "--final-gravity", "1.045", "--added", "2kg honey",
             "--volume", "10L")  # fmt: skip


def test_an_unknown_batch_is_refused(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    assert "did you mean 'north'" in logged("strength", "nort", exits=1).stderr
    early = logged("strength", "north", "--as-of", "2026-07-01T00:00Z", exits=1).stderr
    assert "nothing was pitched yet" in early
