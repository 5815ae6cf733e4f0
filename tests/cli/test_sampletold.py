"""A hand sample noted: corrected, with the rule of thumb beside it, and with a sentence where it cannot be right."""

from __future__ import annotations

from typing import Any

import pytest

Shell = Any  # the fixture's class lives in conftest.py

PITCHED = ("--pitched", "2026-11-01T10:00Z")
LATER = ("--at", "2026-11-09T10:00Z")


@pytest.fixture
def brewing(lullwort: Shell) -> Shell:
    """A batch with an original gravity, one without, and two instruments."""
    lullwort("instrument", "add", "jar", "--calibrated-at", "60F", "--division", "1")
    lullwort("instrument", "add", "prism", "--kind", "refractometer")
    lullwort("batch", "open", "north", *PITCHED, "--name", "n1", "--original-gravity", "1.050")
    lullwort("batch", "open", "east", *PITCHED, "--name", "e1")
    return lullwort


def sample(shell: Shell, *words: str, vessel: str = "north", exits: int = 0, **more: Any) -> Any:
    at = () if "--at" in words else LATER
    return shell("note", vessel, "sample", *at, "--gravity-read", *words, exits=exits, **more)


def test_a_sample_is_corrected_and_the_rule_of_thumb_stands_beside(brewing: Shell) -> None:
    # 12 points at 75 °F by a 60 °F instrument: beer of 1.050 has 1.0136 at 20 °C; the rule adds 1.5 points (common
    # practice, no source).
    said = sample(brewing, "1.012", "--temperature-read", "75F", "--calibrated-at", "60F").stdout
    assert "noted for n1: 1.0120 SG read at 23.9 °C\n" in said
    assert "Corrected: 1.0136 at 20.0 °C, in 9 of 10 cases 1.0101 to 1.0171.\n" in said
    assert "Read with a hydrometer made for 15.6 °C (60 °F), never checked" in said
    assert "Rule of thumb (1 point for each 5.6 °C above 15.6 °C): 1.0135, 0.1 points less.\n" in said.replace(
        "0.11", "0.1"
    )
    assert "Was it degassed?" in said
    assert "A sample costs 100 to 250 mL" in said
    assert "Openings of n1 for samples so far: 1." in said
    assert "so far: 2." in sample(brewing, "1.012", "--at", "2026-11-10T10:00Z").stdout


def test_in_the_brewer_s_units(brewing: Shell) -> None:
    units = {"LULLWORT_GRAVITY": "plato", "LULLWORT_TEMPERATURE": "F"}
    said = sample(brewing, "3,1", "--temperature-read", "75", "--calibrated-at", "60", env=units).stdout
    assert "Corrected: 3.51 °P at 68.0 °F, in 9 of 10 cases " in said
    assert "(0.25 °P for each 10 °F above 60.0 °F): 3.48 °P, 0.03 °P less." in said


@pytest.mark.parametrize("temperature", ["4C", "95F"])
def test_where_the_rule_should_not_be_used_it_is_refused(brewing: Shell, temperature: str) -> None:
    said = sample(brewing, "1.012", "--temperature-read", temperature).stdout
    assert (
        "Rule of thumb (1 point for each 5.6 °C above 20.0 °C): not to be used below 20.0 °C or above 31.1 °C" in said
    )


def test_its_own_error_is_taken_off(brewing: Shell) -> None:
    brewing("instrument", "check", "jar", "--reads", "1.002", "--water", "60F", "--at", "2026-10-01T10:00Z")
    said = sample(brewing, "1.012", "--temperature-read", "60F", "--instrument", "jar").stdout
    assert "Corrected: 1.0099 at 20.0 °C, in 9 of 10 cases 1.0089 to 1.0109.\n" in said
    assert "Read with jar, made for 15.6 °C (60 °F), reads 2 points too high, checked 1 Oct 2026" in said
    assert "it knows nothing of the instrument's own error" in said


