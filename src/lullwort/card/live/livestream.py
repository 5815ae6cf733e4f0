"""`/live`: says that something of a page has changed, as an event stream [WHATWG HTML, section 9.2].

It says only that there is news. The page is then asked for anew, which costs next to nothing where it is as before.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.types import Receive, Scope, Send

from lullwort.card.door.visitor import visitor_of
from lullwort.card.known.news import News

__all__ = ["LIVE_PATH", "LiveStreams", "live_address"]

LIVE_PATH = "/live"
MOST_STREAMS = 40
MOST_OF_ONE = 4
"""Of one browser, which keeps six connections to one host over HTTP/1.1, and has pages to load over what is left."""
_SIGN_EVERY_S = 15.0
_AGAIN_MS = 2000
"""[ms] after which a browser comes back once the stream has ended."""
_AGAIN_AFTER_S = 30
_GAP_S, _LONGEST_GAP_S = 1.0, 4.0
_RUSH_PER_S = 10.0
"""[news/s] More than ten sensors send; a backlog comes in at hundreds."""


def live_address(vessel: str | None = None) -> str:
    """Where it is said that something of this vessel is new; None: of any."""
    return LIVE_PATH if vessel is None else f"{LIVE_PATH}?vessel={quote(vessel, safe='')}"


@dataclass
class _Gap:
    """How long to say nothing after an event: a second, and more while a backlog rushes in.

    >>> gap = _Gap()
    >>> [gap.after(news) for news in (1, 100, 100, 100, 1)]
    [1.0, 2.0, 4.0, 4.0, 1.0]
    """

    last_s: float = _GAP_S

    def after(self, news: int) -> float:
        """[s] `news` came since the event before."""
        rushes = news > _RUSH_PER_S * self.last_s
        self.last_s = min(2.0 * self.last_s, _LONGEST_GAP_S) if rushes else _GAP_S
        return self.last_s


class _Followed(StreamingResponse):
    """Counts from when it is promised: of many who ask at once, none has begun to listen when the next one asks."""

    def __init__(self, followers: Counter[str], name: str, said: AsyncIterator[str]) -> None:
        super().__init__(said, media_type="text/event-stream")
        self._followers, self._name = followers, name
        followers[name] += 1

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """As every ASGI application is called."""
        try:
            await super().__call__(scope, receive, send)
        finally:
            self._followers[self._name] -= 1
            self._followers += Counter()  # which leaves no name of whom nobody is there


class LiveStreams:
    """Answers who follows a page, each for as long as it stays; a bounded number of them, and of one browser."""

    def __init__(self, news: News, now_us: Callable[[], int]) -> None:
        self._news, self._now_us = news, now_us
        self._followers: Counter[str] = Counter()
        """Pages of each browser, by its name, that follow now."""

    async def answer(self, request: Request) -> Response:
        """Follow one vessel (`?vessel=`) or all."""
        news = self._news
        if news.over or self._followers.total() >= MOST_STREAMS:
            why = "The service is about to end." if news.over else f"{MOST_STREAMS} pages are followed live already."
            says = f"{why} This one shows what is new when it is loaded anew.\n"
            return PlainTextResponse(says, 503, {"Retry-After": str(_AGAIN_AFTER_S)})
        visitor = visitor_of(request)
        # One that is not known yet is told its name with this answer. Of one whose windows all come back in a moment,
        # as when the service has begun anew, each would count as another's.
        if not visitor.known or self._followers[visitor.name] >= MOST_OF_ONE:
            return Response(status_code=204)  # no failure: the script asks from time to time [WHATWG HTML, section 9.2]
        run, _, told = request.headers.get("last-event-id", "").partition("-")
        known = int(told) if run == news.run and told.isascii() and told.isdecimal() else -1
        request.scope["state"]["stays"] = True
        return _Followed(self._followers, visitor.name, self._said(request.query_params.get("vessel"), known))

    async def _said(self, vessel: str | None, told: int) -> AsyncIterator[str]:
        news, gap, heard = self._news, _Gap(), self._news.number()
        yield f"retry: {_AGAIN_MS}\n\n"
        while not news.over:
            if not await news.more(told, vessel, _SIGN_EVERY_S):
                if not news.over:
                    # Scripts are shown no comments, so that one alone would tell the browser's side nothing.
                    yield f":\n{self._event('here')}"
                continue
            told, before, heard = news.number(vessel), heard, news.number()
            yield f"id: {news.run}-{told}\n{self._event('changed')}"
            await news.pause(gap.after(heard - before))

    def _event(self, name: str) -> str:
        """One that carries the time here, so that a page can tell ages by a clock that is off."""
        return f"event: {name}\ndata: {json.dumps({'now': self._now_us() // 1000})}\n\n"
