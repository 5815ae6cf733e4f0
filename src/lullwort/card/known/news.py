"""What is new in the cellar, told by the thread that writes to those who have a page open."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import threading
from collections.abc import Callable, Iterable

__all__ = ["EVERY_VESSEL", "News"]

EVERY_VESSEL = ""
"""Stands for all of them, where an entry or the service itself is new."""
_MOST_VESSELS = 1000
"""Of which is kept when something of them was last new; more are names that somebody makes up."""


class News:
    """Numbers what is new, and wakes those who wait for more. `tell` and `close` from any thread, the rest in one loop.

    >>> news = News()
    >>> before = news.number("north")
    >>> news.tell(["north"])
    >>> news.number("north") - before, news.number("south") - before, news.number() - before
    (1, 0, 1)
    """

    def __init__(self) -> None:
        self.run = secrets.token_hex(4)
        """Tells the numbers of this run of the service from those of others."""
        self.over = False
        """Whether there will be no more."""
        self._lock = threading.Lock()
        self._newest, self._of_all = 0, 0
        self._of: dict[str, int] = {}
        self._waiting: dict[asyncio.Future[None], Callable[[set[str]], bool]] = {}
        self._loop: asyncio.AbstractEventLoop | None = None
        self._to_wake: set[str] = set()

    def tell(self, vessels: Iterable[str] = (EVERY_VESSEL,)) -> None:
        """Something of these is new."""
        with self._lock:
            self._newest += 1
            for vessel in vessels:
                if vessel and (vessel in self._of or len(self._of) < _MOST_VESSELS):
                    self._of[vessel] = self._newest
                else:
                    self._of_all = self._newest
            self._call(vessels)

    def close(self) -> None:
        """There will be no more: who waits is woken."""
        with self._lock:
            self.over = True
            self._call([EVERY_VESSEL])

    def number(self, vessel: str | None = None) -> int:
        """Of the newest that bears on a vessel; None: on any."""
        if vessel is None:
            return self._newest
        return max(self._of_all, self._of.get(vessel, 0))

    async def more(self, than: int, vessel: str | None, within_s: float) -> bool:
        """Whether `number` comes to be another than `than` within so long [s]; at once where there will be no more."""

        def wanted(about: set[str]) -> bool:
            return vessel is None or vessel in about or EVERY_VESSEL in about

        def there() -> bool:
            return self.number(vessel) != than

        await self._woken(wanted, there, within_s)
        return there()

    async def pause(self, for_s: float) -> None:
        """Let so long [s] pass, or less where there will be no more."""
        await self._woken(lambda _: False, lambda: False, for_s)

    async def _woken(self, wanted: Callable[[set[str]], bool], there: Callable[[], bool], within_s: float) -> None:
        self._loop = loop = asyncio.get_running_loop()
        woken: asyncio.Future[None] = loop.create_future()
        self._waiting[woken] = wanted
        try:
            if not (self.over or there()):  # asked only now: what is told from here on finds it waiting
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(woken, within_s)
        finally:
            self._waiting.pop(woken, None)

    def _call(self, about: Iterable[str]) -> None:
        """One call into the loop for all that comes until it is heard there."""
        if not self._waiting or self._loop is None:
            return
        called = bool(self._to_wake)
        self._to_wake.update(about)
        if not called:
            with contextlib.suppress(RuntimeError):  # the loop has ended, and with it all who waited
                self._loop.call_soon_threadsafe(self._wake)

    def _wake(self) -> None:
        with self._lock:
            about, self._to_wake = self._to_wake, set()
        for woken, wanted in list(self._waiting.items()):
            if not woken.done() and (self.over or wanted(about)):
                woken.set_result(None)
