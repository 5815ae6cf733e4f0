"""What is wrong with what a brewer typed is said of what was typed: options on the command line, keys in a file."""

from __future__ import annotations

from typing import Any

import pytest

Shell = Any  # the fixture's class lives in conftest.py

JUDGED = ("north.csv", "--batches", "north.toml")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--yeast-min", "200F"), "--yeast-min is '200F', expected -5 to 45 °C"),
        (("--yeast-min", "20", "--yeast-max", "15"), "batch open: --yeast-min is not below --yeast-max"),
        (("--hold-window", "12"), "batch open: --hold-window is 12, expected a whole number from 24 to 168 h"),
        (("--volume", "0"), "--volume is '0', expected 0.10 to 100000 L: is its unit right?"),
        (("--steady-temperature", "60"), "--steady-temperature is '60', which is 60 °C: if 60 °F are meant, write 60F"),
        (("--reading-interval", "72"), "--reading-interval is 72.0, expected a number"),
        (("--expected-attenuation", "200"), "--expected-attenuation is '200', expected 0 to 125 %"),
        (("--yeast-min", "18", "--temperature", "F"), "which is 18 °F: if 18 °C are meant, write 18C"),
        (("--yeast-max", "24", "--temperature", "F"), "which is 24 °F: if 24 °C are meant, write 24C"),
        (("--yeast-max", "140", "--temperature", "F"), "--yeast-max is '140', expected 23 to 113 °F"),
        (("--volume", "50000us gal", "--volume-unit", "us-gal"), "expected 0.03 to 26417 US gal: is its unit right?"),
        (("--tolerance", "9pt"), "--tolerance is '9pt', expected 0.2 points to 5 points"),
        (("--expected-final-gravity", "40P"), "the end 1.17864 is that of no beer: is it an original gravity?"),
        (
            ("--gravity", "plato", "--original-gravity", "3,1", "--expected-final-gravity", "12,9"),
            "the end 12.90 °P is not below the original gravity 3.10 °P; are the two swapped?",
        ),
        (("--expected-attenuation", "0,7 to 0,8"), "expected per cent as '70 to 80'; 70 to 80 was probably meant"),
        (("--name", "North"), "--name is 'North', expected an id"),
    ],
)
def test_what_is_wrong_with_a_batch_is_said_of_the_option_that_was_typed(
    lullwort: Shell, words: tuple[str, ...], says: str
) -> None:
    said = lullwort("batch", "open", "north", "--pitched", "2026-07-19T00:00Z", *words, exits=2).stderr
    assert says in said
    assert not any(key in said for key in ("_c ", "_h ", "_l "))


def test_what_is_wrong_with_a_batch_in_a_file_is_said_of_its_key(logged: Shell) -> None:
    batches = logged.folder / "north.toml"
    batches.write_text(batches.read_text().replace("yeast_min_c = 15.0", "yeast_min_c = 93.0"))
    assert "north.toml: batch 1: yeast_min_c is 93.0" in logged("replay", *JUDGED, exits=2).stderr


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("north", "addition"), "note: --points go with an addition"),
        (("north", "rouse", "--gravity-read", "1.012"), "note: --gravity-read goes with a sample"),
        (("north", "rouse", "--temperature-read", "20"), "note: --temperature-read goes with a sample"),
        (("north", "addition", "--points", "1000"), "note: --points is 1000.0, expected a number from -60 to 100"),
    ],
)
def test_what_is_wrong_with_a_note_is_said_of_the_option_that_was_typed(
    lullwort: Shell, words: tuple[str, ...], says: str
) -> None:
    assert says in lullwort("note", *words, exits=2).stderr


def test_a_correction_that_contradicts_what_is_on_record_names_options(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    assert "--yeast-min is not below" not in logged("batch", "edit", "north-12", "--yeast-max", "25").stderr
    said = logged("batch", "edit", "north-12", "--yeast-min", "30", exits=2).stderr
    assert "north-12: --yeast-min is not below --yeast-max" in said
    said = logged("batch", "close", "north-12", "--packaged", "2026-07-01T00:00Z", exits=2).stderr
    assert "north-12: --packaged lies before --pitched" in said


def test_what_is_wrong_with_a_stated_log_is_said_of_the_option_that_was_typed(logged: Shell) -> None:
    assert "options: --vessel is 'No 1'" in logged("replay", "north.csv", "--vessel", "No 1", exits=2).stderr
    assert "options: --column is" in logged("replay", "north.csv", "--column", "mash=X", exits=2).stderr
