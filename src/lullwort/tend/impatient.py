"""Connections over which nothing is said, or nothing read, are closed.

Apart from the rest because it brings the web server's library in, which a service without [http] does without.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import NamedTuple, cast

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

__all__ = ["WHOLE_WITHIN_S", "ImpatientProtocol"]

WHOLE_WITHIN_S = 20.0
"""[s] within which the head of a request has come, and its body unless that moves: a week of readings takes one."""
LEAST_BYTES = 10_240
"""Of a body, in half that time, while which it counts as moving: a cellar's poor Wi-Fi brings ten times that."""

_SAFELY = (
    (b"content-type", b"text/plain; charset=utf-8"),
    (b"x-content-type-options", b"nosniff"),
    (b"content-security-policy", b"default-src 'none'"),
    (b"cache-control", b"no-store"),
    (b"connection", b"close"),
)


class _Look(NamedTuple):
    """Where a connection stood when it was looked at; the same twice in a row, and nothing has moved."""

    answered: int
    unread: int
    taken: int


class ImpatientProtocol(H11Protocol):
    """HTTP/1.1 as the server speaks it, but not for ever with somebody who does not finish what he says."""

    _look: asyncio.TimerHandle | None = None
    _waited_for: _Look | None = None
    _answered = 0
    _came = 0
    """[bytes] since it was looked at last."""
    _moved = 0
    made = False
    """Whether both sides have agreed on how to speak: under TLS that takes a while."""
    on_lost: Callable[[], None] | None = None
    """Told once it is over."""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Begin to wait for the first request."""
        super().connection_made(cast("asyncio.Transport", transport))  # that of a socket goes both ways
        self.made = True
        self._look_later()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        if self._look is not None:
            self._look.cancel()
        if self.on_lost is not None:
            self.on_lost()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Part of a request."""
        self._came += len(data)
        super().data_received(data)

    def on_response_complete(self) -> None:
        """The next request may take as long again."""
        self._answered += 1
        super().on_response_complete()

    def send_400_response(self, msg: str) -> None:
        """To what is no HTTP at all, or whose head is too long to be one; no page, for nobody knows who reads it."""
        says = f"{msg} A browser whose cookies for this site are deleted sends a shorter one.\n".encode()
        self.transport.write(
            self.conn.send(h11.Response(status_code=400, headers=list(_SAFELY), reason=b"Bad Request"))
        )
        self.transport.write(self.conn.send(h11.Data(data=says)))
        self.transport.write(self.conn.send(h11.EndOfMessage()))
        self.transport.close()

    @property
    def idle(self) -> bool:
        """Whether nothing is asked over it that is not answered yet."""
        cycle: RequestResponseCycle | None = self.cycle
        return cycle is None or cycle.response_complete

    @property
    def waiting(self) -> bool:
        """Whether it is the other side's turn to say something."""
        return self.idle or self.conn.their_state is h11.SEND_BODY

    @property
    def served(self) -> bool:
        """Whether anything that was asked over it has been answered."""
        return self._answered > 0

    @property
    def stays(self) -> bool:
        """Whether the answer that goes out over it now is one that whoever gives it wants to stay."""
        return not self.idle and bool(self.scope["state"].get("stays"))

    def _look_later(self) -> None:
        self._look = self.loop.call_later(WHOLE_WITHIN_S / 2.0, self._still_waiting)

    def _still_waiting(self) -> None:
        """Twice in a row at the same point: it has had its time."""
        unread = self.transport.get_write_buffer_size()
        sending = self.conn.their_state is h11.SEND_BODY
        if sending and not self.idle and self._came >= LEAST_BYTES:
            self._moved += 1
        self._came = 0
        waiting = unread > 0 or sending or self.conn.their_state is h11.IDLE
        now = _Look(self._answered, unread, self._moved)
        if waiting and self._waited_for == now:
            self.transport.abort()
            return
        self._waited_for = now if waiting else None
        self._look_later()
