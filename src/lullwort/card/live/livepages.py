"""Pages that follow what is new: each made once for all who look at it, and not sent again to who knows it."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Sequence
from typing import NamedTuple
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from lullwort.card.curve.shown import Shown
from lullwort.card.door.visitor import visitor_of
from lullwort.card.known.cellar import Cellar
from lullwort.card.known.desk import Desk
from lullwort.card.live.pulse import pulse_html
from lullwort.card.live.shelf import Finished, Shelf, finished
from lullwort.card.pages.around import AROUND
from lullwort.card.pages.assets import SCRIPT_PATH, STYLE_PATH
from lullwort.card.pages.page import page
from lullwort.detector import Units

__all__ = ["LivePage", "LivePages", "finish_page"]


class LivePage(NamedTuple):
    """What stands on a page.

    Attributes:
        live: where it is said that it has changed, see `live_address`.
        here: its address, where every page leads to it.
    """

    title: str
    body: Sequence[str]
    live: str
    here: str = ""


class LivePages:
    """Has pages made at the desk, keeps them, and answers with them."""

    def __init__(self, desk: Desk) -> None:
        self._desk, self._shelf = desk, Shelf()

    async def answer(
        self, request: Request, units: Units, made: Callable[[Cellar], LivePage | None], shown: Shown, told: str = ""
    ) -> Response:
        """The page of the request's address; 304 for who knows it [RFC 9110, section 13.1.2]. Raises HTTPException 404
        where none is made.

        Args:    shown: as its address chooses; what else stands in it chooses nothing.
                 told: HTML that is shown to this visitor alone, and once.
        """
        address = quote(request.scope["path"]) + shown.query
        key = address, units, AROUND.get()

        def kept(cellar: Cellar) -> Finished | None:
            def finish() -> Finished | None:
                found = made(cellar)
                return None if found is None else finish_page(found, pulse_html(cellar.now_us(), units, address))

            return self._shelf.page(key, cellar.state(), finish) if shown.known else finish()

        found = await self._desk.ask(kept)
        if found is None:
            raise HTTPException(404)
        headers = {"ETag": f'W/"{found.tag}"', "Vary": "Accept-Encoding, Cookie"}
        if not told and request.headers.get("if-none-match") == headers["ETag"]:
            return Response(status_code=304, headers=headers)
        token = visitor_of(request).form_token
        if "gzip" not in request.headers.get("accept-encoding", ""):
            return HTMLResponse(found.plain(token, told), headers=headers)
        return HTMLResponse(found.packed_for(token, told), headers={**headers, "Content-Encoding": "gzip"})


def finish_page(found: LivePage, pulse: str) -> Finished:
    """The page as it is kept; each of its parts, and what stands between them, with a mark of what it says."""
    body, between = [], [STYLE_PATH, SCRIPT_PATH, found.live]
    for each in filter(None, found.body):
        part = _PART.match(each)
        body.append(f'{part[0]} data-is="{_mark(each)}"{each[part.end() :]}' if part else each)
        between.append(part[1] if part else each)
    is_now = _mark("\n".join(between))
    tag = _mark("\n".join([found.title, is_now, *body]))
    html = page(found.title, body, live=found.live, here=found.here, tag=tag, between=is_now, pulse=pulse)
    return finished(tag, html)


_PART = re.compile(r'<[a-z]+ (?:[a-z-]+="[^"<>]*" )*data-part="([^"]*)"')


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]
