"""`lullwort sheet` as a brewer meets it: at terminals wide and narrow, as a file, as a document."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from lullwort.records import format_utc
from lullwort.rehearsal import Invented

Shell = Any  # the fixture's class lives in conftest.py
LONG = "With <b>marks</b> & signs, a note that is longer than a narrow terminal is wide"


@pytest.fixture(scope="module")
def brewed_once(
    shell_in: Callable[[Path], Shell], tmp_path_factory: pytest.TempPathFactory, stored_north: Path, north: Invented
) -> Path:
    """The folder of an ale in the book, ready, with some things done."""
    shell = shell_in(tmp_path_factory.mktemp("brewed"))
    shutil.copytree(stored_north, shell.folder, dirs_exist_ok=True)
    shell("note", "north", "remark", "--at", f"{day_of(north)}T23:00Z", "--words", LONG)
    shell("batch", "edit", "north-12", "--target", "2.4volumes", "--container", "brown-glass")
    return Path(shell.folder)


@pytest.fixture
def brewed(lullwort: Shell, brewed_once: Path, north: Invented) -> Shell:
    shutil.copytree(brewed_once, lullwort.folder, dirs_exist_ok=True)
    lullwort.day = day_of(north)
    return lullwort


def day_of(of: Invented) -> str:
    return format_utc(of.batch.pitched_us)[:10]


def test_the_page_has_its_parts_in_order_and_tells_nothing(brewed: Shell) -> None:
    before = brewed.everything(brewed.folder / "cellar.book")
    page = brewed("sheet", "north").stdout
    parts = (
        "north-12", "May it be packaged?  Yes", "Next:", "days since the pitch", "\nDates\n", "\nGravity\n",
        "\nStrength\n", "\nTemperature\n", "\nVolumes and bottles\n", "\nCarbonation\n", "\nWhat was done\n",
        "\nEvidence\n", "\nBy hand\n",
    )  # fmt: skip
    places = [page.index(part) for part in parts]
    assert places == sorted(places)
    assert LONG.split()[-1] in page
    assert "told  " not in page
    assert brewed.everything(brewed.folder / "cellar.book") == before


def test_what_was_told_is_on_it(brewed: Shell) -> None:
    brewed("verdict", "north")
    assert "; ready to package" in brewed("sheet", "north").stdout


@pytest.mark.parametrize("width", [80, 40])
def test_it_fits_a_terminal(brewed: Shell, width: int) -> None:
    shown = brewed.at_terminal(width, "sheet", "north")
    assert max(map(len, shown)) <= width
    assert "days since the pitch" in "\n".join(shown)
    assert " ".join(LONG.split()[-2:]) in " ".join(" ".join(shown).split())


def test_the_file_is_written_once_and_over_another_only_if_asked(brewed: Shell) -> None:
    assert brewed("sheet", "north", "--html", "n.html").stdout == "n.html written\n"
    first = (brewed.folder / "n.html").read_bytes()
    assert first.startswith(b"<!DOCTYPE html>")
    assert b"&lt;b&gt;marks" in first
    assert "--overwrite" in brewed("sheet", "north", "--html", "n.html", exits=1).stderr
    assert (brewed.folder / "n.html").read_bytes() == first
    brewed("sheet", "north", "--html", "n.html", "--overwrite", "--as-of", f"{brewed.day}T22:00Z")
    second = (brewed.folder / "n.html").read_bytes()
    assert second != first
    assert b"marks" not in second
    assert [path.name for path in brewed.folder.glob("*.part")] == []
    assert "expected a name in .html" in brewed("sheet", "north", "--html", "n.pdf", exits=2).stderr


def test_the_document_has_the_figures_in_fixed_units(brewed: Shell) -> None:
    one = json.loads(brewed("sheet", "north", "--json").stdout)
    other = json.loads(brewed("sheet", "north", "--json", "--gravity", "plato", "--temperature", "F").stdout)
    assert one == other
    assert one["verdict"] == "ready"
    assert one["proved"] is True
    assert one["danger"] is False
    assert 1.04 < one["original_gravity"]["value"] < 1.07
    assert one["pitched_at"] < one["activity_ended_at"] < one["ready_at"] < one["as_of"]
    assert one["packaging_day"]["container"] == "brown-glass"
    assert len(one["evidence"]) == 7
    assert [event["kind"] for event in one["events"]] == ["remark"]
    assert "explained" not in one


def test_each_figure_can_be_asked_for_its_formula(brewed: Shell) -> None:
    told = brewed("sheet", "north", "--explain").stdout
    for figure in ("alcohol by volume", "activity ended", "pressure", "the curve"):
        assert f"  {figure}: " in told
    assert len(json.loads(brewed("sheet", "north", "--json", "--explain").stdout)["explained"]) > 10
    brewed("sheet", "north", "--html", "n.html")
    assert "Sources: " in (brewed.folder / "n.html").read_text(encoding="utf-8")


def test_with_a_decimal_comma_no_number_has_a_point(brewed: Shell) -> None:
    comma = brewed("sheet", "north", "--decimal", "comma").stdout
    point = brewed("sheet", "north", "--decimal", "point").stdout
    assert comma != point
    assert comma.replace(",", ".") == point.replace(",", ".")
    brewed("sheet", "north", "--decimal", "comma", "--html", "n.html")
    text = (brewed.folder / "n.html").read_text(encoding="utf-8")
    words = text.partition("</style>")[2].partition("<footer>")[0]
    assert ">1,050<" in words
    assert "1.0" not in "".join(part.partition(">")[2] for part in words.split("<"))


def test_the_whole_way_to_years_later(brewed: Shell) -> None:
    brewed("batch", "close", "north-12", "--packaged", _later(brewed, 15), "--moved", "17.4L")
    late = brewed("sheet", "north-12", "--as-of", "2036-01-01T00:00Z").stdout
    assert "May it be packaged?  Done" in late
    assert "Until then it was ready" in late
    assert "17.4 L; as measured" in late
    assert "Danger" not in late


def test_what_was_packaged_too_soon_is_told_first(brewed: Shell) -> None:
    brewed("batch", "edit", "north-12", "--priming-sugar", "sucrose")
    brewed("batch", "close", "north-12", "--packaged", _later(brewed, 3), "--primed", "110g")
    page = brewed("sheet", "north-12").stdout
    assert page.index("Danger.") < page.index("May it be packaged?")
    assert "110 g of sucrose; put in" in page
    assert "keep an eye on" not in page


def test_what_a_terminal_or_a_browser_would_obey_is_not_shown(brewed: Shell) -> None:
    """Escape sequences, and marks that turn the direction of writing, in a note and in a recipe's name."""
    hostile = "pears \x1b[2J\x1b]0;owned\x07 \u202egnissim\u2066 \x9b1m end"
    brewed("note", "north", "remark", "--at", f"{brewed.day}T23:30Z", "--words", hostile)
    brewed("batch", "edit", "north-12", "--recipe", f"Ale {hostile}")
    brewed("sheet", "north", "--html", "n.html")
    shown = {
        "page": (brewed.folder / "n.html").read_text(encoding="utf-8"),
        "sheet": brewed("sheet", "north").stdout,
        "list": brewed("batch", "list").stdout,
        "verdict": brewed("verdict", "north").stdout,
    }
    for name in ("page", "sheet", "list"):
        assert "pears [2J" in shown[name], name
    for text in shown.values():
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]", text)


