"""Lets in who has shown the token, and knows each browser again by a cookie that scripts cannot read.

Where no token is asked for, everybody is in; the cookie then only tells browsers apart.
"""

from __future__ import annotations

import hmac
import math
import time
from collections.abc import Callable, Mapping
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any
from urllib.parse import quote

from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lullwort.card.door.entering import enter_page, leave_page, local_path
from lullwort.card.door.guesses import Guesses
from lullwort.card.door.posted import forget_files, posted, typed, uploads_go_to
from lullwort.card.door.seals import PASS_HOLDS_S, Seals
from lullwort.card.door.uploadroom import UploadRoom
from lullwort.card.door.visitor import Visitor, visitor_of
from lullwort.card.pages.around import AROUND
from lullwort.card.pages.assets import ASSETS
from lullwort.card.pages.errorpage import error_page

__all__ = ["Door", "Visitor", "visitor_of"]

_RENEWED_AFTER_S = 7 * 86_400
"""So that who comes every week is never asked again."""


class Door:
    """Stands before the card's application `app`, and lets it know who asks."""

    def __init__(
        self,
        app: ASGIApp,
        token: str | None,
        port: int,
        guesses: Guesses,
        uploads: Path,
        now_s: Callable[[], float] = time.time,
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """
        Args:
            token:   to be shown; None: nobody is asked.
            port:    of this service: browsers share cookies between all ports of a machine.
            uploads: folder for files while they come.
            now_s:   [s] since 1970.
            clock_s: [s] that is never set.
        """
        self.app = app
        self._token, self._port, self._guesses, self._uploads = token, port, guesses, UploadRoom(uploads)
        self._seals, self._now_s, self._clock_s = Seals(token), now_s, clock_s

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """As every ASGI application is called."""
        if scope["type"] != "http" or scope["path"] in ASSETS:
            await self.app(scope, receive, send)
            return
        request = Request(scope, receive)
        holder = self._seals.holder(request.cookies.get(self._cookie_name(request), ""), int(self._now_s()))
        known = holder is not None
        name, age_s = holder or (self._seals.new_pass(0).partition(".")[0], math.inf)
        scope.setdefault("state", {})["visitor"] = Visitor(name, self._seals.form_token(name), known)
        uploads_go_to(request, self._uploads)
        if self._token is not None:
            AROUND.set(AROUND.get()._replace(known=known))
        try:
            answer = await self._own_answer(request, known=known)
            if answer is not None:
                await answer(scope, receive, send)
            elif known and age_s < _RENEWED_AFTER_S:
                await self.app(scope, receive, send)
            else:
                await self.app(scope, receive, self._with_pass(request, name, send))
        finally:
            await forget_files(request)

    async def _own_answer(self, request: Request, *, known: bool) -> Response | None:
        """What the door itself says; None where the card is to answer."""
        path = request.scope["path"]  # as the guard looks at it; that of the URL ends at a "?" that was written %3F
        try:
            if path == "/enter" and self._token is not None:
                return await self._enter(request)
            if path == "/leave" and known and self._token is not None:
                return await self._leave(request)
        except HTTPException as exc:
            return error_page(exc.status_code, exc.detail)
        except ClientDisconnect:
            return Response(status_code=408)  # nobody reads it: the browser went away while it was sending
        if path in ("/enter", "/leave"):
            return RedirectResponse("/", 303)
        if known or self._token is None:
            return None
        to = quote(path) if request.method in ("GET", "HEAD") else "/"
        return enter_page(401, to, headers={"WWW-Authenticate": "Bearer"})

    async def _enter(self, request: Request) -> Response:
        """A link that has the token in it, or the form; either goes on to an address without it."""
        asked: Mapping[str, str]
        if request.method == "POST":
            asked = await typed(request)
        else:
            asked = request.query_params
        given, to = asked.get("token", "").strip(), local_path(asked.get("to", "/"))
        if not given:
            wrong = "Nothing was typed in." if request.method == "POST" else ""
            return enter_page(422 if wrong else 200, to, wrong)
        address = request.client.host if request.client is not None else ""
        wait_s = math.ceil(self._guesses.wait_s(address, self._clock_s()))
        if wait_s:
            return enter_page(
                429, to, f"Too many wrong tokens: try again in {_span(wait_s)}.", {"Retry-After": str(wait_s)}
            )
        if self._token is None or not hmac.compare_digest(given.encode(), self._token.encode()):
            self._guesses.wrong(address, given, self._clock_s())
            return enter_page(403, to, "That is not the token. Was one letter left out, or has the token been changed?")
        self._guesses.right(address)
        answer = RedirectResponse(to, 303)
        self._keep(answer.headers, request, self._seals.new_pass(int(self._now_s())), PASS_HOLDS_S)
        return answer

    async def _leave(self, request: Request) -> Response:
        if request.method != "POST":
            return leave_page(visitor_of(request).form_token)
        await posted(request)
        answer = RedirectResponse("/", 303)
        self._keep(answer.headers, request, "", 0)
        return answer

    def _with_pass(self, request: Request, name: str, send: Send) -> Send:
        async def send_with_cookie(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = self._seals.renewed(name, int(self._now_s()))
                self._keep(MutableHeaders(scope=message), request, given, PASS_HOLDS_S)
            await send(message)

        return send_with_cookie

    def _cookie_name(self, request: Request) -> str:
        """Under TLS no other machine of the same domain can set one of this name [RFC 6265bis 4.1.3]."""
        return f"{'__Host-' if request.url.scheme == 'https' else ''}lullwort-{self._port}"

    def _keep(self, headers: MutableHeaders, request: Request, value: str, for_s: int) -> None:
        name = self._cookie_name(request)
        cookie: SimpleCookie = SimpleCookie()
        cookie[name] = value
        marks: dict[str, Any] = {"path": "/", "max-age": for_s, "httponly": True, "samesite": "Lax"}
        cookie[name].update({**marks, "secure": request.url.scheme == "https"})
        headers.append("Set-Cookie", cookie[name].OutputString())


def _span(wait_s: int) -> str:
    return f"{wait_s} s" if wait_s < 90 else f"{math.ceil(wait_s / 60)} min"
