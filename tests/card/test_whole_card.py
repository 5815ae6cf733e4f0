"""Every page of the card in a real browser, found by walking its addresses so that a new one is held, too.

At phone and desktop width, light and dark: no rule of accessibility broken, nothing that scrolls sideways, no word on
the console, nothing asked for elsewhere; and all of it done by keyboard alone.
"""

from __future__ import annotations

import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from functools import partial
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest
from starlette.applications import Starlette
from starlette.routing import Route as Address

from lullwort.card import Desk, Tended, card_app
from lullwort.cellarbook import open_book
from lullwort.collector import HttpSettings
from lullwort.records import Alert
from lullwort.settings import Settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

Served = Any  # the fixture's class lives in conftest.py

PHONE: Any = {"width": 360, "height": 740}
DESK: Any = {"width": 1280, "height": 800}
AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""WCAG 2.2, levels A and AA, as the engine names them."""
OPENED = "document.querySelectorAll('details:not(#curve-values)').forEach(each => { each.open = true })"
"""All but the table of the curve's values, which is long, alike, and looked at in the curve's own tests."""
BY_SIZE = ["color-contrast", "target-size", "scrollable-region-focusable"]
"""Those of them that depend on how large a page is shown, and in which colours."""
MOVES = """() => [...document.querySelectorAll('*')].filter(each => {
    const look = getComputedStyle(each);
    return /[1-9]/.test(look.transitionDuration + look.animationDuration) || look.scrollBehavior === 'smooth';
}).map(each => each.outerHTML.slice(0, 90))"""
WIDE = ("/", "/vessel/north", "/batch/north-1/note")
"""Pages that show other things, or the same elsewhere, on a wide screen."""
NO_PAGE = ("/live", "/batch/north-1/curve")
"""A stream, and a part of a page that its script asks for."""
FILES = (".csv", ".parquet", ".ics")

CONTROLS = "a[href], button, input:not([type=hidden]), select, textarea, summary"
NAMELESS = """controls => [...document.querySelectorAll(controls)]
    .filter(each => each.checkVisibility())
    .filter(each => !(each.innerText || each.value || each.ariaLabel || each.labels?.length || each.title))
    .map(each => each.outerHTML.slice(0, 90))"""
REACHABLE = """controls => {
    const all = [...document.querySelectorAll(controls)];
    window.reachable = all.filter(each => each.checkVisibility() && !each.disabled && each.tabIndex >= 0);
    document.activeElement.blur();
    getSelection().removeAllRanges();
    return window.reachable.length;
}"""
"""A group of radio buttons is one stop [HTML, section 6.6.3]: of each group the first counts."""
FOCUSED = """() => new Promise(done => requestAnimationFrame(() => {  // after it has come into sight
    const at = document.activeElement;
    if (at === document.body) return done([null, true, '']);
    const look = getComputedStyle(at), box = at.getBoundingClientRect();
    const line = look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 1.5;
    const seen = line || at.matches('.skip, [type^=date], [type=time]');
    const inside = box.bottom > 0 && box.top < innerHeight;
    done([window.reachable.indexOf(at), seen && inside, at.outerHTML.slice(0, 90)]);
}))"""
"""What has the focus, and whether that shows; a field of a date shows it at its own parts."""


class Card(NamedTuple):
    """The card at work, and the address of each page."""

    url: str
    pages: tuple[str, ...]


def app_of(card: object) -> Starlette:
    while not isinstance(card, Starlette):  # something stands between the two
        card = next(part for part in vars(card).values() if callable(part))
    return card


def addresses(book: Path) -> list[str]:
    """All that can be asked for, each made for what is in north."""
    desk = Desk(partial(open_book, book, create=False), lambda: Tended({}, ""), lambda: 0)
    try:
        settings = Settings(book=book, gravity="sg", temperature="C", zone="UTC", http=HttpSettings())
        routes = app_of(card_app(settings, desk)).routes
    finally:
        desk.close()
    paths = [route.path for route in routes if isinstance(route, Address) and "GET" in (route.methods or ())]
    return [path.replace("{vessel}", "north").replace("{batch}", "north-1") for path in paths]


def is_page(url: str) -> bool:
    try:
        with urllib.request.urlopen(url, timeout=30.0) as answer:
            return str(answer.headers["Content-Type"]).startswith("text/html")
    except urllib.error.HTTPError as refused:
        if refused.code not in (403, 404):  # of what is not there, as a file that nobody has sent
            raise
        return False


@pytest.fixture(scope="module")
def card(
    kept_cellar: Path,
    tmp_path_factory: pytest.TempPathFactory,
    card_of: Callable[..., AbstractContextManager[Served]],
) -> Iterator[Card]:
    path = tmp_path_factory.mktemp("whole") / "cellar.book"
    path.write_bytes(kept_cellar.read_bytes())
    with open_book(path) as book:
        newest_us = book.newest_us("north") or 0
        told = Alert(
            kind="ready", about="north-1", on=True, at_us=newest_us, vessel="north", batch="north-1",
            title="READY TO PACKAGE: north-1", says="It holds still.",
        )  # fmt: skip
        book.outbox.put([told], [], newest_us)
    with card_of(path) as served:
        walked = [each for each in addresses(path) if each not in NO_PAGE and not each.endswith(FILES)]
        pages = [each for each in walked if "{" not in each and is_page(f"{served.url}{each}")]
        assert {"/", "/vessel/north", "/batch/north-1", "/vessel/north/open", "/batch/north-1/note"} <= {*pages}
        yield Card(served.url, (*pages, "/vessel/loft", "/nothing"))


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    """Without motion: what has the focus is in sight at once."""
    with browser.new_context(viewport=PHONE, reduced_motion="reduce") as context:
        context.route("**/sheet", in_no_sandbox)
        yield context.new_page()


def in_no_sandbox(route: Route) -> None:
    """A page in a sandbox runs no script, the engine's neither: this one is looked at without it."""
    answer = route.fetch()
    kept = {name: says for name, says in answer.headers.items() if name != "content-security-policy"}
    route.fulfill(response=answer, headers=kept)


