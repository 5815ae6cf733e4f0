"""Instruments as a brewer keeps and checks them, and what comes of it for samples noted before."""

from __future__ import annotations

from typing import Any

import pytest

Shell = Any  # the fixture's class lives in conftest.py

AT = ("--at", "2026-11-01T09:00Z")


def test_an_instrument_is_kept_and_listed(lullwort: Shell) -> None:
    said = lullwort("instrument", "add", "jar", "--calibrated-at", "60F", "--division", "1").stdout
    assert said.startswith(
        "jar: hydrometer made for 15.6 °C (60 °F), 1 point between two marks, never checked in plain water\n"
    )
    assert "lullwort instrument check jar" in said
    prism = ("instrument", "add", "prism", "--kind", "refractometer", "--wort-factor", "1,02")
    assert "0.2 °Bx between two marks, wort factor 1.02, never checked" in lullwort(*prism).stdout
    assert "'jar' already" in lullwort("instrument", "add", "jar", exits=1).stderr
    fahrenheit = lullwort("instrument", "list", env={"LULLWORT_TEMPERATURE": "F"}).stdout.splitlines()
    assert [line[:32] for line in fahrenheit] == [
        "jar: hydrometer made for 60.0 °F",
        "prism: refractometer, 0.2 °Bx be",
    ]


@pytest.mark.parametrize(
    ("kind", "division", "says"),
    [
        ("hydrometer", "0,5P", "0,50 °P between two marks"),
        ("hydrometer", "0,5", "0,50 °P between two marks"),
        ("hydrometer", "2pt", "0,51 °P between two marks"),
        ("refractometer", "0.25Bx", "0,25 °Bx between two marks"),
    ],
)
def test_a_division_is_taken_and_told_in_the_unit_of_the_scale(
    lullwort: Shell, kind: str, division: str, says: str
) -> None:
    env = {"LULLWORT_GRAVITY": "plato", "LULLWORT_DECIMAL": "comma"}
    assert says in lullwort("instrument", "add", "mine", "--kind", kind, "--division", division, env=env).stdout


def test_a_check_in_water_gives_its_own_error(lullwort: Shell) -> None:
    # Water has 997.77 kg/m³ at 22 °C and 999.01 at 60 °F (SOURCES.md, water_density.csv); with the glass 1.0020 is read
    # where 0.9989 should be.
    lullwort("instrument", "add", "jar", "--calibrated-at", "60F", "--division", "1")
    check = ("instrument", "check", "jar", "--reads", "1,002", "--water", "22C", *AT)
    said = lullwort(*check).stdout
    assert "plain water at 22.0 °C should show 0.9989 on it" in said
    assert "reads 3.1 points too high, checked 1 Nov 2026" in said
    assert "known to ± 0.69 points now (9 of 10); it was ± 3.3 points" in said
    assert "How these figures come about" not in said
    explained = lullwort(*check, "--explain").stdout
    assert "what plain water shows: rho_water(T) (1 + 25e-6 (T - Tc)) / rho_water(Tc)" in explained
    assert "[ISO1768]" in explained


def test_a_refractometer_has_to_read_0_in_water(lullwort: Shell) -> None:
    lullwort("instrument", "add", "prism", "--kind", "refractometer")
    assert "a screw that sets them to 0" in lullwort("instrument", "check", "prism", "--reads", "0.4Bx", *AT).stdout
    assert "reads 0.4 °Bx too high, checked" in lullwort("instrument", "list").stdout
    assert "right in plain water" in lullwort("instrument", "check", "prism", "--reads", "0", *AT).stdout
    assert "is off" in lullwort("instrument", "check", "prism", "--reads", "12", *AT, exits=1).stderr


@pytest.mark.parametrize(
    ("words", "exits", "says"),
    [
        (("check", "jar", "--reads", "1.052", "--water", "20C"), 1, "was it plain water, without sugar or beer"),
        (("check", "jar", "--reads", "1052", "--water", "20C"), 2, "1.052 was probably meant"),
        (("check", "jar", "--reads", "1.001", "--water", "72"), 2, "if 72 °F are meant, write 72F"),
        (("check", "jar", "--reads", "1.001", "--water", "20", "--temperature", "F"), 2, "if 20 °C are meant"),
        (("check", "jar", "--reads", "1.001", "--water", "90C"), 2, "let it cool to about 20 °C first"),
        (("check", "jar", "--reads", "1.001", "--water", "-4C"), 2, "expected 0 to 40 °C"),
        (("check", "jar", "--reads", "1.001"), 2, "--water is missing"),
        (("check", "jug", "--reads", "1.001", "--water", "20C"), 1, "no instrument is called 'jug'; on record are jar"),
        (("edit", "jar"), 2, "nothing to edit"),
        (("edit", "jar", "--wort-factor", "1.04"), 2, "--wort-factor goes with a refractometer"),
        (("add", "x", "--calibrated-at", "60"), 2, "60F was probably meant"),
        (("add", "x", "--calibrated-at", "5C"), 2, "expected what is printed on it, such as 60F or 20C"),
        (("add", "x", "--division", "50"), 2, "--division is 50.0, expected a number from 0.1 to 10 points"),
        (
            ("add", "x", "--kind", "refractometer", "--calibrated-at", "20C"),
            2,
            "--calibrated-at goes with a hydrometer",
        ),
        (("add", "A Jar"), 2, "NAME is 'A Jar', expected an id"),
    ],
)
def test_what_cannot_be_is_refused_with_what_was_probably_meant(
    lullwort: Shell, words: tuple[str, ...], exits: int, says: str
) -> None:
    lullwort("instrument", "add", "jar")
    assert says in lullwort("instrument", *words, exits=exits).stderr


