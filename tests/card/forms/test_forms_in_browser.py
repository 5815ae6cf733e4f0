"""What needs hands, done in a real browser: on a phone without any script, and at a desk by the keyboard alone.

Each form is sent both ways.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Batch

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.no_cover, pytest.mark.usefixtures("unmeasured")]
Served = Any  # the fixture's class lives in conftest.py

AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE: Any = {"width": 360, "height": 780}
DESK: Any = {"width": 1280, "height": 900}
FORMS = (
    "/open",
    "/batch/stairs-1/edit",
    "/batch/east-1/close",
    "/batch/stairs-1/note",
    "/batch/stairs-1/sample",
    "/units",
)

UNHANDY = """width => [...document.querySelectorAll("main input, main select, main button, summary")]
    .map(one => [one, one.getBoundingClientRect()])
    .filter(([one, box]) => one.type !== "hidden" && box.height)
    .filter(([one, box]) => box.right > width || box.height < (one.type === "checkbox" ? 24 : 44))
    .map(([one]) => one.outerHTML)"""
"""What is tapped and is too small for a finger, or wider than the phone; a box is tapped by its label, too."""


@pytest.fixture
def served_own(own_cellar: Path, served_with: Callable[..., AbstractContextManager[Served]]) -> Iterator[Served]:
    with served_with(own_cellar) as at_work:
        yield at_work


def batch(path: Path, name: str) -> Batch:
    with open_book(path, create=False) as book:
        return book.batches.get(name)


def send(page: Page) -> None:
    with page.expect_navigation():
        page.locator(".send button").click()


def stands_beside(page: Page, field: str) -> bool:
    """Whether what is wrong stands next to its field, or to the words of its box, on a phone and at a desk."""
    gaps_px = []
    for size in (DESK, PHONE):
        page.set_viewport_size(size)
        shown = page.locator(f'#f-{field}, label[for="f-{field}"]').all()
        wrong, *near = (one.bounding_box() for one in (page.locator(f"#f-{field}-wrong"), *shown))
        assert wrong is not None
        assert 0.0 <= wrong["x"] <= wrong["x"] + wrong["width"] <= size["width"]
        away = [
            max(box["y"] - wrong["y"] - wrong["height"], wrong["y"] - box["y"] - box["height"]) for box in near if box
        ]
        gaps_px.append(min(away))
    return 0.0 <= min(gaps_px) <= max(gaps_px) < 30.0


def test_on_a_phone_without_script_all_can_be_done(browser: Browser, own_cellar: Path, served_own: Served) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False, base_url=served_own.url)
    page = context.new_page()
    page.goto("/units?from=/vessel/south")
    for name, value in {"gravity": "plato", "temperature": "F", "decimal": "comma"}.items():
        page.select_option(f"#f-{name}", value)
    send(page)
    assert "/vessel/south?told=" in page.url
    assert "those units from now on" in page.locator("#told").inner_text()

    # A sample in those units; first with a slip, which comes back beside its field, and with what was typed.
    page.goto("/batch/south-1/sample")
    assert "(°P)" in page.locator('label[for="f-gravity"]').inner_text()
    page.fill("#f-gravity", "1,030")
    page.fill("#f-temperature", "68")
    page.fill("#f-at", "2026-03-26T01:00")
    send(page)
    wrong = page.locator("#f-gravity-wrong")
    assert "1,030 reads as SG: write 1,030SG, or 1,03P where degrees Plato are meant" in wrong.inner_text()
    assert stands_beside(page, "gravity")
    assert page.locator("#f-temperature").input_value() == "68"
    assert page.locator(":focus").get_attribute("id") == "faults"
    page.fill("#f-gravity", "11,2")
    send(page)
    assert "/vessel/south?told=" in page.url
    assert "11,20 °P read at 68,0 °F" in page.locator("#told").inner_text()
    assert [round(event.temperature_c or 0.0, 3) for event in batch(own_cellar, "south-1").events] == [20.0]

    # An event, and a batch in a vessel that has readings only.
    page.goto("/batch/south-1/note")
    page.select_option("#f-kind", "dry hop")
    page.fill("#f-at", "2026-03-26T02:00")
    page.fill("#f-words", "50 g, <b>late</b>")
    send(page)
    page.goto("/batch/south-1/note")
    assert "dry hop Thu 26 Mar 2026 02:00 UTC: 50 g, <b>late</b>" in page.locator(".notes").inner_text()
    page.goto("/vessel/loft/open")
    page.fill("#f-pitched", "2026-06-01T10:00")
    page.fill("#f-original-gravity", "14,9")
    send(page)
    assert "loft-2026-06-01" in page.locator("h1").inner_text()

    # Closing what is not proved: the danger, the box, the verdict afterwards.
    page.goto("/batch/east-1/close")
    danger, button = page.locator("p.danger"), page.locator(".send button")
    above, below = danger.bounding_box(), button.bounding_box()
    assert above is not None
    assert below is not None
    assert above["y"] < below["y"]
    page.fill("#f-packaged", "2026-07-25T06:00")
    page.fill("#f-moved", "17,5L")
    send(page)
    assert "Tick it" in page.locator("#f-known-wrong").inner_text()
    assert stands_beside(page, "known")
    page.check("#f-known")
    send(page)
    assert "It was not proved that this beer had ended" in page.locator("#told p.danger").inner_text()
    assert batch(own_cellar, "east-1").packaging_day.moved_l == pytest.approx(17.5)
    context.close()


def comes_to_focus(page: Page, name: str) -> None:
    """What a page begins with has the focus by its first picture, which may be after it is loaded."""
    page.wait_for_function("name => document.activeElement.id === name", arg=name, timeout=20_000)


def by_keyboard(page: Page) -> None:
    """Send the form, and read what was done of it."""
    page.locator(".send button").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    comes_to_focus(page, "told")


def test_at_a_desk_the_keyboard_is_enough_and_every_form_is_accessible(
    browser: Browser, own_cellar: Path, served_own: Served
) -> None:
    context = browser.new_context(viewport=DESK, color_scheme="dark", base_url=served_own.url)
    page = context.new_page()

    def accessible(rules: list[str] = RULES) -> None:
        for folded in page.locator("details").all():
            folded.evaluate("one => one.open = true")
        page.evaluate(AXE)
        found = page.evaluate(f"axe.run({{runOnly: {rules}}})")["violations"]
        assert [(one["id"], [node["html"] for node in one["nodes"]]) for one in found] == []

    for path in FORMS:
        page.goto(path)
        accessible(RULES if path.endswith("/close") else RULES[-1:])  # each page is looked at by the others elsewhere
        page.set_viewport_size(PHONE)
        assert page.evaluate(UNHANDY, PHONE["width"]) == []
        page.set_viewport_size(DESK)

    # In order: the way past what every page has, the fields as they stand, what is folded up, the button.
    page.goto("/batch/stairs-1/sample")
    seen = []
    for _ in range(24):
        page.keyboard.press("Tab")
        seen.append(page.evaluate("document.activeElement.id || document.activeElement.tagName"))
        if seen[-1] == "BUTTON":
            break
    fields = [one for one in dict.fromkeys(seen) if one.startswith("f-") or one in ("SUMMARY", "BUTTON")]
    assert fields == ["f-gravity", "f-temperature", "f-with", "f-at", "SUMMARY", "BUTTON"]

    # What is wrong is focused first, its link goes to the field, and return sends it.
    page.locator("#f-gravity").focus()
    page.keyboard.type("1052")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    comes_to_focus(page, "faults")
    assert page.title().startswith("Not done: ")
    accessible()
    page.locator("#faults").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "f-gravity"
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("1.012")
    page.fill("#f-at", "2026-08-05T10:00")
    page.locator("#f-gravity").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    comes_to_focus(page, "told")
    assert [event.gravity for event in batch(own_cellar, "stairs-1").events if event.kind == "sample"] == [1.012]

    # And it is taken back, once that is confirmed.
    page.goto("/batch/stairs-1/note")
    taken = page.get_by_role("link", name="take back sample of Wed 5 Aug 2026 10:00 UTC")
    taken.focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    accessible()
    page.locator(".send button").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "taken back from stairs-1" in page.locator("#told").inner_text()
    assert not [event for event in batch(own_cellar, "stairs-1").events if event.kind == "sample"]

    # The other forms; the units last, for nothing more is read in the old ones.
    page.goto("/batch/south-1/note")
    page.locator("#f-kind").focus()
    page.keyboard.type("dry hop")
    page.fill("#f-at", "2026-03-26T02:00")
    page.locator("#f-words").focus()
    page.keyboard.type("50 g")
    by_keyboard(page)
    assert [(event.kind, event.note) for event in batch(own_cellar, "south-1").events] == [("dry hop", "50 g")]
    page.goto("/vessel/loft/open")
    page.fill("#f-pitched", "2026-06-01T10:00")
    page.locator("#f-original-gravity").focus()
    page.keyboard.type("1.060")
    by_keyboard(page)
    assert batch(own_cellar, "loft-2026-06-01").original_gravity == pytest.approx(1.060)
    page.goto("/batch/east-1/close")
    page.fill("#f-packaged", "2026-07-25T06:00")
    page.locator("#f-known").focus()
    page.keyboard.press("Space")
    by_keyboard(page)
    assert batch(own_cellar, "east-1").packaged_us is not None
    page.goto("/units?from=/vessel/south")
    page.locator("#f-gravity").focus()
    page.keyboard.press("ArrowDown")
    by_keyboard(page)
    assert "°P" in page.locator("#ledger").inner_text()
    context.close()
