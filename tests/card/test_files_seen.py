"""Files and alerts in a real browser that runs no script, on a phone and on a desk; and what axe says of each page."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from lullwort.cellarbook import open_book
from lullwort.records import Alert

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.usefixtures("unmeasured"), pytest.mark.no_cover]

Served = Any  # its class lives in conftest.py
PHONE, DESK = (360, 740), (1280, 800)
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


def looks_right(page: Page) -> None:
    """Nothing is cut off at its side, and axe, which needs script, finds nothing that keeps anybody out."""
    size = page.viewport_size
    assert page.context.browser is not None
    beside = page.context.browser.new_context(viewport=size, bypass_csp=True)
    look = beside.new_page()
    look.goto(page.url)
    assert look.evaluate("document.documentElement.scrollWidth <= innerWidth"), page.url
    found = Axe().run(look)
    assert found.violations_count == 0, found.generate_report()
    beside.close()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_log_is_looked_at_first_and_then_stored(
    browser: Browser, card: Served, tmp_path: Path, size: tuple[int, int]
) -> None:
    page = opened(browser, card, size)
    page.goto("/import")
    looks_right(page)
    path = tmp_path / f"keller-{size[0]}.csv"
    rows = [f"{13 + n // 24:02d}.03.2026;{n % 24:02d}:00;{129 - n // 3:03d};19,3" for n in range(30)]
    rows = [f"{day};{hour};{level[:2]},{level[2:]};{rest}" for day, hour, level, rest in (r.split(";") for r in rows)]
    path.write_text("\n".join(["Datum;Uhrzeit;Restextrakt [°P];Temperatur", *rows, "14.03.2026;07:00;viel;19,3", ""]))
    page.get_by_label("File").set_input_files(path)
    page.get_by_role("button", name="Show how it would be read").click()
    page.get_by_role("heading", name="Doubtful, and not guessed").wait_for()
    looks_right(page)
    page.get_by_label("Vessel (may stay empty)", exact=True).fill(f"keller-{size[0]}")
    page.get_by_label("Zone of the times").fill("Europe/Berlin")
    page.get_by_role("button", name="Read it again").click()
    page.get_by_text("Nothing is doubtful.").wait_for()
    assert page.get_by_role("cell", name="viel", exact=True).is_visible()
    looks_right(page)
    page.get_by_role("button", name="Store 30 readings").click()
    page.get_by_text("30 stored").wait_for()
    looks_right(page)
    page.get_by_role("link", name="withdraw import").click()
    looks_right(page)
    page.get_by_role("link", name="Leave it as it is").click()
    assert page.get_by_role("link", name=f"Withdraw {path.name}").is_visible()
    looks_right(page)
    page.context.close()


@pytest.mark.parametrize(("size", "vessel"), [(PHONE, "north"), (DESK, "attic")], ids=["phone", "desk"])
def test_an_alert_is_seen(browser: Browser, card: Served, size: tuple[int, int], vessel: str) -> None:
    page = opened(browser, card, size)
    page.goto(f"/vessel/{vessel}")
    page.locator("#alerts summary").click()
    page.get_by_role("link", name="Say that you have seen it").click()
    looks_right(page)
    title = {"north": "READY TO PACKAGE: north-1", "attic": "attic-1 has stalled"}[vessel]
    page.get_by_role("button", name=f"I have seen it: {title}").click()
    assert page.get_by_role("button", name=f"I have seen it: {title}").count() == 0
    looks_right(page)
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
    page.get_by_role("link", name="Batch sheet").click()
    page.get_by_role("heading", name="north-1").wait_for()
    assert page.locator("header").bounding_box() is not None
    assert all(url.startswith(card.url) for url in asked)
    assert said == []
    page.goto("/batch/east-1")
    for name, file in (("Calendar", "east-1.ics"), ("Readings as CSV", "east-1.csv")):
        with page.expect_download() as download:
            page.get_by_role("link", name=name).click()
        assert download.value.suggested_filename == file
    page.context.close()
