"""Connections over which nothing is said, or nothing read, are closed: a hundred of them would lock everybody else out.

Apart from the rest because it brings the web server's library in, which a service without [http] does without.
"""

from __future__ import annotations

import asyncio

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

__all__ = ["WHOLE_WITHIN_S", "ImpatientProtocol"]

WHOLE_WITHIN_S = 20.0
"""[s] within which a request has come as a whole, head and body: even a week of readings takes no more than one."""


class ImpatientProtocol(H11Protocol):
    """HTTP/1.1 as the server speaks it, but not for ever with somebody who does not finish what he says."""

    _look: asyncio.TimerHandle | None = None
    _waited_for = -1
    _answered = 0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._look_later()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        if self._look is not None:
            self._look.cancel()
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """The next request may take as long again."""
        self._answered += 1
        super().on_response_complete()

    def _look_later(self) -> None:
        self._look = self.loop.call_later(WHOLE_WITHIN_S / 2.0, self._still_waiting)

    def _still_waiting(self) -> None:
        """Twice in a row for the same request: it has had its time."""
        unread = self.transport.get_write_buffer_size() > 0
        waiting = unread or self.conn.their_state in (h11.IDLE, h11.SEND_BODY)
        if waiting and self._waited_for == self._answered:
            self.transport.abort()
            return
        self._waited_for = self._answered if waiting else -1
        self._look_later()
