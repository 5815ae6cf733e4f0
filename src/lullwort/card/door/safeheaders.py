"""What goes with every answer, so that a browser runs, loads and tells nothing that is not the card's own."""

from __future__ import annotations

import base64
import hashlib

from starlette.datastructures import MutableHeaders
from starlette.types import Message, Send

from lullwort.card.pages.untilstyled import UNTIL_STYLED

__all__ = ["content_policy", "safe_headers"]


def content_policy(*styles: str) -> str:
    """The content policy [CSP3] of a page.

    Args: styles: of a page for itself, the text of each of its own `<style>` elements.
    """
    hashes = [base64.b64encode(hashlib.sha256(style.encode()).digest()).decode() for style in styles]
    own = " ".join(["'self'", *(f"'sha256-{each}'" for each in hashes)])
    return (
        f"default-src 'none'; style-src {own}; script-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )


_ALWAYS = {
    "Content-Security-Policy": content_policy(UNTIL_STYLED),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # Not "no-referrer": a browser then posts with `Origin: null` [Fetch, append a request `Origin` header], as somebody
    # else's page can, and over plain HTTP nothing else tells the two apart.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    # Or a page that a browser shows again would say that it is as of an hour ago.
    "Cache-Control": "no-store",
}
# No "Cross-Origin-Opener-Policy": a browser begins a process for every page that has it, which takes as long as drawing
# the page, and no page here opens a window or may stand in a frame.


def safe_headers(send: Send) -> Send:
    """`send`, with these headers where an answer has none of its own."""

    async def send_safely(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for header, value in _ALWAYS.items():
                headers.setdefault(header, value)
        await send(message)

    return send_safely
