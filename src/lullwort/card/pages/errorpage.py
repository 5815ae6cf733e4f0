"""Pages for what cannot be shown or done: what happened, and what helps."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus

from starlette.responses import HTMLResponse

from lullwort.card.pages.page import page
from lullwort.exporting import escaped

__all__ = ["error_page"]

_WORDS = {
    400: ("Not understood", "What the browser sent is not complete, or not as it should be. Open the page again."),
    403: ("Refused", "This came from a page that is not this card's, so nothing was done."),
    404: ("There is no such page", "The vessel or batch may be called otherwise by now, or its address was mistyped."),
    405: ("Not here", "This address is for looking, or for sending, but not for what the browser tried."),
    408: ("It took too long", "The browser did not finish what it sent. Nothing was done; try it again."),
    413: ("Too long", "What was sent is longer than is taken here. Nothing was done."),
    414: ("The address is too long", "No page of this card has an address of that length. Begin from the first page."),
    421: ("Another name", "The card was asked for by a name that it does not know as its own."),
    429: ("Wait a little", "Too many wrong tokens came from here. Nothing is lost: try again after the time given."),
    431: ("Too much around the question", "The browser sends too much with it; forget this site's cookies there."),
    500: ("Something went wrong here", "It is in the service's log. Readings go on being taken and judged."),
    503: (
        "Not just now",
        "Something that is needed does not answer; the service's log tells of it. Try again soon.",
    ),
    507: ("The disk is nearly full", "The file was not taken, so that readings can still be kept. Make room first."),
}


def error_page(
    status: int, says: str = "", headers: Mapping[str, str] | None = None, more: str = "", *, title: str = ""
) -> HTMLResponse:
    """A whole page.

    Args:
        says: a sentence that knows more than the usual one.
        more: HTML that follows it.
    """
    usual_title, usual = _WORDS.get(status, (_phrase(status), "Begin again from the first page."))
    body = [
        f"<h1>{escaped(title or usual_title)}</h1>",
        f'<p class="refused" role="alert">{escaped(says or usual)}</p>',
        more,
        f'<p class="hint">Error {status}. <a href="/">All vessels</a></p>',
    ]
    return HTMLResponse(page(title or usual_title, body), status, headers)


def _phrase(status: int) -> str:
    return HTTPStatus(status).phrase if status in HTTPStatus.__members__.values() else "Refused"