def test_names_that_are_none_are_refused(brewed: Shell) -> None:
    assert "did you mean" in brewed("sheet", "nort", exits=1).stderr
    assert "nothing was pitched yet" in brewed("sheet", "north", "--as-of", "2001-01-01T00:00Z", exits=1).stderr


def test_a_batch_with_nothing_yet_has_a_page(brewed: Shell) -> None:
    brewed("batch", "open", "tub", "--pitched", f"{brewed.day}T10:00Z")
    page = brewed("sheet", "tub").stdout
    assert "Cannot tell" in page
    assert "days since the pitch" not in page
    brewed("sheet", "tub", "--html", "tub.html")
    assert "there is no curve" in Path(brewed.folder / "tub.html").read_text(encoding="utf-8")


def test_nothing_is_weighed_by_what_was_proved_once(brewed: Shell) -> None:
    brewed("batch", "edit", "north-12", "--priming-sugar", "sucrose")
    then = ("sheet", "north", "--as-of", _later(brewed, 11))
    before = json.loads(brewed(*then, "--json").stdout)
    assert before["to_prime_g"] > 90.0
    assert before["no_longer"] is None
    brewed("note", "north", "sample", "--at", _later(brewed, 17), "--gravity-read", "1.022")
    page = " ".join(brewed(*then).stdout.split())
    assert "Next: That is no longer so: as of Thu 6 Aug 2026 04:57 UTC it is unclear. Prime and seal nothing" in page
    assert "priming not told, for it is unclear by now" in page
    assert "in the bottle" not in page
    assert "Danger" not in page
    after = json.loads(brewed(*then, "--json").stdout)
    assert (after["to_prime_g"], after["sealed"]) == (None, None)
    assert after["no_longer"]["verdict"] == "unclear"
    brewed("batch", "edit", "north-12", "--primed", "100g")
    assert "Danger." in brewed(*then).stdout, "it is in, and not proved by what is known now"