def test_each_figure_tells_its_formula_and_source(brewing: Shell) -> None:
    said = sample(brewing, "1.012", "--temperature-read", "75F", "--explain").stdout
    for figure, source in (
        ("gravity by hydrometer", "[ISO1768]"),
        ("rule of thumb", "no source"),
        ("range of a", "1.645"),
    ):
        assert figure in said
        assert source in said.partition(figure)[2]
    by_prism = sample(brewing, "6.7Bx", "--explain", "--at", "2026-11-08T10:00Z").stdout
    assert "n = n_water + S(f r) + E(a)" in by_prism
    assert "rule of thumb" not in by_prism


def test_a_sample_of_the_wort_is_the_original_gravity(brewing: Shell) -> None:
    before = ("--at", "2026-11-01T08:00Z")
    said = sample(brewing, "1.050", "--temperature-read", "24C", *before, vessel="east").stdout
    assert "Original gravity: 1.0510 at 20.0 °C" in said
    assert "after the boil and any topping up, cooled and stirred, before the yeast" in said
    assert "Openings" not in said
    listed = brewing("batch", "list").stdout
    assert "e1: vessel east, pitched Sun 1 Nov 2026 10:00 UTC, original gravity 1.051 by a sample of the wort" in listed
    # And a refractometer's reading of the beer may be noted from then on.
    assert "Estimate: " in sample(brewing, "6.7Bx", vessel="east").stdout


def test_batch_open_takes_how_its_original_gravity_was_read(brewing: Shell) -> None:
    read = ("--original-gravity", "1.050", "--original-gravity-read-at", "24C", "--original-gravity-with", "jar")
    opened = brewing("batch", "open", "west", *PITCHED, *read).stdout
    assert "original gravity 1.052 by a sample of the wort" in opened
    assert "1.0500, read at 24.0 °C, with jar, that is 1.0518" in brewing("batch", "list").stdout
    by_prism = brewing("batch", "open", "south", *PITCHED, "--original-gravity", "12,9Bx").stdout
    assert "original gravity 1.050 by a sample of the wort" in by_prism
    alone = brewing("batch", "open", "loft", *PITCHED, "--original-gravity-read-at", "24C", exits=2).stderr
    assert "--original-gravity-read-at goes with --original-gravity" in alone
    hot = ("--original-gravity", "1.050", "--original-gravity-read-at", "80C")
    assert "let it cool to about 20 °C" in brewing("batch", "open", "loft", *PITCHED, *hot, exits=2).stderr
    unknown = ("--original-gravity", "1.050", "--original-gravity-with", "jug")
    assert "on record are jar, prism" in brewing("batch", "open", "loft", *PITCHED, *unknown, exits=2).stderr


def test_a_refractometer_in_beer_is_an_estimate_or_nothing(brewing: Shell) -> None:
    refused = sample(brewing, "6.2Bx", vessel="east", exits=1).stderr
    assert "it tells no gravity without the original gravity" in refused
    assert "lullwort batch edit e1 --original-gravity" in refused
    said = sample(brewing, "6,7", "--instrument", "prism").stdout
    assert "noted for n1: 6.7 °Bx\n" in said
    assert "Estimate: 1.0122 at 20.0 °C, in 9 of 10 cases 1.0082 to 1.0161.\n" in said
    assert "Read with prism, wort factor 1.04, never checked in plain water.\n" in said
    assert "proves nothing and corrects no sensor" in said
    assert "A few drops cost air in the vessel" in said
    assert "sample Mon 9 Nov 2026 10:00 UTC, 6.7 °Bx, with prism, about 1.0122" in brewing("batch", "list").stdout


def test_a_hydrometer_in_brix_shows_gravity(brewing: Shell) -> None:
    assert "noted for n1: 1.0239 SG (6.07Bx)" in sample(brewing, "6.07Bx", "--instrument", "jar").stdout


