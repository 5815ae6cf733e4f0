"""The curve in a real browser: values read off by mouse, finger and keys, parts shown larger by each way, and back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from playwright.sync_api import Browser, FloatRect, Page, expect

Served = Any  # the fixture's class lives in conftest.py

PHONE, WIDE = 360, 1280
READ = re.compile(r"^\d+ \w{3} \d\d:\d\d: gravity 1\.\d{4} \(1\.\d{4} to 1\.\d{4}\); read 1\.\d{4}.*°C")


@contextmanager
def opened(browser: Browser, url: str, width: int, **how: Any) -> Iterator[Page]:
    """A page in a browser of this width, in which nothing may go wrong."""
    context = browser.new_context(viewport={"width": width, "height": 800}, **how)
    page, wrong = context.new_page(), list[str]()
    page.on("console", lambda message: wrong.append(message.text))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.set_default_timeout(5000)
    try:
        page.goto(url)
        yield page
        assert wrong == []
    finally:
        context.close()


def picture(page: Page) -> FloatRect:
    """Where the drawing that is shown lies."""
    (shown,) = [svg for svg in page.locator("#curve svg[data-plot]").all() if svg.is_visible()]
    shown.scroll_into_view_if_needed()
    box = shown.bounding_box()
    assert box is not None
    return box


def says(page: Page) -> str:
    return page.locator("#curve-reads").inner_text()


def query(page: Page) -> str:
    return page.locator("#curve").get_attribute("data-query") or ""


def expect_query(page: Page, pattern: str) -> None:
    expect(page.locator("#curve")).to_have_attribute("data-query", re.compile(pattern))


def test_letters_are_large_enough_at_every_width_and_one_drawing_is_shown(browser: Browser, served: Served) -> None:
    with opened(browser, f"{served.url}/vessel/north", PHONE) as page:
        for width in (320, 360, 600, 768, 900, 1280, 1400):
            page.set_viewport_size({"width": width, "height": 800})
            assert len([svg for svg in page.locator("#curve svg[data-plot]").all() if svg.is_visible()]) == 1
            letters = page.evaluate(
                """() => [...document.querySelectorAll('#curve svg[data-plot]')].flatMap(svg => {
                    const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
                    const shown = scale ? [...svg.querySelectorAll('text')] : [];
                    return shown.map(text => parseFloat(getComputedStyle(text).fontSize) * scale);
                })"""
            )
            assert 11.0 <= min(letters) <= max(letters) < 22.0, (width, min(letters), max(letters))  # [px] as shown
            assert page.evaluate("document.getElementById('curve').scrollWidth <= innerWidth")


@pytest.mark.parametrize("width", [PHONE, WIDE])
def test_values_are_read_off_and_the_span_is_chosen_by_mouse(browser: Browser, served: Served, width: int) -> None:
    with opened(browser, f"{served.url}/vessel/north", width) as page:
        box = picture(page)
        assert page.evaluate("document.getElementById('curve').scrollWidth <= innerWidth")
        page.mouse.move(box["x"] + 0.4 * box["width"], box["y"] + 0.4 * box["height"])
        first = says(page)
        assert READ.match(first), first
        assert page.locator("#curve .hair").count() == 2  # one in each drawing, of which one is shown
        page.mouse.move(box["x"] + 0.6 * box["width"], box["y"] + 0.4 * box["height"])
        assert says(page) != first

        page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.4 * box["height"])
        page.mouse.down()
        page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + 0.4 * box["height"], steps=4)
        expect(page.locator("#curve .chosen")).to_have_count(1)
        page.mouse.up()
        expect_query(page, r"^\?from=\d+&to=\d+$")
        chosen = query(page)
        assert chosen.removeprefix("?") in page.url  # so that it is kept where the page is loaded anew
        box = picture(page)
        page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.4 * box["height"])
        assert READ.match(says(page))

        page.mouse.wheel(0, -200)  # which scrolls, for no other key is held
        assert query(page) == chosen
        box = picture(page)
        page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.4 * box["height"])
        page.keyboard.down("Shift")
        page.mouse.wheel(0, -200)
        page.keyboard.up("Shift")
        expect(page.locator("#curve")).not_to_have_attribute("data-query", chosen)
        expect_query(page, r"^\?from")
        page.locator("#curve-figure").press("Escape")
        expect(page.locator("#curve")).to_have_attribute("data-query", chosen)
        page.locator("#curve-figure").press("Escape")
        expect_query(page, "^$")


def test_the_script_writes_numbers_as_the_brewer_reads_them(browser: Browser, served: Served) -> None:
    with opened(browser, f"{served.url}/vessel/north", WIDE) as page:
        said = page.evaluate(
            """() => {
                const figure = document.getElementById('curve-figure');
                figure.dataset.moments = JSON.stringify({
                    right: [0, 5000, 5000], down: [null, null, null], days: [["25 May", 2], ["26 May", 1]],
                    clock: [545, 60, -600], gravity: [-5, 1005, null], under: [10, null, null],
                    over: [1010, null, null], least: [null, 7, 0], more: [null, 0, 12], temp: [-4, null, 204],
                    said: {"2": "1 dry hop"}, level: "0,00 °P", degrees: "0,0 °C", cold: "read in the cold",
                });
                figure.tabIndex = -1;
                document.dispatchEvent(new Event('card:changed'));
                return ['Home', 'ArrowRight', 'End'].map(key => {
                    figure.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true}));
                    return document.getElementById('curve-reads').textContent;
                });
            }"""
        )
        assert said == [
            "25 May 09:05: gravity -0,05 °P (-0,15 to 10,05 °P); -0,4 °C",
            "25 May 10:05: gravity 10,00 °P (read in the cold); read 0,07 °P",
            "26 May 00:05: read 0,07 to 0,19 °P; 20,0 °C; 1 dry hop",
        ]


def test_all_can_be_done_by_keys(browser: Browser, served: Served) -> None:
    with opened(browser, f"{served.url}/batch/north-1", WIDE) as page:
        figure = page.locator("#curve-figure")
        figure.focus()
        assert page.locator("#curve-reads").get_attribute("aria-live") == "polite"
        said = []
        for key in ("ArrowRight", "ArrowRight", "End", "ArrowLeft", "Home", "PageDown"):
            figure.press(key)
            said.append(says(page))
        assert len(set(said)) == 5  # Home goes where the first key went
        assert said[0] == said[4]
        figure.press("+")
        expect_query(page, r"^\?from")
        expect(page.locator("#curve-figure")).to_be_focused()
        closer = query(page)
        figure.press("Shift+ArrowRight")
        expect(page.locator("#curve")).not_to_have_attribute("data-query", closer)
        expect_query(page, r"^\?from")
        figure.press("-")
        expect_query(page, "^$")  # twice as much is all there is
        figure.press("+")
        expect_query(page, r"^\?from")
        figure.press("Escape")
        expect_query(page, "^$")
        page.locator("#curve-24h").press("Enter")
        expect(page.locator("#curve")).to_have_attribute("data-query", "?span=24h")
        expect(page.locator("#curve-24h")).to_be_focused()
        assert page.locator("#curve-24h").get_attribute("aria-current") == "true"
        page.locator("#curve-whole").press("Enter")
        expect_query(page, "^$")
        page.locator("#curve-values summary").press("Enter")
        rows = page.locator("#curve-values tbody tr")
        assert rows.count() in (14, 15)
        figure.press("+")
        expect_query(page, r"^\?from")
        assert page.locator("#curve-values").evaluate("details => details.open")

        page.set_viewport_size({"width": PHONE, "height": 800})
        figure.press("Escape")
        expect_query(page, "^$")
        assert rows.first.is_visible()
        figure.press("Home")
        figure.press("ArrowRight")
        assert READ.match(says(page)), says(page)
        figure.press("+")
        expect_query(page, r"^\?from")
        page.locator("#curve-whole").press("Enter")
        expect_query(page, "^$")


def test_quick_keys_add_up_and_the_way_back_is_short(browser: Browser, served: Served) -> None:
    with opened(browser, f"{served.url}/batch/north-1?container=plastic", WIDE) as page:
        figure = page.locator("#curve-figure")
        figure.focus()
        assert "0 shows the whole" in page.locator(".curve-keys").inner_text()

        def wide_s() -> float:
            begin, end = (figure.get_attribute("data-ends") or "").split()[:2]
            return float(end) - float(begin)

        whole_s = wide_s()
        page.evaluate(PRESSED, ["+"] * 5)
        expect_query(page, r"^\?from")
        assert abs(wide_s() - whole_s / 2**5) <= 2.0
        expect(figure).to_be_focused()
        assert "container=plastic" in page.url
        figure.press("Escape")
        expect_query(page, "^$")
        page.evaluate(PRESSED, ["+", "Escape"])  # what is not shown yet is given up
        for key in "+-" * 4 + "+++":
            before = query(page)
            figure.press(key)
            expect(page.locator("#curve")).not_to_have_attribute("data-query", before)
        for _ in range(3):  # not through all that was shown before the whole was
            assert query(page) != ""
            before = query(page)
            figure.press("Escape")
            expect(page.locator("#curve")).not_to_have_attribute("data-query", before)
        assert query(page) == ""
        page.evaluate(PRESSED, ["+", "+", "Shift+ArrowRight"])
        expect_query(page, r"^\?from")
        figure.press("0")
        expect_query(page, "^$")
        assert page.url.endswith("?container=plastic")


PRESSED = """keys => keys.forEach(key => document.getElementById("curve-figure").dispatchEvent(
    new KeyboardEvent("keydown", {key: key.split("+").at(-1) || "+", shiftKey: key.startsWith("Shift+"), bubbles: true})
))"""
"""One key after the other, before anything can come of the first."""


def test_a_container_that_is_chosen_keeps_the_span_that_the_script_has_shown(browser: Browser, served: Served) -> None:
    with opened(browser, f"{served.url}/vessel/north?span=3d", WIDE) as page:
        page.locator("#curve-24h").click()
        expect(page.locator("#curve")).to_have_attribute("data-query", "?span=24h")
        page.locator("#container").select_option("plastic")
        page.locator("#sealed button").click()
        page.wait_for_url("**/vessel/north?**container=plastic**")
        assert query(page) == "?span=24h"
        page.locator("#curve-closer").click()
        expect_query(page, r"^\?from")
        assert "container=plastic" in page.url
        assert "container=plastic" in (page.locator("#curve-whole").get_attribute("href") or "")


def test_fingers_read_values_choose_a_span_on_the_axis_and_pinch(browser: Browser, served: Served) -> None:
    how: dict[str, Any] = {"has_touch": True, "is_mobile": True, "device_scale_factor": 2}
    with opened(browser, f"{served.url}/vessel/north", PHONE, **how) as page:
        box = picture(page)
        middle = box["y"] + 0.3 * box["height"]

        def at(share: float) -> float:
            return box["x"] + share * box["width"]

        page.touchscreen.tap(at(0.5), middle)
        assert READ.match(says(page)), says(page)
        touch = page.context.new_cdp_session(page)

        def send(kind: str, *points: tuple[float, float]) -> None:
            touch.send(
                "Input.dispatchTouchEvent",
                {"type": kind, "touchPoints": [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(points)]},
            )

        first = says(page)
        send("touchStart", (at(0.5), middle))
        for share in (0.55, 0.6, 0.7):
            send("touchMove", (at(share), middle))
        send("touchEnd")
        assert says(page) != first
        assert query(page) == ""

        axis = box["y"] + 0.95 * box["height"]
        send("touchStart", (at(0.4), axis))
        for share in (0.5, 0.6, 0.7):
            send("touchMove", (at(share), axis))
        send("touchEnd")
        expect_query(page, r"^\?from")
        chosen = query(page)

        box = picture(page)
        middle = box["y"] + 0.3 * box["height"]
        send("touchStart", (at(0.45), middle), (at(0.55), middle))
        for by in (0.1, 0.2, 0.3):
            send("touchMove", (at(0.45 - by), middle), (at(0.55 + by), middle))
        send("touchEnd")
        expect(page.locator("#curve")).not_to_have_attribute("data-query", chosen)
        expect_query(page, r"^\?from")
        page.locator("#curve-whole").tap()
        expect_query(page, "^$")


def test_without_script_links_show_other_spans(browser: Browser, served: Served) -> None:
    with opened(browser, f"{served.url}/vessel/north", WIDE, java_script_enabled=False) as page:
        page.locator("#curve-24h").click()
        assert page.url.endswith("/vessel/north?span=24h#curve")
        assert query(page) == "?span=24h"
        page.locator("#curve-earlier").click()
        assert re.search(r"\?from=\d+&to=\d+#curve$", page.url)
        assert page.locator("#curve svg[data-plot] .smooth").count() >= 2
        page.locator("#container").select_option("plastic")
        page.locator("#sealed button").click()
        assert re.search(r"\?from=\d+&to=\d+&container=plastic#sealed$", page.url)
        page.locator("#curve-later").click()
        assert page.locator("#container").input_value() == "plastic"
        page.set_viewport_size({"width": PHONE, "height": 800})
        page.locator("#curve-earlier").click()
        assert re.search(r"\?from=\d+&to=\d+", query(page))
        page.locator("#curve-whole").click()
        assert query(page) == ""
        assert page.url.endswith("/vessel/north?container=plastic#curve")


def test_a_figure_that_was_replaced_works_on_and_keeps_its_span(browser: Browser, served: Served) -> None:
    replaced = """async () => {
        const fresh = await (await fetch('/batch/north-1/curve')).text();
        document.getElementById('curve').outerHTML = fresh;
        document.dispatchEvent(new Event('card:changed'));
    }"""
    with opened(browser, f"{served.url}/vessel/north?span=3d", WIDE, reduced_motion="reduce") as page:
        assert query(page) == "?span=3d"
        page.evaluate(replaced)
        expect(page.locator("#curve")).to_have_attribute("data-query", "?span=3d")
        box = picture(page)
        page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.4 * box["height"])
        read = says(page)
        assert READ.match(read), read
        page.evaluate(replaced)
        expect(page.locator("#curve")).to_have_attribute("data-query", "?span=3d")
        expect(page.locator("#curve-reads")).to_have_text(read)  # the moment that was read is read still
        page.locator("#curve-figure").press("Escape")
        expect_query(page, "^$")
        assert page.locator("#curve-figure").evaluate("e => getComputedStyle(e).transitionDuration") == "0s"


def test_a_span_that_cannot_be_fetched_is_told_and_the_one_before_stays(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport={"width": WIDE, "height": 800})
    page = context.new_page()
    page.goto(f"{served.url}/vessel/north")
    page.route("**/batch/north-1/curve?**", lambda route: route.abort())
    page.locator("#curve-24h").click()
    expect(page.locator("#curve-reads")).to_contain_text("could not be fetched")
    assert query(page) == ""
    page.unroute("**/batch/north-1/curve?**")
    page.locator("#curve-24h").click()
    expect(page.locator("#curve")).to_have_attribute("data-query", "?span=24h")
    context.close()