def _later(shell: Shell, days: int) -> str:
    return f"{datetime.fromisoformat(shell.day) + timedelta(days=days):%Y-%m-%d}T12:00Z"


def test_without_a_name_it_is_that_of_the_one_under_way_and_else_of_the_one_packaged_last(brewed: Shell) -> None:
    assert brewed("sheet").stdout.startswith("north-12\n")
    brewed("batch", "open", "tub", "--pitched", f"{brewed.day}T10:00Z", "--name", "porter")
    assert "name one of north-12, porter" in brewed("sheet", exits=1).stderr
    brewed("batch", "close", "north-12", "--packaged", _later(brewed, 15))
    assert brewed("sheet").stdout.startswith("porter\n")
    brewed("batch", "close", "porter", "--packaged", _later(brewed, 12))
    assert brewed("sheet").stdout.startswith("north-12\n")
    assert brewed("sheet", "--as-of", _later(brewed, 14)).stdout.startswith("north-12\n")
    assert "no batch is under way" in brewed("sheet", "--as-of", "2001-01-01T00:00Z", exits=1).stderr


def test_a_packaging_is_told_by_the_moment_that_was_entered_and_never_before_it(brewed: Shell) -> None:
    at = _later(brewed, 15).replace("T12:00", "T12:05")
    brewed("batch", "close", "north-12", "--packaged", at)
    said = f"{datetime.fromisoformat(at):%a %-d %b %Y %H:%M}"
    for command in ("verdict", "sheet", "why"):
        told = brewed(command, "north-12").stdout
        assert f"(packaged since {said} UTC)" in told or f"(packaged {said} UTC)" in told
    assert f"packaged {said} UTC." in brewed("verdict", "north-12").stdout.partition("History:")[2]
    assert f"packaged {said} UTC\n" in brewed("why", "north-12").stdout.partition("How it came")[2]
    late = brewed("batch", "close", "batch:north-12", "--packaged", "2127-01-01T00:00Z", exits=2).stderr
    assert "--packaged lies in the future" in late
    assert said in brewed("batch", "list").stdout


@pytest.mark.no_cover
def test_what_was_noted_and_told_after_packaging_is_on_the_page_and_leaves_the_verdict_alone(brewed: Shell) -> None:
    brewed("batch", "close", "north-12", "--packaged", _later(brewed, 15))
    before = json.loads(brewed("sheet", "--json").stdout)
    glass = _later(brewed, 40)
    brewed("note", "north-12", "remark", "--at", glass, "--words", "like bread & honey " * 90)
    after = json.loads(brewed("sheet", "--json").stdout)
    assert [event["kind"] for event in after["events"]] == ["remark", "remark"]
    assert after["as_of"] == glass.replace("T12:00Z", "T12:00:00Z")
    same = {"as_of", "events"}
    assert {k: v for k, v in after.items() if k not in same} == {k: v for k, v in before.items() if k not in same}
    assert "honey" in brewed("sheet").stdout
    assert "honey" not in brewed("sheet", "--as-of", _later(brewed, 39)).stdout
    early = _later(brewed, 41)
    brewed("sheet", "--html", "n.html", "--as-of", early)
    assert f"whole: <code>lullwort sheet north-12 --as-of {early[:16]}:00Z</code>" in (
        (brewed.folder / "n.html").read_text(encoding="utf-8")
    )
    assert "honey" in brewed("sheet", "north-12", "--as-of", early).stdout


def test_what_was_told_stands_by_when_it_was_told(brewed: Shell) -> None:
    brewed("verdict", "north")
    brewed("batch", "close", "north-12", "--packaged", _later(brewed, 15))
    page = brewed("sheet").stdout
    dates = [line.split()[0] for line in page.partition("\nDates\n")[2].partition("\n\n")[0].splitlines()]
    assert dates == ["pitched", "activity", "ready", "packaged", "told"]
    assert "ready to package" not in brewed("sheet", "north-12", "--as-of", _later(brewed, 16)).stdout


def test_a_remark_after_the_log_s_end_is_on_the_page_of_a_batch_under_way(brewed: Shell) -> None:
    brewed("note", "north-12", "remark", "--at", _later(brewed, 60), "--words", "still in its vessel")
    assert "still in its vessel" in brewed("sheet").stdout
