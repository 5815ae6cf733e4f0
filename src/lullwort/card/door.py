"""Who asks: each browser is known by a cookie that scripts cannot read, and what it posts by a token made from that."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from typing import NamedTuple

from starlette.datastructures import MutableHeaders
from starlette.requests import HTTPConnection
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["Door", "Visitor", "visitor_of"]

_COOKIE = "lullwort"


class Visitor(NamedTuple):
    """A browser.

    Attributes:
        name:       made up when it first came.
        form_token: goes with each form that it is shown, and comes back with what it posts.
    """

    name: str
    form_token: str


def visitor_of(request: HTTPConnection) -> Visitor:
    """Who has asked for this, as the door has seen."""
    visitor: Visitor = request.state.visitor
    return visitor


class Door:
    """Stands before the card's application, and lets it know who asks."""

    def __init__(self, app: ASGIApp) -> None:
        self._app, self._key = app, secrets.token_bytes(32)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """As every ASGI application is called."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        known = HTTPConnection(scope).cookies.get(_COOKIE)
        name = known or secrets.token_urlsafe(16)
        token = hmac.new(self._key, name.encode(), hashlib.sha256).hexdigest()
        scope.setdefault("state", {})["visitor"] = Visitor(name, token)

        async def send_with_cookie(message: Message) -> None:
            if message["type"] == "http.response.start" and known is None:
                MutableHeaders(scope=message).append("Set-Cookie", f"{_COOKIE}={name}; Path=/; HttpOnly; SameSite=Lax")
            await send(message)

        await self._app(scope, receive, send_with_cookie)
