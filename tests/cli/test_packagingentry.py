"""What is entered of packaging day by options, and what the book, its files and its lines then have of it."""

from __future__ import annotations

import json
import re
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.cli.packagingentry import OPTION_OF_PACKAGING_KEY, packaging_entered
from lullwort.errors import UsageError
from lullwort.records import BottleLot, PackagingDay
from lullwort.settings import Settings

Shell = Any  # the fixture's class lives in conftest.py
SETTINGS = Settings(Path("b"), "sg", "C", None)
PITCHED = ("--pitched", "2026-07-19T00:00Z")
CHOICES = (
    "--target", "2,4volumes", "--container", "brown-glass", "--container-limit", "40psi", "--priming-sugar", "sucrose",
    "--losses", "1,5", "--bottles", "24x330mL, 10x0,5L",
)  # fmt: skip
DEEDS = ("--moved", "17L", "--primed", "118g", "--filled", "24*330+18*50cl")


@pytest.fixture
def opened(lullwort: Shell) -> Shell:
    lullwort("batch", "open", "north", "--name", "north-12", *PITCHED, "--volume", "19L", "--original-gravity", "1.052")
    return lullwort


def day_of(shell: Shell, name: str = "north-12") -> PackagingDay:
    with open_book(shell.folder / "cellar.book") as book:
        return book.batches.get(name).packaging_day


def test_every_key_has_an_option() -> None:
    assert set(OPTION_OF_PACKAGING_KEY) == set(PackagingDay.__struct_fields__)


def test_every_option_fills_its_key_when_a_batch_is_opened_and_edited(lullwort: Shell) -> None:
    lullwort("batch", "open", "north", "--name", "north-12", *PITCHED, "--volume", "19L", *CHOICES)
    day = day_of(lullwort)
    # 2.4 volumes of 1.977 g/L; 40 psi by the definition of the pound.
    assert day.target_g_l == pytest.approx(4.7448)
    assert day.limit_bar == pytest.approx(2.7579, abs=1e-4)
    assert (day.container, day.sugar, day.losses_l) == ("brown-glass", "sucrose", 1.5)
    assert day.bottles == (BottleLot(0.33, 24), BottleLot(0.5, 10))
    assert (day.moved_l, day.primed_g, day.filled) == (None, None, ())
    lullwort("batch", "edit", "north-12", *DEEDS)
    assert day_of(lullwort) == PackagingDay(
        target_g_l=day.target_g_l, container="brown-glass", limit_bar=day.limit_bar, sugar="sucrose", losses_l=1.5,
        bottles=day.bottles, moved_l=17.0, primed_g=118.0, filled=(BottleLot(0.33, 24), BottleLot(0.5, 18)),
    )  # fmt: skip


def test_one_entry_changes_and_the_others_stay(opened: Shell) -> None:
    opened("batch", "edit", "north-12", *CHOICES)
    before = day_of(opened)
    opened("batch", "edit", "north-12", "--target", "5g/L")
    assert day_of(opened).target_g_l == 5.0
    assert (day_of(opened).bottles, day_of(opened).sugar) == (before.bottles, before.sugar)
    opened("batch", "edit", "north-12", "--volume", "20L")
    assert day_of(opened).bottles == before.bottles


def test_the_batch_in_a_vessel_may_be_called_by_it_while_it_is_there(opened: Shell) -> None:
    opened("batch", "edit", "north", "--target", "2.4volumes")
    assert day_of(opened).target_g_l == pytest.approx(4.7448)
    opened("batch", "close", "north", "--packaged", "2026-08-01T00:00Z")
    assert "no batch was in vessel 'north'" in opened("batch", "edit", "north", "--moved", "17", exits=1).stderr
    opened("batch", "edit", "north-12", "--moved", "17")
    assert "did you mean 'north-12'" in opened("batch", "edit", "north-21", "--moved", "17", exits=1).stderr


@pytest.mark.parametrize("nothing", ["none", "None", ""])
def test_an_entry_is_taken_back_by_none(opened: Shell, nothing: str) -> None:
    opened("batch", "edit", "north-12", *CHOICES, *DEEDS)
    opened("batch", "edit", "north-12", "--target", nothing, "--filled", nothing)
    assert (day_of(opened).target_g_l, day_of(opened).filled, day_of(opened).primed_g) == (None, (), 118.0)
    every = [word for option in OPTION_OF_PACKAGING_KEY.values() for word in (option, nothing)]
    listed = opened("batch", "edit", "north-12", *every).stdout
    assert day_of(opened) == PackagingDay()
    assert "packaging day" not in listed


