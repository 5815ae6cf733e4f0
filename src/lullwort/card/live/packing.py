"""Text answers go out compressed, the event stream never: it would wait in the compressor."""

from __future__ import annotations

from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

from lullwort.card.live.livestream import LIVE_PATH

__all__ = ["Packing"]

_LEVEL, _LEAST_BYTES = 6, 600
"""What fits into one packet of the network is not worth compressing."""


class Packing:
    """Stands around the card's application; what comes out compressed already is left as it is."""

    def __init__(self, app: ASGIApp) -> None:
        self._app, self._packed = app, GZipMiddleware(app, _LEAST_BYTES, _LEVEL)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """As every ASGI application is called."""
        path = scope.get("path", "").removeprefix(scope.get("root_path", ""))
        await (self._app if path == LIVE_PATH else self._packed)(scope, receive, send)