def test_without_any_instrument_the_way_to_one_is_told(lullwort: Shell) -> None:
    lullwort("batch", "open", "north", "--pitched", "2026-11-01T10:00Z")
    assert "no instrument is on record; `lullwort instrument add NAME`" in lullwort("instrument", "list").stdout
    assert "none is on record" in lullwort("instrument", "check", "jar", "--reads", "1", exits=1).stderr


def test_another_temperature_printed_on_it_asks_for_another_check(lullwort: Shell) -> None:
    lullwort("instrument", "add", "jar")
    lullwort("instrument", "check", "jar", "--reads", "1.002", "--water", "20C", *AT)
    assert "checked 1 Nov" in lullwort("instrument", "edit", "jar", "--division", "1").stdout
    edited = lullwort("instrument", "edit", "jar", "--calibrated-at", "60F").stdout
    assert "never checked in plain water" in edited
    assert "`lullwort instrument check jar` checks it anew" in edited


def test_a_later_check_corrects_what_was_noted_before(lullwort: Shell) -> None:
    lullwort("instrument", "add", "jar", "--division", "1")
    lullwort("batch", "open", "north", "--pitched", "2026-11-01T10:00Z", "--name", "n1")
    noted = ("note", "n1", "sample", "--gravity-read", "1.050", "--temperature-read", "20C", "--instrument", "jar")
    lullwort(*noted, *AT)
    assert "original gravity 1.050 by a sample of the wort" in lullwort("batch", "list").stdout
    said = lullwort("instrument", "check", "jar", "--reads", "1.002", "--water", "20C").stdout
    assert "1 sample noted with it before will be judged anew" in said
    listed = lullwort("batch", "list").stdout
    assert "original gravity 1.048 by a sample of the wort" in listed
    assert "1.0500, read at 20.0 °C, with jar, that is 1.0480" in listed


def test_instruments_go_out_and_come_back_with_the_batches(lullwort: Shell) -> None:
    lullwort("instrument", "add", "jar", "--division", "1")
    lullwort("instrument", "check", "jar", "--reads", "1.002", "--water", "20C", *AT)
    lullwort("batch", "open", "north", "--pitched", "2026-11-01T10:00Z", "--original-gravity", "1.050")
    note = ("note", "north", "sample", "--at", "2026-11-09T10:00Z", "--instrument", "jar")
    lullwort(*note, "--gravity-read", "1.014", "--temperature-read", "20C")
    lullwort("export", "out.toml")
    (lullwort.folder / "log.csv").write_text("time,vessel,gravity,temperature\n2026-11-01T11:00:00Z,north,1.05,20\n")
    again = {"LULLWORT_BOOK": str(lullwort.folder / "again.book")}
    lullwort("backfill", "log.csv", "--batches", "out.toml", "--store-only", env=again)
    assert lullwort("instrument", "list", env=again).stdout == lullwort("instrument", "list").stdout
    assert lullwort("batch", "list", env=again).stdout == lullwort("batch", "list").stdout
    lullwort("instrument", "edit", "jar", "--division", "2", env=again)
    refused = ("backfill", "log.csv", "--batches", "out.toml", "--store-only")
    assert "division is 2 on record, 1 now" in lullwort(*refused, exits=1, env=again).stderr
    lullwort(*refused, "--update", env=again)
    # Without its table the file's sample names what only the book knows.
    bare = (lullwort.folder / "out.toml").read_text().partition("\n[[batch]]")
    (lullwort.folder / "bare.toml").write_text(bare[1] + bare[2])
    lullwort("backfill", "log.csv", "--batches", "bare.toml", "--store-only", env=again)
    assert "no instrument is called 'jar'" in lullwort("replay", "log.csv", "--batches", "bare.toml", exits=2).stderr


def test_a_book_of_hand_samples_alone_goes_out_and_comes_back_without_a_log(lullwort: Shell) -> None:
    lullwort("instrument", "add", "jar", "--division", "1")
    lullwort("batch", "open", "north", "--pitched", "2026-11-01T10:00Z", "--original-gravity", "1.050")
    note = ("note", "north", "sample", "--gravity-read", "1.011", "--temperature-read", "20C", "--instrument", "jar")
    for day in ("09", "12"):
        lullwort(*note, "--at", f"2026-11-{day}T10:00Z")
    lullwort("export", "out.toml")
    again = {"LULLWORT_BOOK": str(lullwort.folder / "again.book")}
    assert "READY TO PACKAGE" in lullwort("backfill", "--batches", "out.toml", env=again).stderr
    lullwort("verdict")
    assert lullwort("verdict", env=again).stdout == lullwort("verdict").stdout
    for words in ((), ("--dry-run", "--batches", "out.toml")):
        assert "name a log file, or the batches of hand samples" in lullwort("backfill", *words, exits=2).stderr