@pytest.mark.parametrize(
    ("words", "exits", "says"),
    [
        (("12.4",), 2, "if degrees Plato are meant, write 12.4P"),
        (("1012",), 2, "1.012 was probably meant"),
        (("0.985",), 2, "0.9850 lies outside what an ordinary hydrometer shows, 0.990 to 1.170"),
        (("1.180",), 2, "1.1800 lies outside what an ordinary hydrometer shows, 0.990 to 1.170"),
        (("1.012", "--temperature-read", "68"), 2, "if 68 °F are meant, write 68F"),
        (("1.012", "--temperature-read", "80C"), 2, "let it cool to about 20 °C first"),
        (("1.012", "--instrument", "jug"), 2, "no instrument is called 'jug'; on record are jar, prism"),
        (("1.012", "--instrument", "prism"), 2, "'prism' is a refractometer: give what it shows in °Bx"),
        (
            ("1.012", "--instrument", "jar", "--calibrated-at", "20C"),
            2,
            "--calibrated-at goes with a hydrometer that is not",
        ),
        (("1.012", "--calibrated-at", "68"), 2, "68F was probably meant"),
        (("1.050", "--at", "2026-10-29T10:00Z"), 1, "pitched Sun 1 Nov 2026 10:00 UTC, 3.0 days after that sample"),
        (("1.050", "--at", "2026-11-01T09:00Z"), 1, "n1 has one already, 1.050: was it drawn later?"),
    ],
)
def test_bad_input_gets_a_sentence_and_is_not_noted(
    brewing: Shell, words: tuple[str, ...], exits: int, says: str
) -> None:
    assert says in sample(brewing, *words, exits=exits).stderr
    assert "sample" not in brewing("batch", "list").stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("1.12",), "70 points above the original gravity of n1, 1.050, which beer does not"),
        (("1.12",), "(1.012 was perhaps meant)"),
        (("1.102",), "(1.012 was perhaps meant)"),
        (("1.075",), "are number, unit, vessel and batch right?"),
        (("0.980", "--instrument", "jar"), "lighter than wort of 1.050 can become"),
        (("25Bx",), "above the original gravity of n1"),
    ],
)
def test_what_beer_does_not_do_is_asked_about(brewing: Shell, words: tuple[str, ...], says: str) -> None:
    assert says in sample(brewing, *words).stderr


def test_a_sample_after_the_pitch_is_no_original_gravity(brewing: Shell) -> None:
    said = sample(brewing, "1.050", "--at", "2026-11-01T14:00Z", vessel="east")
    assert "Drawn 4 h after the pitch it does not count as the original gravity" in said.stderr
    assert "Corrected: 1.0500" in said.stdout


def test_wort_beside_the_batch_before_it(brewing: Shell) -> None:
    brewing("batch", "open", "north", "--pitched", "2026-11-09T18:00Z", "--name", "n2")
    said = sample(brewing, "1.060").stderr
    assert "above the original gravity of n1" in said
    assert "If it is the wort of n2, note it in batch:n2 instead." in said
    sample(brewing, "1.060", "--remove")
    assert "Original gravity: 1.0600" in sample(brewing, "1.060", vessel="batch:n2").stdout


def test_a_sample_is_taken_back_without_a_word(brewing: Shell) -> None:
    sample(brewing, "1.012")
    assert sample(brewing, "1.012", "--remove").stdout.endswith("taken back from n1: 1.0120 SG\n")


WORT = ("--at", "2026-11-01T09:30Z")


def test_what_would_contradict_the_original_gravity_by_a_sample_is_not_noted(brewing: Shell) -> None:
    # Once noted, it would be in the way of `batch close`, and of the batches file that `export` writes.
    brewing("batch", "edit", "e1", "--expected-final-gravity", "1.010 to 1.013", "--volume", "19L")
    low = sample(brewing, "1.004", *WORT, vessel="east", exits=2).stderr
    assert "the end 1.013 is not below the original gravity 1.004; are the two swapped?" in low
    sample(brewing, "1.050", *WORT, vessel="east")
    test = ("note", "east", "forced test", *LATER, "--gravity-read")
    high = brewing(*test, "1.060", exits=2).stderr
    assert "--gravity-read 1.06 is not below the original gravity 1.05: enter where the test ended" in high
    drowned = brewing("note", "east", "addition", *LATER, "--added", "1000L water", exits=2).stderr
    assert "would leave nothing of the original gravity" in drowned
    brewing(*test, "1.010")
    brewing("batch", "close", "east", "--packaged", "2026-11-12T10:00Z")


def test_a_wort_that_is_hardly_one_is_asked_about(brewing: Shell) -> None:
    assert "1.001 is hardly a wort: was it water, or beer?" in sample(brewing, "1.001", *WORT, vessel="east").stderr
    assert not sample(brewing, "1.040", *WORT, vessel="east").stderr
