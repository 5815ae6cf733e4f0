"""The pages of all vessels and of one, in a real browser on a phone and on a screen, light and dark."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Served = Any  # the fixture's class lives in conftest.py
Scheme = Literal["light", "dark"]

AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""WCAG 2.2, levels A and AA, as the engine names them."""
FITS = """() => [...document.querySelectorAll('body *')].filter(each => {
    const at = each.getBoundingClientRect(), shown = at.width && at.height && !each.closest('.skip, .unseen, .said');
    const folded = each.closest('details:not([open]) > :not(summary)');
    return shown && !folded && (at.right > innerWidth + 0.5 || at.left < -0.5);
}).map(each => each.outerHTML.slice(0, 90))"""
SMALL = """() => [...document.querySelectorAll('#card p:not(.kind), #card li, #card dd, #card td')].filter(each =>
    each.offsetParent && !each.closest('#curve') && each.innerText.trim()
    && parseFloat(getComputedStyle(each).fontSize) < 17
).map(each => each.outerHTML.slice(0, 90))"""
MARKS = {
    "usual/vessel/north": ("smooth", "band", "hourly", "passed", "end", "held", "temp"),
    "usual/vessel/yard": ("cold",),
    "usual/vessel/east": ("foreseen", "now"),
    "odd/vessel/hostile": ("tick", "aside"),
    "odd/vessel/by-hand": ("sample", "whisker"),
}
"""What is drawn on the curve of each."""
UNDRAWN = """names => {
    const [plot] = [...document.querySelectorAll('#curve svg[data-plot]')].filter(each => each.checkVisibility());
    const drawn = mark => {
        const at = mark.getBoundingClientRect(), whole = plot.getBoundingClientRect();
        return at.width + at.height > 1 && at.left > whole.left - 1 && at.right < whole.right + 1;
    };
    return names.filter(name => ![...plot.querySelectorAll(`.${name}`)].some(drawn));
}"""
"""Those of the marks that the drawing in sight does not show."""
TOLD = """([each, parts]) => [...document.querySelectorAll(each)].map(one => parts.map(part => {
    const said = one.querySelector(part), at = said?.getBoundingClientRect();
    return at && said.checkVisibility() && at.left >= 0 && at.right <= innerWidth ? said.innerText.trim() : '';
}))"""
"""The words of these parts of each, where they are in sight."""
OPACITY = "name => getComputedStyle(document.querySelector(name)).opacity"
LOW = """() => [...document.querySelectorAll('.top a, .acts a, .vessel h3 a, summary, select, button')].filter(each =>
    each.offsetParent && each.getBoundingClientRect().height < 43.5
).map(each => each.outerHTML.slice(0, 90))"""


class Cards(NamedTuple):
    """The cards of the usual cellar and of the odd one."""

    usual: str
    odd: str

    @property
    def every(self) -> list[str]:
        """A page of each kind."""
        usual = ["", *(f"vessel/{name}" for name in ("stairs", "loft", "north", "yard", "east"))]
        odd = ["", *(f"vessel/{name}" for name in ("unproved", "split", "by-hand", "hostile"))]
        return [f"usual/{path}" for path in usual] + [f"odd/{path}" for path in odd]

    def url(self, path: str) -> str:
        """Of a page of one of the two."""
        cellar, _, rest = path.partition("/")
        return f"{getattr(self, cellar)}/{rest}"


@pytest.fixture(scope="module")
def cards(
    kept_cellar: Path, odd_cellar: Path, served_with: Callable[..., AbstractContextManager[Served]]
) -> Iterator[Cards]:
    with ExitStack() as stack:
        yield Cards(*(stack.enter_context(served_with(book)).url for book in (kept_cellar, odd_cellar)))


@pytest.fixture(scope="module")
def phone(browser: Browser) -> Iterator[Page]:
    with browser.new_context(viewport={"width": 360, "height": 800}) as context:
        yield context.new_page()


@pytest.mark.no_cover
def test_nothing_reaches_beyond_the_side_and_all_is_large_enough(phone: Page, cards: Cards) -> None:
    said: list[str] = []
    phone.on("console", lambda message: said.append(message.text))
    phone.on("request", lambda request: said.append(request.url) if "://127.0.0.1:" not in request.url else None)
    for path in cards.every:
        phone.set_viewport_size({"width": 360, "height": 800})
        phone.goto(cards.url(path))
        assert phone.evaluate(LOW) == [], path
        assert phone.evaluate(SMALL) == [], path
        for width in (360, 320, 1280):
            phone.set_viewport_size({"width": width, "height": 800})
            assert phone.evaluate(FITS) == [], (path, width)
            assert phone.evaluate("document.documentElement.scrollWidth") <= width, (path, width)
            if path in MARKS:
                assert phone.evaluate(UNDRAWN, [*MARKS[path], "lacking"]) == ["lacking"], (path, width)
    assert said == []


