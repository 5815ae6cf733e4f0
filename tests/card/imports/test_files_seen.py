"""Files and alerts in a real browser that runs no script, on a phone and on a desk; and what axe says of each page."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Alert

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.usefixtures("unmeasured"), pytest.mark.no_cover]

Served = Any  # its class lives in conftest.py
PHONE, DESK = (360, 740), (1280, 800)
AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
READY = Alert(
    kind="ready", about="north-1", on=True, at_us=1_700_000_100_000_000, vessel="north", batch="north-1", urgent=True,
    title="READY TO PACKAGE: north-1", says="It may be packaged.",
)  # fmt: skip
STALLED = Alert(
    kind="stalled", about="attic-1", on=True, at_us=1_700_000_000_000_000, vessel="attic", batch="attic-1",
    title="attic-1 has stalled", says="It stopped too high.",
)  # fmt: skip


@pytest.fixture(scope="module")
def card(
    kept_cellar: Path, tmp_path_factory: pytest.TempPathFactory, card_of: Callable[[Path], Any]
) -> Iterator[Served]:
    book = tmp_path_factory.mktemp("seen") / "cellar.book"
    shutil.copy(kept_cellar, book)
    with open_book(book) as opened:
        opened.outbox.put([STALLED, READY], ["push"], 1_700_000_300_000_000)
        opened.outbox.put([Alert(kind="test", about="", on=True, at_us=1, title="A test", says="It works.")], [], 1)
        opened.outbox.delivered(STALLED, "push", 1_700_000_400_000_000)
    with card_of(book) as served:
        yield served


def opened(browser: Browser, served: Served, size: tuple[int, int]) -> Page:
    """A page of a browser that runs no script of the card."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, java_script_enabled=False, base_url=served.url,
        accept_downloads=True,
    )  # fmt: skip
    return context.new_page()


@pytest.fixture(scope="module")
def beside(browser: Browser) -> Page:
    """Another browser, which runs script: axe needs it."""
    return browser.new_context(bypass_csp=True).new_page()


def looks_right(page: Page, beside: Page) -> None:
    """Nothing is cut off at its side, and axe finds nothing that keeps anybody out."""
    assert page.viewport_size is not None
    beside.set_viewport_size(page.viewport_size)
    beside.goto(page.url)
    assert beside.evaluate("document.documentElement.scrollWidth <= innerWidth"), page.url
    beside.evaluate(AXE)
    found = beside.evaluate("axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})")
    assert [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in found["violations"]] == [], page.url


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_log_is_looked_at_first_and_then_stored(
    browser: Browser, beside: Page, card: Served, tmp_path: Path, size: tuple[int, int]
) -> None:
    page = opened(browser, card, size)
    page.goto("/import")
    if size == DESK:
        looks_right(page, beside)
    path = tmp_path / f"keller-{size[0]}.csv"
    rows = [f"{13 + n // 24:02d}.03.2026;{n % 24:02d}:00;{129 - n // 3:03d};19,3" for n in range(30)]
    rows = [f"{day};{hour};{level[:2]},{level[2:]};{rest}" for day, hour, level, rest in (r.split(";") for r in rows)]
    path.write_text("\n".join(["Datum;Uhrzeit;Restextrakt [°P];Temperatur", *rows, "14.03.2026;07:00;viel;19,3", ""]))
    page.get_by_label("File").set_input_files(path)
    page.get_by_role("button", name="Show how it would be read").click()
    page.get_by_role("heading", name="Doubtful, and not guessed").wait_for()
    if size == PHONE:
        looks_right(page, beside)
    page.get_by_label("Vessel", exact=True).fill(f"keller-{size[0]}")
    page.get_by_label("Zone of the times").fill("Europe/Berlin")
    page.get_by_role("button", name="Read it again").click()
    page.get_by_text("Nothing is doubtful.").wait_for()
    assert page.get_by_text("viel", exact=True).is_visible()
    if size == PHONE:
        looks_right(page, beside)
    page.get_by_role("button", name="Store 30 readings").click()
    page.get_by_text("30 stored").wait_for()
    if size == DESK:
        looks_right(page, beside)
    page.get_by_role("link", name="take back import").click()
    if size == PHONE:
        looks_right(page, beside)
    page.get_by_role("link", name="Leave it as it is").click()
    assert page.get_by_role("link", name=f"Take back {path.name}").is_visible()
    if size == DESK:
        looks_right(page, beside)
    page.context.close()


@pytest.mark.parametrize(("size", "vessel"), [(PHONE, "north"), (DESK, "attic")], ids=["phone", "desk"])
def test_an_alert_is_seen(browser: Browser, beside: Page, card: Served, size: tuple[int, int], vessel: str) -> None:
    page = opened(browser, card, size)
    page.goto(f"/vessel/{vessel}")
    page.locator("#alerts summary").click()
    page.get_by_role("link", name="Say that you have seen it").click()
    looks_right(page, beside)
    title = {"north": "READY TO PACKAGE: north-1", "attic": "attic-1 has stalled"}[vessel]
    mine = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name=title))
    mine.get_by_role("button", name="I have seen it").click()
    page.get_by_role("heading", name="Alerts").wait_for()
    assert mine.get_by_role("button").count() == 0
    looks_right(page, beside)
    page.goto(f"/vessel/{vessel}")
    assert "Still so" in page.locator("#alerts").inner_text()
    page.context.close()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_sheet_is_shown_and_the_files_are_kept(browser: Browser, card: Served, size: tuple[int, int]) -> None:
    page = opened(browser, card, size)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto("/batch/north-1")
    page.get_by_role("link", name="Batch sheet, to print").click()
    page.get_by_role("heading", name="north-1").wait_for()
    assert page.locator("header").bounding_box() is not None
    assert all(url.startswith(card.url) for url in asked)
    assert said == []
    page.goto("/batch/east-1")
    for name, file in (("Calendar", "ics"), ("Readings as CSV", "csv"), ("Readings as Parquet", "parquet")):
        with page.expect_download() as download:
            page.get_by_role("link", name=name).click()
        assert download.value.suggested_filename == f"east-1.{file}"
    page.context.close()
