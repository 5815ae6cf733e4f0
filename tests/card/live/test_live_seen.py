"""In a real browser: what is new shows without a reload, and that the service is not heard is said in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import HOUR_US, Reading
from lullwort.rehearsal import invent, renamed

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Followed = Any  # the fixture's class lives in conftest.py

PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 800}
SOON_MS = 15_000
MINUTE_US = 60_000_000

REMEMBERS = """() => { document.body.dataset.was = 'here'; }"""
"""A mark that no reload survives."""


@contextmanager
def seen(browser: Browser, url: str, size: dict[str, int], **more: Any) -> Iterator[Page]:
    """A page in a window of its own; nothing was written to its console, and nothing asked for elsewhere."""
    with browser.new_context(viewport=size, **more) as context:  # type: ignore[arg-type]
        page = context.new_page()
        said: list[str] = []
        asked: list[str] = []
        page.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("request", lambda request: asked.append(request.url))
        page.goto(url)
        page.evaluate(REMEMBERS)
        yield page
        assert page.evaluate("document.body.dataset.was") == "here"
        host = url.split("/")[2]
        assert [each for each in asked if each.split("/")[2] != host] == []
        # That a service which is away refuses is what the browser itself writes down.
        assert [line for line in said if "Failed to load resource" not in line and "ERR_" not in line] == []


def later(followed: Followed, hours: float) -> list[Reading]:
    """What is sent of the batch in south within so many hours after what is on record."""
    with open_book(followed.book) as book:
        newest_us = book.newest_us("south")
    assert newest_us is not None
    ale = renamed(invent("plain ale", 3), "south", "south-1")
    followed.now_us = lambda: newest_us + round(hours * HOUR_US) + 7 * MINUTE_US
    return [r for r in ale.readings if newest_us < r.at_us <= newest_us + hours * HOUR_US]


def comes_to_say(page: Page, selector: str, words: str) -> None:
    page.wait_for_function(
        "([selector, words]) => document.querySelector(selector)?.textContent.includes(words)",
        arg=[selector, words], timeout=SOON_MS,
    )  # fmt: skip


def is_followed(page: Page) -> None:
    comes_to_say(page, "#pulse", "This page keeps itself up to date.")


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_reading_shows_without_a_reload_and_what_the_reader_did_stays(
    followed: Followed, browser: Browser, size: dict[str, int]
) -> None:
    followed.judge()
    with seen(browser, f"{followed.url}/vessel/south", size) as page:
        is_followed(page)
        page.locator("#curve-spans a:not([aria-current])").first.click()
        page.wait_for_function("() => document.querySelector('#curve').dataset.query", timeout=SOON_MS)
        larger = page.locator("#curve").get_attribute("data-query")
        page.locator("main details[id] > summary").last.scroll_into_view_if_needed()
        opened = page.locator("main details[id]").last.get_attribute("id")
        page.locator(f"#{opened} > summary").click()
        held = page.evaluate("document.activeElement.tagName")
        assert held == "SUMMARY"
        at_px = page.evaluate("document.activeElement.getBoundingClientRect().top")
        before = page.locator("#heard time").get_attribute("datetime")
        news = later(followed, 12.0)
        followed.heard(news)
        page.wait_for_function(
            "before => document.querySelector('#heard time').dateTime !== before", arg=before, timeout=SOON_MS
        )
        assert page.locator("#heard .ago").inner_text().strip() == "(7 min ago)"
        page.wait_for_function(
            "larger => document.querySelector('#curve').dataset.query === larger", arg=larger, timeout=SOON_MS
        )
        assert page.locator(f"#{opened}").evaluate("details => details.open")
        assert page.evaluate("document.activeElement.tagName") == "SUMMARY"
        assert abs(page.evaluate("document.activeElement.getBoundingClientRect().top") - at_px) < 4.0


def test_news_leave_a_part_of_the_curve_as_it_is_shown_and_the_keys_where_they_are(
    followed: Followed, browser: Browser
) -> None:
    followed.judge()
    with seen(browser, f"{followed.url}/vessel/south", DESK) as page:
        is_followed(page)
        curve, figure = page.locator("#curve"), page.locator("#curve-figure")
        figure.focus()
        figure.press("+")
        page.wait_for_function("() => document.getElementById('curve').dataset.query.startsWith('?from')")
        figure.press("ArrowRight")
        shown, whole_s = curve.get_attribute("data-query"), figure.get_attribute("data-ends")
        assert (shown or "") in page.url
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        for hours in (1.0, 2.0):
            followed.heard(later(followed, hours))
            page.wait_for_function(
                "was => document.getElementById('curve-figure').dataset.ends !== was", arg=whole_s, timeout=SOON_MS
            )
            whole_s = figure.get_attribute("data-ends")
            assert curve.get_attribute("data-query") == shown
            assert page.evaluate("document.activeElement.id") == "curve-figure"
        assert not [each for each in asked if "/curve" in each]  # it came with the page, and was not fetched again
        read = page.locator("#curve-reads").inner_text()
        figure.press("ArrowRight")
        assert page.locator("#curve-reads").inner_text() not in ("", read)
        figure.press("Escape")
        page.wait_for_function("() => document.getElementById('curve').dataset.query === ''")
        assert page.evaluate("document.activeElement.id") == "curve-figure"


def test_what_was_done_is_told_shortly_and_goes_by_itself(followed: Followed, browser: Browser) -> None:
    followed.judge()
    with seen(browser, f"{followed.url}/batch/south-1/note", PHONE) as page:
        page.select_option("#f-kind", "remark")
        page.fill("#f-words", "tasted")
        with page.expect_navigation():
            page.locator(".send button").click()
        page.evaluate(REMEMBERS)
        told, answer = page.locator("#told"), page.locator("#answer .word").bounding_box()
        assert told.inner_text().startswith("Noted. remark at ")
        assert answer is not None
        assert answer["y"] + answer["height"] <= PHONE["height"]
        is_followed(page)
        for hours, count in ((1.0, 1), (2.0, 0)):  # at the first change it has hardly been read
            before = page.locator("#heard time").get_attribute("datetime")
            followed.heard(later(followed, hours))
            changed = "before => document.querySelector('#heard time').dateTime !== before"
            page.wait_for_function(changed, arg=before, timeout=SOON_MS)
            assert told.count() == count
            page.evaluate("performance.now = () => 20001")
        assert page.evaluate("document.activeElement.id") == "card"  # the focus was in what has gone


def test_a_changed_answer_is_spoken_once_and_nothing_else_is(followed: Followed, browser: Browser) -> None:
    followed.judge()
    with seen(browser, f"{followed.url}/", DESK) as page:
        is_followed(page)
        page.evaluate(SPOKEN)
        followed.heard(later(followed, 1.0))  # one hour more: the answer is the same
        page.wait_for_function("() => window.shown > 0", timeout=SOON_MS)
        assert page.evaluate("window.spoken") == []
        followed.heard(later(followed, 300.0))
        page.wait_for_function("() => window.spoken.length > 0", timeout=SOON_MS)
        followed.tell("")
        followed.heard([Reading("south", "south", followed.now_us(), 1.0112, 20.0)])
        page.wait_for_function("() => window.shown > 2", timeout=SOON_MS)
        assert page.evaluate("window.spoken") == ["south: Yes, ready."]


SPOKEN = """() => {
    window.spoken = []; window.shown = 0;
    document.addEventListener("card:changed", () => { window.shown += 1; });
    new MutationObserver(() => window.spoken.push(document.getElementById("said").textContent))
        .observe(document.getElementById("said"), {childList: true, characterData: true, subtree: true});
}"""


def test_that_the_service_is_gone_is_said_and_taken_back(followed: Followed, browser: Browser) -> None:
    followed.judge()
    url = f"{followed.url}/vessel/south"
    with (
        seen(browser, url, PHONE, reduced_motion="reduce") as phone,
        seen(browser, url, DESK) as desk,
        seen(browser, url, DESK) as refused,
    ):
        for page in (phone, desk, refused):
            is_followed(page)
        refused.route("**/vessel/south", lambda route: route.fulfill(status=500, body="no"))
        followed.tell("south")  # it hears that there is news, and cannot have it
        followed.stop()
        for page in (phone, desk, refused):
            comes_to_say(page, "#stale", "Not heard from the service since ")
            assert page.locator("#stale").get_attribute("role") == "status"
            assert page.locator("#pulse a").is_visible()
            page.evaluate("window.scrollTo(0, 500)")
            box = page.locator("#stale").bounding_box()
            assert box is not None
            assert box["y"] >= 0.0  # it stays in sight
            assert box["x"] + box["width"] <= page.evaluate("document.documentElement.clientWidth")
            moves = "document.getAnimations().filter(each => each.playState === 'running').length"
            assert page.evaluate(moves) == 0
        followed.heard(later(followed, 12.0))
        followed.start()
        refused.unroute("**/vessel/south")
        for page in (phone, desk, refused):
            comes_to_say(page, "#said", "heard again")
            comes_to_say(page, "#stale", "")
            assert page.locator("#stale").inner_text() == ""
            comes_to_say(page, "#heard .ago", "7 min ago")


def test_where_another_token_is_asked_for_meanwhile_a_page_asks_for_it(
    followed: Followed, browser: Browser, tmp_path: Path
) -> None:
    followed.stop()
    followed.token_file = tmp_path / "token"
    followed.token_file.write_text("the first")
    followed.start()
    url = f"{followed.url}/vessel/south"
    with browser.new_context(viewport=PHONE) as phone, browser.new_context(viewport=DESK) as desk:  # type: ignore[arg-type]
        follows, looks = phone.new_page(), desk.new_page()
        looks.route("**/live*", lambda route: route.fulfill(status=204))
        looks.add_init_script(f"({SOONER})()")
        for page in (follows, looks):
            page.goto(url)
            page.get_by_label("Token").fill("the first")
            page.keyboard.press("Enter")
        is_followed(follows)
        comes_to_say(looks, "#pulse", "looks every 15 seconds")
        followed.stop()
        followed.token_file.write_text("the second")
        followed.start()
        for page in (follows, looks):
            page.get_by_role("heading", name="The token, please").wait_for(timeout=SOON_MS)
            page.get_by_label("Token").fill("the second")
            page.keyboard.press("Enter")
            page.locator("#answer").wait_for()
            assert page.url == url


def test_while_it_is_hidden_it_asks_for_nothing_and_when_it_wakes_it_asks_at_once(
    followed: Followed, browser: Browser
) -> None:
    followed.judge()
    with seen(browser, f"{followed.url}/vessel/south", PHONE) as page:
        is_followed(page)
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.evaluate(HIDDEN, True)
        followed.heard(later(followed, 12.0))
        page.wait_for_timeout(1500)
        assert asked == []
        with page.expect_request("**/vessel/south"):
            page.evaluate(HIDDEN, False)
        comes_to_say(page, "#heard .ago", "7 min ago")


def test_a_window_loaded_unseen_that_may_not_follow_tells_ages_by_when_it_was_loaded(
    followed: Followed, browser: Browser
) -> None:
    later(followed, 0.0)  # 7 minutes after the last reading
    followed.judge()
    url = f"{followed.url}/vessel/south"
    with seen(browser, url, DESK) as first:
        page = first.context.new_page()
        page.route("**/live*", lambda route: route.fulfill(status=204))
        page.add_init_script(f"({HIDDEN})(true)")
        page.goto(url)
        loaded_us = followed.now_us()
        followed.now_us = lambda: loaded_us + 3 * HOUR_US
        page.evaluate("() => { const real = Date.now; Date.now = () => real() + 3 * 3600000; }")
        with page.expect_response(url) as asked:
            page.evaluate(HIDDEN, False)
        assert asked.value.status == 304  # so that no newer page tells what time it is
        comes_to_say(page, "#pulse", "looks every 15 seconds")
        assert page.locator("#heard .ago").inner_text().strip() == "(3 h ago)"


def test_more_windows_than_a_browser_has_connections_all_load_and_come_to_what_is_new(
    followed: Followed, browser: Browser, monkeypatch: pytest.MonkeyPatch, comes_true: Callable[..., bool]
) -> None:
    followed.judge()
    url, said = f"{followed.url}/vessel/south", list[str]()
    with seen(browser, url, PHONE) as first:
        windows = [first, *(first.context.new_page() for _ in range(7))]
        first.evaluate(SOONER)
        for page in windows[1:]:
            page.add_init_script(f"({SOONER})()")
            page.on("console", lambda message: said.append(message.text))
            page.goto(url, timeout=SOON_MS)
        for nth, page in enumerate(windows):
            comes_to_say(page, "#pulse", "keeps itself up to date." if nth < 4 else "looks every 15 seconds")
            assert page.locator("#stale").inner_text() == ""
        followed.heard(later(followed, 12.0))
        for page in (windows[0], windows[-1]):
            comes_to_say(page, "#heard .ago", "7 min ago")
        windows[1].close()
        looking = [page.locator("#pulse") for page in windows[4:]]
        # One of them comes to have the line that was let go of.
        assert comes_true(lambda: sum("keeps itself" in pulse.inner_text() for pulse in looking) == 1)
        assert said == []

        # Begun anew, it knows none of them by the cookie that they have, and those that followed come back at once.
        del windows[1]
        before = first.locator("#heard time").get_attribute("datetime")
        followed.stop()
        monkeypatch.setattr("lullwort.card.door.seals._PROCESS_KEY", b"that of another run")
        followed.heard(later(followed, 24.0))
        followed.start()
        changed = "before => document.querySelector('#heard time').dateTime !== before"
        for page in windows:
            page.wait_for_function(changed, arg=before, timeout=SOON_MS)
        lines = [page.locator("#pulse") for page in windows]
        assert comes_true(lambda: sum("keeps itself" in pulse.inner_text() for pulse in lines) == 4)
        assert [page.locator("#stale").inner_text() for page in windows] == [""] * 7
        windows[-1].goto(url, timeout=SOON_MS)


SOONER = "() => { const real = setTimeout; window.setTimeout = (todo, ms) => real(todo, ms === 15000 ? 1000 : ms); }"
"""A quarter of a minute is not waited for."""


HIDDEN = """hidden => {
    Object.defineProperty(document, "hidden", {value: hidden, configurable: true});
    document.dispatchEvent(new Event("visibilitychange"));
}"""


def test_that_nothing_can_be_stored_shows_and_goes(followed: Followed, browser: Browser) -> None:
    followed.judge()
    with seen(browser, f"{followed.url}/vessel/south", DESK) as page:
        is_followed(page)
        followed.keeper.failing = "disk full"
        followed.tell("")
        comes_to_say(page, "#failing", "disk full")
        followed.keeper.failing = ""
        followed.tell("")
        page.wait_for_function("() => document.querySelector('#failing').textContent === ''", timeout=SOON_MS)
