"""A batch's page by a real browser: printed, it is one page of A4 and of Letter; on a phone nothing scrolls aside."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from typing import Any

import msgspec
import pytest
from playwright.sync_api import Browser, Page

from lullwort.analysis import hourly_course
from lullwort.detector import Units, judge
from lullwort.exporting import batch_curve, room_for, sheet_html, shown_events
from lullwort.packaging_day import CheckRow, sheet_facts, sheet_of
from lullwort.records import HOUR_US, BottleLot, Event, PackagingDay, VesselReadings
from lullwort.records.batch import EventKind
from lullwort.rehearsal import Invented

Shell = Any  # the fixture's class lives in conftest.py
LONG = "A note that goes on about the cellar, the weather & the <b>cat</b> on the lid, " * 3
PAPERS = ("A4", "Letter")


def written(shell: Shell, *words: str) -> Path:
    shell("sheet", "north-12", "--html", "page.html", *words)
    path: Path = shell.folder / "page.html"
    return path


def crowd(shell: Shell) -> None:
    """25 events with long notes, and every choice of packaging day."""
    pitched = re.search(r"^pitched = (\d+-\d+)-(\d+)", (shell.folder / "north.toml").read_text(), re.MULTILINE)
    assert pitched is not None
    month, first = pitched[1], int(pitched[2])
    for number in range(25):
        at = f"{month}-{first + 1 + number // 4:02}T{6 + number % 4:02}:00Z"
        kind = ("dry hop", "remark", "rouse", "addition")[number % 4]
        more = ("--points", "0.1") if kind == "addition" else ()
        shell("note", "north-12", kind, "--at", at, "--words", LONG, *more)
    shell(
        "batch", "edit", "north-12", "--target", "2.4volumes", "--container", "brown-glass", "--priming-sugar",
        "dextrose-anhydrous", "--bottles", "24x330mL, 10x0.5L, 3x0.75L", "--losses", "1.2L", "--recipe", LONG,
    )  # fmt: skip
    shell("verdict", "north")
    shell(
        "batch", "close", "north-12", "--packaged", f"{month}-{first + 4:02}T12:00Z", "--moved", "17.4L", "--primed",
        "118g", "--filled", "24x330mL, 10x0.5L, 3x0.75L",
    )  # fmt: skip


def pages_of(page: Page, paper: str) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper, print_background=False)))


def assert_fits(browser: Browser, path: Path) -> None:
    with browser.new_page() as page:
        loaded: list[str] = []
        page.on("request", lambda request: loaded.append(request.url))
        page.goto(path.as_uri())
        assert loaded == [path.as_uri()]
        assert {paper: pages_of(page, paper) for paper in PAPERS} == {"A4": 1, "Letter": 1}
    for scheme in ("light", "dark"):
        with browser.new_context(viewport={"width": 360, "height": 800}, color_scheme=scheme) as context:
            page = context.new_page()
            page.goto(path.as_uri())
            assert page.evaluate(LINES_OF_ANSWER) == 1
            assert page.evaluate("document.documentElement.scrollWidth") == 360
            assert page.evaluate(CUT) == []


LINES_OF_ANSWER = """() => {
    const range = document.createRange();
    range.selectNodeContents(document.querySelector('.answer .word'));
    return range.getClientRects().length;
}"""
"""The answer is never broken."""

CUT = """() => [...document.querySelectorAll('h1,h2,p,td,th,dt,li,small,figcaption,code,svg')]
    .filter(e => e.getClientRects().length && !e.closest('.unseen,.lines'))
    .filter(e => e.getBoundingClientRect().right > 360.5 || e.getBoundingClientRect().left < -0.5)
    .map(e => e.outerHTML.slice(0, 80))"""
"""What reaches beyond the sides of the phone."""


def test_a_plain_batch_prints_on_one_page_and_fits_a_phone(stored: Shell, browser: Browser) -> None:
    assert_fits(browser, written(stored))


def test_a_crowded_one_too_with_its_danger_first(stored: Shell, browser: Browser) -> None:
    crowd(stored)
    path = written(stored)
    with browser.new_page() as page:
        page.goto(path.as_uri())
        tops = [page.locator(part).bounding_box() for part in ("h1", ".danger", ".answer", ".why", "figure")]
        assert page.evaluate(LINES_OF_ANSWER) == 1
        heights = [box["y"] for box in tops if box is not None]
        assert len(heights) == 5
        assert heights == sorted(heights)
        read = page.inner_text("main")
        assert read.index("north-12") < read.index("Danger.") < read.index("Done")
    assert "more events not shown" in path.read_text(encoding="utf-8")
    assert_fits(browser, path)


WIDE = "<style>body{font-family:'DejaVu Serif',Georgia,serif!important}</style></head>"


@pytest.mark.no_cover
@pytest.mark.parametrize("letters", ["", WIDE])
def test_the_danger_and_a_remark_or_six_do_not_cost_a_second_page(
    stored: Shell, browser: Browser, letters: str
) -> None:
    month, first = _pitched(stored)[:7], int(_pitched(stored)[8:10])
    stored(
        "batch", "edit", "north-12", "--target", "2.4volumes", "--container", "brown-glass", "--priming-sugar",
        "sucrose", "--bottles", "24x330mL, 20x0.5L", "--recipe", "pale ale", "--volume", "19L",
    )  # fmt: skip
    stored(
        "batch", "close", "north-12", "--packaged", f"{month}-{first + 4:02}T12:00Z", "--moved", "17.4L", "--primed",
        "300g", "--filled", "24x330mL, 18x0.5L",
    )  # fmt: skip
    for number in range(6):
        stored("note", "north-12", "remark", "--at", f"{month}-{first + 5:02}T{6 + number:02}:00Z", "--words", LONG)
        if number in (0, 5):
            text = written(stored, "--overwrite").read_text(encoding="utf-8")
            assert "Danger." in text
            assert "not shown" not in text
            assert ("cut short" in text) == (number == 5)
            assert text.count(LONG[:110].replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")) == number + 1
            path = stored.folder / "page.html"
            path.write_text(text.replace("</head>", letters or "</head>"), encoding="utf-8")
            assert_fits(browser, path)


@pytest.mark.no_cover
def test_whatever_there_is_to_tell_it_is_one_page(north: Invented, browser: Browser) -> None:
    """Danger or none, few events or 25, each with a long note, and checks that all fail at length."""
    full = PackagingDay(
        target_g_l=4.7, container="brown-glass", sugar="dextrose-anhydrous", losses_l=1.2, moved_l=17.4,
        bottles=(BottleLot(0.33, 24), BottleLot(0.5, 10)), filled=(BottleLot(0.33, 24), BottleLot(0.5, 10)),
    )  # fmt: skip
    with browser.new_page() as page:
        for events, primed_g, says in itertools.product((6, 25), (118.0, 400.0), ("", LONG * 2)):
            day = msgspec.structs.replace(full, primed_g=primed_g)
            html = crowded(north, events, day, says)
            for letters in ("</head>", WIDE):
                page.set_content(html.replace("</head>", letters))
                told = {paper: pages_of(page, paper) for paper in PAPERS}
                assert told == {"A4": 1, "Letter": 1}, (events, primed_g, bool(says), letters)


def crowded(north: Invented, events: int, day: PackagingDay, says: str) -> str:
    """A packaged batch with so many events, and `says` added to all that is said of it."""
    pitched_us = north.batch.pitched_us
    kinds: list[EventKind] = ["dry hop", "remark", "rouse", "addition", "sample"]
    done = tuple(
        Event(
            at_us=pitched_us + (6 + 5 * nth) * HOUR_US, kind=kinds[nth % 5], note=LONG,
            points=0.1 if nth % 5 == 3 else None, gravity=1.03 if nth % 5 == 4 else None,
        )
        for nth in range(events)
    )  # fmt: skip
    batch = msgspec.structs.replace(
        north.batch, events=done, packaging_day=day, volume_l=19.0, recipe=f"ale {says}",
        packaged_us=pitched_us + 240 * HOUR_US,
    )  # fmt: skip
    readings = VesselReadings.of(north.readings).within(pitched_us, batch.packaged_us)
    judged = judge(batch, readings)
    course = list(hourly_course(batch, readings, judged.as_of_us))
    facts, units = sheet_facts(judged, course), Units()
    sheet = sheet_of(facts, units)
    sheet = sheet._replace(
        checks=tuple(CheckRow(check.check, False, f"{check.says} {says}") for check in sheet.checks),
        reasons=(*sheet.reasons, says), next=f"{sheet.next} {says}",
    )  # fmt: skip
    shown = shown_events(sheet.events, room_for(sheet).events)
    curve = batch_curve(facts, {row.event: row.mark for row in shown}, course, units)
    return sheet_html(sheet, curve, units, f"Sources: {'Weiss1974, ' * 9}", "lullwort sheet north-12", "Lullwort 1.")


def test_an_empty_one_too(stored: Shell, browser: Browser) -> None:
    assert_fits(browser, written(stored, "--as-of", _pitched(stored)))


def test_wide_letters_do_not_cost_a_plain_batch_its_page(stored: Shell, browser: Browser) -> None:
    path = written(stored)
    path.write_text(path.read_text(encoding="utf-8").replace("</head>", WIDE), encoding="utf-8")
    with browser.new_page() as page:
        page.goto(path.as_uri())
        assert {paper: pages_of(page, paper) for paper in PAPERS} == {"A4": 1, "Letter": 1}
        page.add_style_tag(content="@media print{body{font-size:14pt!important}}")
        assert pages_of(page, "A4") > 1  # what is counted does tell


def _pitched(shell: Shell) -> str:
    found = re.search(r"^pitched = (\S+)", (shell.folder / "north.toml").read_text(), re.MULTILINE)
    assert found is not None
    return found[1]
