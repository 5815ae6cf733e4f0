"""The card's application, loaded when somebody first looks: a service that nobody looks at is not made larger by it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from starlette.types import ASGIApp, Receive, Scope, Send

__all__ = ["OnDemand"]


class OnDemand:
    """Stands for an application, and for all requests that come while it is loaded."""

    def __init__(self, load: Callable[[], ASGIApp]) -> None:
        """Args: load: makes it, in a thread of its own, for that takes as long as a page or two."""
        self._load = load
        self._app: ASGIApp | None = None
        self._turn = asyncio.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """As every ASGI application is called."""
        if self._app is None:
            async with self._turn:
                if self._app is None:
                    self._app = await asyncio.to_thread(self._load)
        await self._app(scope, receive, send)