def test_a_batches_file_takes_it_out_of_one_book_into_another(opened: Shell) -> None:
    opened("batch", "edit", "north-12", *CHOICES, *DEEDS)
    opened("export", "out.toml", "--batch", "north-12")
    other = {"LULLWORT_BOOK": str(opened.folder / "other.book")}
    opened("backfill", "--batches", "out.toml", "--store-only", env=other)
    with open_book(opened.folder / "other.book") as book:
        assert book.batches.get("north-12").packaging_day == day_of(opened)


def test_a_batches_file_that_says_nothing_of_it_keeps_what_is_on_record(logged: Shell) -> None:
    words = ("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    logged(*words)
    logged("batch", "edit", "north-12", "--target", "2.4volumes", "--container", "keg")
    before = day_of(logged)
    logged(*words)
    logged(*words, "--update")
    assert day_of(logged) == before


def test_a_batches_file_that_says_a_part_of_it_keeps_the_rest(opened: Shell) -> None:
    opened("batch", "edit", "north-12", *CHOICES)
    opened("export", "plan.toml", "--batch", "north-12")
    opened("batch", "edit", "north-12", *DEEDS)
    opened("backfill", "--batches", "plan.toml", "--store-only")
    assert day_of(opened).primed_g == 118.0
    text = (opened.folder / "plan.toml").read_text(encoding="utf-8")
    (opened.folder / "plan.toml").write_text(text.replace("losses_l = 1.5", "losses_l = 2.0"), encoding="utf-8")
    refused = opened("backfill", "--batches", "plan.toml", "--store-only", "--decimal", "comma", exits=1).stderr
    assert "contradicts the book: losses_l is 1,5 L on record, 2,0 L now (" in refused
    opened("backfill", "--batches", "plan.toml", "--store-only", "--update")
    assert (day_of(opened).losses_l, day_of(opened).primed_g) == (2.0, 118.0)


def test_a_contradiction_with_the_book_is_told_in_the_brewers_units(opened: Shell) -> None:
    opened("batch", "edit", "north-12", *CHOICES, *DEEDS)
    opened("export", "plan.toml", "--batch", "north-12")
    opened(
        "batch", "edit", "north-12", "--target", "2.6volumes", "--container", "keg", "--primed", "100g", "--filled",
        "40x0.33",
    )  # fmt: skip
    units = (
        "--carbonation-unit", "g/L", "--weight-unit", "oz", "--volume-unit", "us-gal", "--pressure-unit", "psi",
        "--decimal", "comma",
    )  # fmt: skip
    refused = opened("backfill", "--batches", "plan.toml", "--store-only", *units, exits=1).stderr
    assert "target_g_l is 5,1 g/L on record, 4,7 g/L now" in refused
    assert "container is 'keg' on record, 'brown-glass' now" in refused
    assert "primed_g is 3,53 oz on record, 4,16 oz now" in refused
    assert "filled is 40 of 11,2 fl oz on record, 24 of 11,2 fl oz and 18 of 16,9 fl oz now" in refused


def test_the_record_of_a_batch_has_it(logged: Shell) -> None:
    logged("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    logged("batch", "edit", "north-12", "--volume", "19L", *CHOICES, *DEEDS)
    logged("note", "north-12", "remark", "--at", "2026-07-20T10:00Z", "--words", "smells of apples")
    logged("export", "north.json", "--batch", "north-12")
    document = json.loads((logged.folder / "north.json").read_text(encoding="utf-8"))
    entered = document["entries"]["packaging_day"]
    assert entered["target_g_l"] == pytest.approx(4.7448)
    assert entered["bottles"] == [{"volume_l": 0.33, "count": 24}, {"volume_l": 0.5, "count": 10}]
    assert (entered["container"], entered["sugar"], entered["primed_g"]) == ("brown-glass", "sucrose", 118.0)
    assert [e["note"] for e in document["events"] if e["kind"] == "remark"] == ["smells of apples"]


def test_a_book_from_before_packaging_day_opens(opened: Shell) -> None:
    path = opened.folder / "cellar.book"
    connection = sqlite3.connect(path)
    (entered,) = connection.execute("SELECT entered FROM batch").fetchone()
    older = {key: value for key, value in json.loads(entered).items() if key != "packaging_day"}
    connection.execute("UPDATE batch SET entered = ?", (json.dumps(older),))
    connection.commit()
    connection.close()
    assert day_of(opened) == PackagingDay()
    opened("batch", "edit", "north-12", "--target", "2.4volumes")
    assert day_of(opened).target_g_l == pytest.approx(4.7448)


# -- what is refused, by the option that was typed ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--container", "brownglass"), "--container is 'brownglass', which is not known; did you mean brown-glass?"),
        (("--container", "barrel"), "expected one of brown-glass, reused-glass"),
        (("--priming-sugar", "sugarr"), "did you mean sucrose?"),
        (("--priming-sugar", "maple"), "expected one of sucrose, dextrose"),
        (("--priming-sugar", "liquid malt extract"), "did you mean dry-malt-extract?"),
        (("--priming-sugar", "salt"), "expected one of sucrose, dextrose"),
        (("--target", "0,2"), "--target is '0,2', that is 0,2 volumes; expected 0,5 to 7,1 volumes"),
        (("--target", "0.5g/L"), "that is 0.3 volumes; expected 0.5 to 7.1 volumes"),
        (("--target", "24"), "--target is '24', expected carbon dioxide such as 2.4volumes or 4.7g/L; 2.4volumes was"),
        (("--container-limit", "2psi"), "--container-limit is '2psi', that is 0.1 bar; expected 0.5 to 20.0 bar"),
        (("--losses", "-1L"), "--losses is '-1L', that is -1.0 L; expected 0.0 to 10000.0 L"),
        (("--moved", "0L"), "--moved is '0L', that is 0.0 L; expected 0.1 to 100000.0 L"),
        (("--losses", "19L"), "north-12: --losses 19.0 L leaves nothing of --volume 19.0 L"),
        (("--losses", "5us gal", "--volume", "18L"), "north-12: --losses 18.9 L leaves nothing of --volume 18.0 L"),
        (("--moved", "40L"), "north-12: --moved 40.0 L is more than the vessel held, --volume 19.0 L: is its unit"),
        (("--primed", "118g"), "north-12: --primed goes with --priming-sugar: what was it?"),
        (("--primed", "118oz", "--priming-sugar", "sugar"), "--primed 3345 g of sucrose in 19.0 L would make 45.8 vol"),
        (("--filled", "0,5L"), "--filled is '0,5L', expected how many of each were filled"),
        (("--filled", "50x0.5"), "--filled 25.0 L in all is more than there was to fill, --volume 19.0 L"),
        (("--filled", "24x33"), "--filled is '24x33', which may be many things"),
        (("--primed", "118g dextrose", "--priming-sugar", "dextrose"), "alone: 118g; what it is of is told apart"),
    ],
)
def test_what_is_wrong_is_said_of_the_option_that_was_typed(opened: Shell, words: tuple[str, ...], says: str) -> None:
    mark = "comma" if re.search("[0-9],[0-9] ", says) else "point"
    said = opened("batch", "edit", "north-12", *words, "--decimal", mark, exits=2).stderr
    assert says in said
    assert not any(key in said for key in ("_g_l", "_l ", "_g ", "_bar"))
    assert day_of(opened) == PackagingDay()