def broken(page: Page, rules: list[str]) -> list[tuple[str, str]]:
    """Rules of the engine that the page breaks as it is shown now, each with an element that does."""
    kind = "tag" if rules is RULES else "rule"
    found = page.evaluate(f"axe.run({{runOnly: {{type: '{kind}', values: {rules}}}, resultTypes: ['violations']}})")
    return [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in found["violations"]]


@pytest.mark.no_cover
def test_no_page_breaks_a_rule_of_accessibility_or_scrolls_aside(page: Page, card: Card) -> None:
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(f"{page.url}: {message.text}"))
    page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
    page.on("request", lambda request: asked.append(request.url))
    for path in card.pages:
        page.set_viewport_size(PHONE)
        page.emulate_media(color_scheme="dark")
        page.goto(f"{card.url}{path}")
        page.evaluate(OPENED)
        page.evaluate(AXE)
        for size, first, then in ((PHONE, "dark", "light"), (DESK, "light", "dark")):
            page.set_viewport_size(size)
            assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], path
            assert page.evaluate(NAMELESS, CONTROLS) == [], path
            assert page.evaluate(MOVES) == [], path
            rules = RULES if size is PHONE or path in WIDE else BY_SIZE
            assert broken(page, rules) == [], (path, size, first)
            page.emulate_media(color_scheme=then)  # type: ignore[arg-type]
            assert broken(page, ["color-contrast"]) == [], (path, size, then)
    page.emulate_media(reduced_motion="no-preference")
    page.goto(f"{card.url}/vessel/north")
    assert any('id="curve-figure"' in each for each in page.evaluate(MOVES))  # or nothing was looked at
    page.emulate_media(reduced_motion="reduce")
    assert [line for line in said if "/nothing" not in line] == []  # the browser itself writes down a 404
    assert [url for url in asked if not url.startswith((f"{card.url}/", "data:"))] == []


@pytest.mark.no_cover
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_is_gone_through_by_keyboard(page: Page, card: Card, size: Any) -> None:
    page.set_viewport_size(size)
    for path in card.pages if size is PHONE else WIDE:
        page.goto(f"{card.url}{path}")
        count = page.evaluate(REACHABLE, CONTROLS)
        assert count or path.endswith("/sheet"), path  # which is there to be printed
        reached: list[int] = []
        for _ in range(count + 20):
            page.keyboard.press("Tab")
            nth, seen, shown = page.evaluate(FOCUSED)
            if nth is None or (nth == 0 and reached):  # out of the page, or round to its beginning
                break
            assert seen, (path, shown)
            reached += [nth] if nth >= 0 else []
        else:
            raise AssertionError(f"{path}: the keyboard does not get out of {shown}")
        missed = page.evaluate(
            "reached => window.reachable.filter((each, nth) => each.type !== 'radio' && !reached.includes(nth))"
            ".map(each => each.outerHTML.slice(0, 200))",
            reached,
        )
        assert missed == [], path
        assert reached == sorted(reached), path
