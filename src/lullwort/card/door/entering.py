"""The pages at which a browser shows the token, and at which it is forgotten again."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.responses import HTMLResponse

from lullwort.card.pages.around import AROUND
from lullwort.card.pages.fields import TOKEN_FIELD
from lullwort.card.pages.page import page
from lullwort.exporting import escaped

__all__ = ["enter_page", "leave_page", "local_path"]

_LONGEST = 512
_OVERHEARD = (
    "<p><strong>It can be overheard here:</strong> whoever is on this network can read the token as it is sent. Do it "
    "only in a network of your own, and have TLS set up.</p>"
)


def enter_page(status: int, to: str, wrong: str = "", headers: dict[str, str] | None = None) -> HTMLResponse:
    """Asks for the token.

    Args:
        to:    where to go on from here.
        wrong: what was wrong with the one that was given.
    """
    error = f'<span class="wrong" id="f-token-wrong"><b>{escaped(wrong)}</b></span>' if wrong else ""
    marks = ' aria-invalid="true"' if wrong else ""
    by = "f-token-hint f-token-wrong" if wrong else "f-token-hint"
    body = [
        "<h1>The token, please</h1>",
        "<p>Who has it may read this card and enter things on it. This device is then known for 90 days.</p>",
        _OVERHEARD if AROUND.get().legible else "",
        '<form class="entry" method="post" action="/enter" novalidate>',
        f'<input type="hidden" name="to" value="{escaped(local_path(to))}">',
        '<input type="text" name="username" value="card" autocomplete="username" hidden>',  # for who keeps passwords
        f'<div class="field{" faulty" if wrong else ""}"><label for="f-token">Token</label>'
        '<span class="hint" id="f-token-hint">It stands in the '
        f"file that token_file of the settings names; <code>lullwort card</code> makes a link of it.</span>{error}"
        f'<input id="f-token" name="token" type="password" required autofocus aria-describedby="{by}"{marks} '
        'autocomplete="current-password" autocapitalize="none" spellcheck="false"></div>',
        '<p class="send"><button type="submit">Enter</button></p></form>',
    ]
    return _answer("The token, please", body, status, headers)


def leave_page(form_token: str) -> HTMLResponse:
    """Asks whether this device is to be forgotten."""
    body = [
        "<h1>Leave on this device</h1>",
        "<p>It is asked for the token again then. Other devices stay in; a new token shuts them all out.</p>",
        '<form class="entry" method="post" action="/leave">'
        f'<input type="hidden" name="{TOKEN_FIELD}" value="{escaped(form_token)}">',
        '<p class="send"><button type="submit">Leave</button></p></form>',
    ]
    return _answer("Leave on this device", body, 200, None)


def local_path(asked: str) -> str:
    """`asked` if it is an address on this card; else that of its first page.

    >>> local_path("/vessel/north?from=1"), local_path("//elsewhere.example/"), local_path("https://elsewhere.example/")
    ('/vessel/north?from=1', '/', '/')
    """
    plain = asked.isascii() and asked.isprintable() and len(asked) <= _LONGEST
    away = asked.startswith("//") or "\\" in asked  # browsers take a backslash for a slash
    return asked if plain and asked.startswith("/") and not away else "/"


def _answer(title: str, body: Sequence[str], status: int, headers: dict[str, str] | None) -> HTMLResponse:
    return HTMLResponse(page(title, body), status, headers)
