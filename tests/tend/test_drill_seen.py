"""The drill, seen: while a batch goes through the real service, its page in a real browser comes to say `ready`.

On a phone by day and on a screen by night, in the same run.
"""

from __future__ import annotations

import json
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Callable
from contextlib import ExitStack
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

Tended = Any  # the fixture's class lives in conftest.py

SLOWLY = "7"
"""[packs/s] of six readings, so that it ferments for 4 s and holds for 6 s."""

SEEN_AT: dict[int, Literal["light", "dark"]] = {360: "light", 1280: "dark"}
"""The widths [px] of the windows, and how each is shown."""

KEEPS = """() => {
    window.seen = [];
    const note = () => {
        const says = document.querySelector("#answer [data-say]");
        const verdict = says && says.dataset.say.split(", ").pop().replace(".", "");
        if (verdict && window.seen.at(-1) !== verdict) window.seen.push(verdict);
    };
    note();
    document.addEventListener("card:changed", note);
}"""
"""Each verdict that the page says, in order. A reload would lose them."""


class Window:
    """A page of the drill's vessel, opened and never loaded again, and what it comes to say."""

    def __init__(self, context: BrowserContext, url: str) -> None:
        self.page, self.said, self.asked = context.new_page(), list[str](), list[str]()
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(f"{url}/vessel/drill")
        self.page.evaluate(KEEPS)

    def comes_to_ready(self) -> None:
        """Wait until it says so, and its alert is there; then keep what is on it."""
        self.page.wait_for_function("() => window.seen.at(-1) === 'ready'", timeout=60_000)
        alert = "() => document.querySelector('#alerts').textContent.includes('READY TO PACKAGE: drill-1')"
        self.page.wait_for_function(alert, timeout=20_000)
        self.title, self.answer = (self.page.locator(part).inner_text() for part in ("#title", "#answer"))
        self.verdicts, self.spoken = self.page.evaluate("window.seen"), self.page.locator("#said").inner_text()
        self.aside = self.page.evaluate("Math.max(0, document.documentElement.scrollWidth - innerWidth)")
        self.paper = self.page.evaluate("getComputedStyle(document.body).backgroundColor")


def answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=5.0):
            return True
    except (urllib.error.URLError, ConnectionError):
        return False


def test_a_drill_is_seen_up_to_ready_without_a_reload(
    tended: Tended, browser: Browser, comes_true: Callable[..., bool]
) -> None:
    url = tended.listens()
    tended.unmeasured().start()
    assert comes_true(lambda: answers(f"{url}/health"), 30.0)
    drill = subprocess.Popen(
        [sys.executable, "-m", "lullwort", "rehearse", "plain ale", "--into-broker", "--packs-a-second", SLOWLY],
        env=tended.environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
    )  # fmt: skip
    try:
        assert comes_true(lambda: answers(f"{url}/vessel/drill"), 30.0)
        with ExitStack() as stack:
            windows = [
                Window(
                    stack.enter_context(
                        browser.new_context(viewport={"width": width, "height": 740}, color_scheme=scheme)
                    ),
                    url,
                )
                for width, scheme in SEEN_AT.items()
            ]
            for window in windows:
                window.comes_to_ready()
        assert drill.poll() is None  # the rest of its log would tell nothing more
    finally:
        drill.kill()
        drill.communicate()
    for window in windows:
        assert [verdict for verdict in window.verdicts if verdict != "lag"] == ["fermenting", "holding", "ready"]
        assert window.spoken == "drill-1: Yes, ready."
        assert "A drill: all its readings are invented." in window.title
        assert "readings that ended" not in window.answer
        assert window.said == []
        assert [address for address in window.asked if not address.startswith(url)] == []
        assert window.aside == 0
    light, dark = (window.paper for window in windows)
    assert light != dark
    assert f"the card is at address={url}/" in tended.log
    health = json.loads(urllib.request.urlopen(f"{url}/health", timeout=5.0).read())
    assert health["verdicts"] == {"drill-1": "ready"}
    assert tended.end() == 0