def test_a_contradiction_is_told_in_gallons_and_with_a_comma_to_whoever_thinks_so(opened: Shell) -> None:
    words = ("--losses", "6", "--volume-unit", "us-gal", "--decimal", "comma")
    said = opened("batch", "edit", "north-12", *words, exits=2).stderr
    assert "north-12: --losses 6,0 US gal leaves nothing of --volume 5,0 US gal" in said
    said = opened("batch", "open", "south", *PITCHED, "--volume", "5", *words, exits=2).stderr
    assert "batch open: --losses 6,0 US gal leaves nothing of --volume 5,0 US gal" in said


def test_an_older_entry_that_contradicts_a_new_one_is_told_too(opened: Shell) -> None:
    opened("batch", "edit", "north-12", "--priming-sugar", "honey", "--primed", "150g")
    assert "--primed goes with" in opened("batch", "edit", "north-12", "--priming-sugar", "none", exits=2).stderr
    opened("batch", "edit", "north-12", "--priming-sugar", "none", "--primed", "none")
    assert day_of(opened) == PackagingDay()


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Brown Glass", "brown-glass"), ("swing_top", "reused-glass"), ("PET", "plastic"), ("keg", "keg"),
        ("champagne", "sparkling-wine"),
    ],
)  # fmt: skip
def test_a_container_may_go_by_another_name_of_the_trade(typed: str, name: str) -> None:
    assert packaging_entered(SETTINGS, {"container": typed}) == {"container": name}


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("corn sugar", "dextrose"), ("DME", "dry-malt-extract"), ("table sugar", "sucrose"),
        ("speise", "reserved-wort"),
        ("dextrose monohydrate", "dextrose"), ("anhydrous dextrose", "dextrose-anhydrous"),
    ],
)  # fmt: skip
def test_a_sugar_may_go_by_another_name_of_the_trade(typed: str, name: str) -> None:
    assert packaging_entered(SETTINGS, {"priming_sugar": typed}) == {"sugar": name}


