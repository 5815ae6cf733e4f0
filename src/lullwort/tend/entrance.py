"""The way in: each connection is counted when it comes, before anything is said over it, and before TLS is agreed on.

Apart from the rest because it brings the web server's library in, which a service without [http] does without.
"""

from __future__ import annotations

import asyncio
import logging
import resource
import socket
from collections.abc import Callable, Sequence
from functools import partial
from ssl import SSLContext

import uvicorn

from lullwort.card import household
from lullwort.tend.crowd import to_drop
from lullwort.tend.impatient import ImpatientProtocol

__all__ = ["Entrance", "Listening"]

_LOG = logging.getLogger("lullwort.http")

MOST_CONNECTIONS = 100
"""At a time: each takes one of the files that a process may have open, and so does the cellar book."""
_KEPT_FILES = 128
"""Of which connections take none: for the book in each thread, for commands, and for what is handed in."""
_FEWEST_CONNECTIONS = 8
AGREED_WITHIN_S = 5.0
"""[s] within which TLS is agreed on, and its end as well."""
_AT_ONCE = 16
"""Taken in before those are closed for which there is no room."""
_AGAIN_AFTER_S = 0.5
_BACKLOG = 128
_CANNOT_LISTEN = 3


def room() -> int:
    """How many connections are kept."""
    files, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    if files == resource.RLIM_INFINITY:
        return MOST_CONNECTIONS
    return min(MOST_CONNECTIONS, max(_FEWEST_CONNECTIONS, files - _KEPT_FILES))


class _Guest:
    """A connection that has been accepted."""

    def __init__(self, sock: socket.socket, protocol: ImpatientProtocol, address: str) -> None:
        self.sock, self.protocol, self.household = sock, protocol, household(address)
        self.coming: asyncio.Task[object] | None = None
        """Until both sides have agreed on how to speak."""

    @property
    def served(self) -> bool:
        return self.protocol.served

    @property
    def waiting(self) -> bool:
        return self.protocol.waiting

    @property
    def stays(self) -> bool:
        return self.protocol.stays

    def drop(self) -> None:
        if self.protocol.made:
            self.protocol.transport.abort()
        elif self.coming is not None:
            self.coming.cancel()


class Entrance:
    """Accepts connections at these sockets, from `open` to `close`."""

    def __init__(
        self, sockets: Sequence[socket.socket], protocol: Callable[[], ImpatientProtocol], tls: SSLContext | None,
        busy: Callable[[], int],
    ) -> None:  # fmt: skip
        """Args: busy: how many requests are being answered; those whose asker has gone away, too."""
        self.sockets, self._protocol, self._tls, self._busy = sockets, protocol, tls, busy
        self._loop = asyncio.get_running_loop()
        self._guests: dict[ImpatientProtocol, _Guest] = {}
        """In the order in which they came."""
        self._room = room()
        self._open = False

    def open(self) -> None:
        """Begin to accept."""
        self._open = True
        for listening in self.sockets:
            listening.setblocking(False)
            self._loop.add_reader(listening, self._accept, listening)

    def close(self) -> None:
        """Accept no more, and let go of those that have not come in yet."""
        self._open = False
        for listening in self.sockets:
            self._loop.remove_reader(listening)
            listening.close()
        for guest in [one for one in self._guests.values() if one.coming is not None]:
            guest.drop()

    async def wait_closed(self) -> None:
        """It is, once it has been told to."""

    def _accept(self, listening: socket.socket) -> None:
        if self._busy() > 2 * self._room:
            self._rest(listening)
            return
        for _ in range(_AT_ONCE):
            try:
                sock, address = listening.accept()
            except (BlockingIOError, InterruptedError, ConnectionAbortedError):
                return
            except OSError as exc:
                _LOG.error("no connection can be accepted for now", extra={"why": exc.strerror})
                self._rest(listening)
                return
            self._take_in(sock, address[0])

    def _rest(self, listening: socket.socket) -> None:
        """Those who come wait with the system."""
        self._loop.remove_reader(listening)
        self._loop.call_later(_AGAIN_AFTER_S, self._go_on, listening)

    def _go_on(self, listening: socket.socket) -> None:
        if self._open:
            self._loop.add_reader(listening, self._accept, listening)

    def _take_in(self, sock: socket.socket, address: str) -> None:
        protocol = self._protocol()
        guest = self._guests[protocol] = _Guest(sock, protocol, address)
        protocol.on_lost = partial(self._gone, protocol)
        if len(self._guests) > self._room:
            dropped = to_drop(list(self._guests.values()))
            self._gone(dropped.protocol)
            dropped.drop()
        within_s = None if self._tls is None else AGREED_WITHIN_S
        coming = self._loop.connect_accepted_socket(
            lambda: protocol, sock, ssl=self._tls, ssl_handshake_timeout=within_s, ssl_shutdown_timeout=within_s
        )
        guest.coming = asyncio.ensure_future(coming)
        guest.coming.add_done_callback(partial(self._came, guest))

    def _gone(self, protocol: ImpatientProtocol) -> None:
        self._guests.pop(protocol, None)

    def _came(self, guest: _Guest, coming: asyncio.Task[object]) -> None:
        guest.coming = None
        failed = None if coming.cancelled() else coming.exception()
        if failed is not None and not isinstance(failed, OSError):  # of TLS and of the network: he went away, or errs
            _LOG.error("a connection could not be taken in", exc_info=failed)
        if not guest.protocol.made:
            guest.sock.close()
            self._gone(guest.protocol)


class Listening(uvicorn.Server):
    """The web server, with this way in; sockets of others it does not take."""

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:  # noqa: ARG002 - the server's signature
        """Begin to listen. Raises SystemExit where the address is taken or may not be used."""
        await self.lifespan.startup()
        config, loop = self.config, asyncio.get_running_loop()

        def protocol() -> ImpatientProtocol:
            return ImpatientProtocol(config, self.server_state, self.lifespan.state, loop)

        try:
            found = await loop.getaddrinfo(config.host, config.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
            bound = [socket.create_server(at, family=family, backlog=_BACKLOG) for family, _, _, _, at in found[:1]]
        except OSError as exc:
            raise SystemExit(_CANNOT_LISTEN) from exc
        for listening in bound:
            # Handed on to what is accepted. asyncio sets it where it has made the sockets itself; without it the end of
            # an answer waits until the other side has acknowledged its beginning, as a rule for 40 ms [RFC 896; RFC
            # 1122, section 4.2.3.2].
            listening.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        entrance = Entrance(bound, protocol, config.ssl, lambda: len(self.server_state.tasks))
        entrance.open()
        self.servers = [entrance]  # type: ignore[list-item]  # has all that is asked: sockets, close, wait_closed
        self.started = True
