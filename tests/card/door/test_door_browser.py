"""The door in a real browser: in by typing the token over the network, and out again."""

from __future__ import annotations

import socket
from collections.abc import Callable
from contextlib import AbstractContextManager
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from lullwort.collector import HttpSettings

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Served = Any  # the fixture's class lives in conftest.py

AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""WCAG 2.2, levels A and AA, as the engine names them."""


def address() -> str:
    """Of this machine on its network, which browsers trust less than its loopback; that, where there is no other."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))  # nobody's [RFC 5737]; nothing is sent
        except OSError:
            return "127.0.0.1"
        return str(asking.getsockname()[0])


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def fits(page: Page) -> bool:
    return bool(page.evaluate("() => document.documentElement.scrollWidth <= document.documentElement.clientWidth"))


PHONE: Any = {"width": 360, "height": 740}
DESK: Any = {"width": 1280, "height": 800}


@pytest.mark.no_cover
def test_a_phone_comes_in_over_the_network_and_leaves_again(
    kept_cellar: Path, tmp_path: Path, browser: Browser, served_with: Callable[..., AbstractContextManager[Served]]
) -> None:
    (tmp_path / "token").write_text("a token of words\n")
    http = HttpSettings(host="0.0.0.0", port=free_port(), token_file=tmp_path / "token")
    card, said = f"http://{address()}:{http.port}", list[str]()
    with served_with(kept_cellar, http=http):
        context = browser.new_context(viewport=PHONE)
        page = context.new_page()
        page.on("console", lambda message: said.append(message.text))
        page.goto(f"{card}/vessel/north")
        assert fits(page)
        assert "Without TLS" in page.inner_text("footer")
        field = page.get_by_label("Token")
        field.fill("another")
        field.press("Enter")
        assert "That is not the token" in page.inner_text("#f-token-wrong")
        page.evaluate(AXE)
        checked = page.evaluate(f"axe.run({{runOnly: {RULES}}})")
        assert [rule["id"] for rule in checked["violations"]] == []
        assert "color-contrast" in {rule["id"] for rule in checked["passes"]}
        page.set_viewport_size(DESK)
        assert fits(page)
        assert page.locator("#f-token-wrong").is_visible()
        page.set_viewport_size(PHONE)
        page.get_by_label("Token").fill(" a token of words ")
        page.get_by_role("button", name="Enter").click()
        assert page.url == f"{card}/vessel/north"
        assert "north" in page.inner_text("h1")
        assert page.evaluate("() => document.cookie") == ""
        (cookie,) = context.cookies()
        assert (cookie["httpOnly"], cookie["sameSite"]) == (True, "Lax")

        page.get_by_role("link", name="Leave on this device").click()
        assert fits(page)
        page.get_by_role("button", name="Leave").click()
        assert page.title() == "The token, please"
        assert context.cookies() == []

        for size in (PHONE, DESK):
            page.set_viewport_size(size)
            page.goto(f"{card}/enter?token=a%20token%20of%20words")
            assert page.url == f"{card}/"
            assert fits(page)
            page.go_back()
            assert "token" not in page.url.partition("?")[2]
            page.goto("about:blank")  # for a page that is no longer known would load itself anew
            context.clear_cookies()
        page.goto(f"{card}/vessel/north")
        page.get_by_label("Token").press_sequentially("a token of words")
        page.keyboard.press("Enter")
        page.locator("#answer").wait_for()
        assert page.url == f"{card}/vessel/north"
        context.close()
    # What the browser itself notes of each 401 and 403 is all there is.
    assert [line for line in said if "the server responded with a status of 40" not in line] == []
