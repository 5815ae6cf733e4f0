"""The drill, seen: while a batch goes through the real service, its page in a real browser comes to say `ready`."""

from __future__ import annotations

import json
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Browser

Tended = Any  # the fixture's class lives in conftest.py

SLOWLY = "7"
"""[packs/s] of six readings, so that it ferments for 4 s and holds for 6 s."""

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
        with browser.new_context(viewport={"width": 360, "height": 740}) as context:
            page = context.new_page()
            said: list[str] = []
            asked: list[str] = []
            page.on("console", lambda message: said.append(message.text))
            page.on("pageerror", lambda error: said.append(str(error)))
            page.on("request", lambda request: asked.append(request.url))
            page.goto(f"{url}/vessel/drill")
            page.evaluate(KEEPS)
            page.wait_for_function("() => window.seen.at(-1) === 'ready'", timeout=60_000)
            alert = "() => document.querySelector('#alerts').textContent.includes('READY TO PACKAGE: drill-1')"
            page.wait_for_function(alert, timeout=20_000)
            marked = page.locator("#title").inner_text(), page.locator("#answer").inner_text()
            seen = page.evaluate("window.seen")
            spoken = page.locator("#said").inner_text()
        assert drill.poll() is None  # the rest of its log would tell nothing more
    finally:
        drill.kill()
        drill.communicate()
    assert [verdict for verdict in seen if verdict != "lag"] == ["fermenting", "holding", "ready"]
    assert spoken == "drill-1: Yes, ready."
    assert "A drill: all its readings are invented." in marked[0]
    assert "readings that ended" not in marked[1]
    assert f"the card is at address={url}/" in tended.log
    assert said == []
    assert [address for address in asked if not address.startswith(url)] == []
    health = json.loads(urllib.request.urlopen(f"{url}/health", timeout=5.0).read())
    assert health["verdicts"] == {"drill-1": "ready"}
    assert tended.end() == 0