def test_a_command_without_all_options_gives_none_of_the_others() -> None:
    assert packaging_entered(SETTINGS, {"target": None, "moved": "17"}) == {"moved_l": 17.0}
    with pytest.raises(UsageError, match="--moved is 'x', expected a volume"):
        packaging_entered(SETTINGS, {"moved": "x"})


# -- what is told ------------------------------------------------------------------------------------------------------


def test_the_list_and_the_line_after_an_entry_tell_it_shortly(opened: Shell) -> None:
    told = opened("batch", "edit", "north-12", *CHOICES, *DEEDS).stdout
    line = (
        "  packaging day: to hold 2.4 volumes of CO2, container brown glass, which bears 2.8 bar, 1.5 L to stay "
        "behind, bottles: 24 of 330 mL and 10 of 500 mL, 17.0 L moved, primed with 118 g of sucrose, filled: 24 of 330 "
        "mL and 18 of 500 mL"
    )
    assert told.splitlines()[1] == line
    assert line in opened("batch", "list").stdout.splitlines()
    units = ("--carbonation-unit", "g/L", "--weight-unit", "oz", "--volume-unit", "us-gal", "--pressure-unit", "psi")
    assert (
        "packaging day: to hold 4,7 g/L of CO2, container brown glass, which bears 40 psi, 0,4 US gal to stay behind, "
        "bottles: 24 of 11,2 fl oz and 10 of 16,9 fl oz, 4,5 US gal moved, primed with 4,16 oz of sucrose"
    ) in opened("batch", "list", *units, "--decimal", "comma").stdout


def test_at_a_narrow_terminal_packaging_day_begins_a_line_of_its_own(opened: Shell) -> None:
    opened("batch", "edit", "north-12", *CHOICES, *DEEDS)
    shown = opened.at_terminal(40, "batch", "list")
    assert [line[:16] for line in shown if "packaging" in line] == ["  packaging day:"]
    assert max(map(len, shown)) <= 40


def test_closing_says_what_was_done_and_what_comes_next(opened: Shell) -> None:
    words = ("--moved", "17L", "--primed", "118g", "--filled", "48x330", "--container", "keg")
    refused = opened("batch", "close", "north", "--packaged", "2026-08-01T00:00Z", *words, exits=2).stderr
    assert "--primed goes with --priming-sugar: what was it?" in refused
    told = opened(
        "batch", "close", "north", "--packaged", "2026-08-01T00:00Z", *words, "--priming-sugar", "dextrose"
    ).stdout.splitlines()
    assert "packaged Sat 1 Aug 2026" in told[0]
    assert told[1] == (
        "  packaging day: container keg, 17.0 L moved, primed with 118 g of dextrose, filled: 48 of 330 mL"
    )
    assert told[-1] == "Next: `lullwort sheet north-12` makes its page to keep."
    assert day_of(opened).sugar == "dextrose"


def test_closing_without_a_word_of_it_leaves_the_entries_alone(opened: Shell) -> None:
    opened("batch", "edit", "north-12", *CHOICES)
    before = day_of(opened)
    opened("batch", "close", "north", "--packaged", "2026-08-01T00:00Z")
    assert day_of(opened) == before
    opened("batch", "edit", "north-12", "--moved", "17L")
    assert day_of(opened).moved_l == 17.0