@pytest.mark.no_cover
def test_each_vessel_worst_first_and_each_check_is_told_at_every_width(phone: Page, cards: Cards) -> None:
    vessel = [".vessel", ["h3", ".verdict", ".more > p", ".ahead", "time.heard"]]
    check = [".check", ["h3", ".what p", "dd", "div + div dd", ".since dd", ".seen > p", ".seen > .beside"]]
    for width in (360, 1280):
        phone.set_viewport_size({"width": width, "height": 800})
        phone.goto(cards.usual)
        told = [each for each in phone.evaluate(TOLD, vessel) if each[0] != "loft"]  # which has no batch
        assert [name for name, *_ in told] == ["stairs", "attic", "yard", "north", "east", "south", "pantry"]
        begins = ["moving again", "stalled", "too cold", "ready", "holding", "fermenting", "lag"]
        assert all(verdict.startswith(word) for (_, verdict, *_), word in zip(told, begins, strict=True))
        assert all(all(words) for words in told)
        tops = phone.evaluate("[...document.querySelectorAll('.vessel')].map(each => each.getBoundingClientRect().top)")
        assert tops == sorted(tops)

        phone.goto(f"{cards.usual}/vessel/north")
        faint, plain = (float(phone.evaluate(OPACITY, f"#curve .{name}")) for name in ("hourly", "smooth"))
        assert faint < 0.7 < plain == 1.0  # each reading, and what is believed
        answer = phone.evaluate(TOLD, ["#answer", [".word", ".verdict", ".beside"]])
        assert answer[0][0] == "Yes"
        assert answer[0][1].startswith("ready since ")
        assert answer[0][2].startswith("As of ")
        checks = phone.evaluate(TOLD, check)
        assert len(checks) == 7
        assert all(all(words) for words in checks), checks
        assert "Before sealing, confirm" in phone.evaluate(TOLD, ["#next", [".body > p"]])[0][0]
        assert all(all(words) for words in phone.evaluate(TOLD, [".pressures tbody tr", ["th", "td", "td + td"]]))
        assert phone.locator(".pressures tbody tr").count() >= 4


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("width", "scheme", "paths"),
    [(360, "dark", ["usual/", "odd/vessel/unproved"]), (1280, "light", ["odd/", "usual/vessel/north"])],
)
def test_no_rule_of_accessibility_is_broken(
    browser: Browser, cards: Cards, width: int, scheme: Scheme, paths: list[str]
) -> None:
    with browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme) as context:
        page = context.new_page()
        for path in paths:
            page.goto(cards.url(path))
            page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
            page.evaluate(AXE)
            found = page.evaluate(f"axe.run({{runOnly: {RULES}}})")
            broken = [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in found["violations"]]
            assert broken == [], path
            assert "color-contrast" in {rule["id"] for rule in found["passes"]}


def test_once_its_style_is_there_all_of_a_page_is_laid_out(phone: Page, cards: Cards) -> None:
    phone.goto(f"{cards.usual}/vessel/stairs")
    first, rest = phone.evaluate(
        """() => [document.styleSheets[0].cssRules[0].cssText,
            [...document.querySelectorAll('.part')].map(each => getComputedStyle(each).contentVisibility)]"""
    )
    assert first == ".part { content-visibility: auto; }"
    assert len(rest) > 10
    assert set(rest) == {"visible"}


@pytest.mark.parametrize("width", [360, 1280])
def test_everything_that_opens_does_so_by_keyboard(phone: Page, cards: Cards, width: int) -> None:
    phone.set_viewport_size({"width": width, "height": 800})
    phone.goto(f"{cards.usual}/vessel/north")
    phone.keyboard.press("Tab")
    assert phone.evaluate("document.activeElement.className") == "skip"
    phone.keyboard.press("Enter")
    assert phone.evaluate("document.activeElement.id") == "card"
    closed = phone.locator("details:not([open])").count()
    assert closed >= 11
    for _ in range(80):
        phone.keyboard.press("Tab")
        if phone.evaluate("document.activeElement.localName") == "summary":
            assert phone.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
            phone.keyboard.press("Enter")
        elif phone.evaluate("document.activeElement === document.body"):
            break
    assert phone.locator("details:not([open])").count() == 0
    assert phone.locator("#was-0").get_by_text("believable", exact=True).is_visible()


def test_another_container_is_chosen_without_script(browser: Browser, cards: Cards) -> None:
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(f"{cards.usual}/vessel/north")
        for width, container in ((1280, "plastic"), (360, "keg")):
            page.set_viewport_size({"width": width, "height": 800})
            page.get_by_label("Closed in").select_option(container)
            page.get_by_role("button", name="Show").click()
            assert page.url == f"{cards.usual}/vessel/north?container={container}#sealed"
            assert page.get_by_label("Closed in").input_value() == container
        assert "A keg needs a relief valve" in page.locator("#sealed").inner_text()


def test_landmarks_and_names_are_there_for_who_hears_the_page(phone: Page, cards: Cards) -> None:
    phone.goto(f"{cards.usual}/vessel/stairs")
    for width in (360, 1280):
        phone.set_viewport_size({"width": width, "height": 800})
        assert phone.get_by_role("main").count() == 1
        assert phone.get_by_role("navigation", name="Pages").get_by_role("link").count() == 4
        assert phone.get_by_role("region", name="If sealed today").get_by_role("table").count() == 1
        assert phone.get_by_role("heading", level=1).inner_text() == "May stairs-1 be packaged?"
        assert phone.get_by_role("img", name="Gravity").count() == 1  # of two drawings the one that is shown
    assert phone.title() == "No: stairs-1"


def test_on_paper_only_what_is_told_is_printed(phone: Page, cards: Cards) -> None:
    phone.goto(f"{cards.usual}/vessel/stairs")
    phone.emulate_media(media="print", color_scheme="dark")
    try:
        assert phone.locator(".top").is_hidden()
        assert phone.locator("#sealed form").is_hidden()
        assert phone.locator("#answer").is_visible()
        assert (
            phone.evaluate("getComputedStyle(document.querySelector('#card')).backgroundColor") == "rgb(255, 255, 255)"
        )
        assert phone.evaluate("getComputedStyle(document.querySelector('h1')).color") == "rgb(0, 0, 0)"
    finally:
        phone.emulate_media(media="screen", color_scheme="light")
