"""What is kept for a short while for the page that comes next: what a command said, and which forms were taken."""

from __future__ import annotations

import asyncio
import secrets
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

__all__ = ["OnceOnly", "Told"]

_MOST = 200
_KEPT_S = 600.0

Came = TypeVar("Came")


@dataclass
class Told:
    """HTML to be shown once to one visitor, by a random id; the oldest go first."""

    _notes: dict[tuple[str, str], str] = field(default_factory=dict)

    def keep(self, visitor: str, note: str) -> str:
        """Its id."""
        called = secrets.token_urlsafe(9)
        self._notes[visitor, called] = note
        while len(self._notes) > _MOST:
            del self._notes[next(iter(self._notes))]
        return called

    def take(self, visitor: str, called: str) -> str:
        """The note, which is forgotten then; empty where there is none of this visitor."""
        return self._notes.pop((visitor, called), "")


@dataclass
class OnceOnly(Generic[Came]):
    """Does the same thing once, however often it is asked for within ten minutes: who taps twice means it once."""

    lasting: Callable[[Came], bool]
    clock: Callable[[], float] = time.monotonic
    _came: dict[object, tuple[float, asyncio.Future[Came]]] = field(default_factory=dict)

    async def do(self, what: object, work: Callable[[], Awaitable[Came]]) -> tuple[Came, bool]:
        """What came of it, and whether an earlier asking did it. What came of it and does not last may be asked for
        again, as may what failed."""
        now = self.clock()
        for old in [key for key, (at, _) in self._came.items() if now - at > _KEPT_S][:_MOST]:
            del self._came[old]
        if what in self._came:
            return await asyncio.shield(self._came[what][1]), True
        task = asyncio.ensure_future(work())
        self._came[what] = now, task
        while len(self._came) > _MOST:
            del self._came[next(iter(self._came))]
        lasts = False
        try:
            came = await asyncio.shield(task)
            lasts = self.lasting(came)
            return came, False
        finally:
            if not lasts and task.done():
                self._came.pop(what, None)
