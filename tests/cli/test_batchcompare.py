"""`lullwort batch compare`: a batch beside the earlier ones of its recipe, out of a book."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import HOUR_US, format_utc
from lullwort.rehearsal import batches_toml, csv_lines, invent_repeats, renamed

Shell = Any  # the fixture's class lives in conftest.py


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with three fast ales of one recipe in vessel north, and a slow fourth."""
    repeats = [
        renamed(of, "north", f"north-{number}")
        for number, of in enumerate(invent_repeats("fast ale", 5, 4, last="slow"), 1)
    ]
    folder = tmp_path_factory.mktemp("repeated")
    (folder / "north.csv").write_text("".join(csv_lines(*repeats)), encoding="utf-8")
    (folder / "north.toml").write_text(batches_toml(*repeats), encoding="utf-8")
    stored = subprocess.run(
        [sys.executable, "-m", "lullwort", "backfill", "north.csv", "--batches", "north.toml", "--store-only"],
        cwd=folder, env={**os.environ, "LULLWORT_BOOK": str(folder / "cellar.book")}, check=False,
    )  # fmt: skip
    assert stored.returncode == 0
    return folder / "cellar.book"


@pytest.fixture
def repeated(lullwort: Shell, book: Path) -> Shell:
    """A folder of its own, and that book, which nothing here changes."""
    lullwort.environment["LULLWORT_BOOK"] = str(book)
    return lullwort


@pytest.mark.no_cover
def test_a_slow_repeat_is_told_with_a_line_for_each_and_a_picture(repeated: Shell) -> None:
    lines = repeated("batch", "compare", "north").stdout.splitlines()
    assert lines[0].startswith("north-4 in vessel north, recipe 'fast ale', as of ")
    assert lines[1].startswith("Slower than the 3 before it: 75 % after ")
    assert "Whether it may be packaged is another question: `lullwort verdict north-4`." in lines
    rows = [line.split() for line in lines if "north-" in line and line.startswith("  ")]
    assert [(row[0], row[1]) for row in rows] == [
        ("a", "north-1"),
        ("b", "north-2"),
        ("c", "north-3"),
        ("#", "north-4"),
    ]
    assert all(row.count("h") == 4 for row in rows)  # lag, 75 %, tail and ready
    drawn = [line.partition("|")[2] for line in lines if "|" in line]
    assert len(drawn) == 16
    # half-way down the slow one lies furthest to the right
    shared = [line for line in drawn[5:11] if "#" in line and set("abc") & set(line)]
    assert shared
    assert all(line.index("#") > max(map(line.find, "abc")) for line in shared)
    assert lines[-1] == "# is north-4; where courses meet, the later batch is seen."


@pytest.mark.parametrize("width", [36, 100])
def test_it_fits_the_terminal_and_leaves_nothing_out(repeated: Shell, width: int) -> None:
    shown = repeated.at_terminal(width, "batch", "compare", "north-4", "--gravity", "plato", "--temperature", "F")
    assert max(map(len, shown)) <= width
    assert not any("…" in line for line in shown)
    text = " ".join(" ".join(shown).split())
    for word in ("# north-4", "a north-1", "steepest, a day", "tail", "ready", "°P", "°F", "days since the pitch"):
        assert word in text
    assert "1.0" not in text.replace("11.0", "").replace(" 1.0", "")


def test_the_document_has_each_trait_with_what_it_is_compared_by(repeated: Shell) -> None:
    document = json.loads(repeated("batch", "compare", "batch:north-4", "--json").stdout)
    assert (document["batch"], document["recipe"], document["as_before"]) == ("north-4", "fast ale", False)
    compared = {one["trait"]: one for one in document["compared"]}
    gone = compared["three quarters"]
    assert gone["value"] > gone["high"] > gone["most"] >= gone["least"] > gone["low"] > 0.0
    assert (gone["unit"], gone["batches"], gone["still_open"], gone["as_before"]) == ("h", 3, False, False)
    end = compared["end"]
    assert end["as_before"] is True
    assert 1.0 < end["low"] < end["value"] < end["high"] < 1.030
    assert [one["batch"] for one in document["earlier"]] == ["north-1", "north-2", "north-3"]
    assert {one["verdict"] for one in document["earlier"]} == {"packaged"}
    assert document["traits"]["end"] == {"value": end["value"], "sd": pytest.approx(0.002, abs=0.001), "unit": "SG"}
    assert document["traits"]["temperature"] == pytest.approx(20.0, abs=3.0)
    assert document["says"][0].startswith("Slower than the 3 before it")


def test_as_of_a_moment_only_what_had_come_is_compared(repeated: Shell) -> None:
    with open_book(Path(repeated.environment["LULLWORT_BOOK"]), create=False) as book:
        pitched_us = book.batches.get("north-4").pitched_us
    six_hours_later = format_utc(pitched_us + 6 * HOUR_US)
    early = json.loads(repeated("batch", "compare", "north-4", "--json", "--as-of", six_hours_later).stdout)
    assert early["as_before"] is None
    assert [one["as_before"] for one in early["compared"]] == [None] * len(early["compared"])
    assert early["says"] == ["Cannot be compared yet: it shows nothing so far that an earlier one shows, too."]


def test_the_picture_is_written_whole_and_over_another_only_if_that_is_said(repeated: Shell, tmp_path: Path) -> None:
    repeated.write("over.svg", "mine")
    words = ("batch", "compare", "north", "--picture", "over.svg")
    assert "--overwrite" in repeated(*words, exits=1).stderr
    assert (tmp_path / "over.svg").read_text() == "mine"
    assert repeated(*words, "--overwrite").stdout.splitlines()[-1] == "over.svg written"
    root = ElementTree.parse(tmp_path / "over.svg").getroot()
    assert len(list(root.iter("{http://www.w3.org/2000/svg}polyline"))) == 4
    desc = root.find("{http://www.w3.org/2000/svg}desc")
    assert desc is not None
    assert (desc.text or "").startswith("Slower than the 3 before it")
    assert "expected a name in .svg" in repeated("batch", "compare", "north", "--picture", "over.png", exits=2).stderr


def test_without_a_recipe_it_says_how_to_enter_one(lullwort: Shell) -> None:
    lullwort("batch", "open", "west", "--pitched", "2026-07-01T09:00Z", "--name", "west-1")
    plain = lullwort("batch", "compare", "west", exits=1).stderr
    assert "batch 'west-1' cannot be compared yet: its recipe was not entered" in plain
    assert "`lullwort batch edit west-1 --recipe NAME`" in plain
    edited = lullwort("batch", "edit", "west-1", "--recipe", "the old one").stdout
    assert edited.endswith(", recipe 'the old one'\n")


def test_repeats_are_rehearsed_one_after_the_other_and_never_sent_to_a_broker(lullwort: Shell) -> None:
    lullwort("rehearse", "fast ale", "--seed", "5", "--repeats", "2", "--vessel", "west", "--name", "pale")
    listed = lullwort("replay", "west.csv", "--batches", "west.toml", "--json").stdout
    judged = [(vessel["batch"], vessel["verdict"]) for vessel in json.loads(listed)["vessels"]]
    assert judged == [("pale-1", "packaged"), ("pale-2", "ready")]
    assert "--repeats" in lullwort("rehearse", "plain ale", "--last", "slow", exits=2).stderr
    assert (
        "a drill is of one batch"
        in lullwort("rehearse", "plain ale", "--repeats", "2", "--into-broker", exits=2).stderr
    )
