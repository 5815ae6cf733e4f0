"""What the sources handed over and the keeper has not taken yet: bounded, so that a full one holds them back."""

from __future__ import annotations

import threading
from collections import deque
from itertools import islice

from lullwort.collector import Arrival

__all__ = ["Inbox"]


class Inbox:
    """A queue from many threads to one, which takes many messages with one lock."""

    def __init__(self, limit: int, limit_bytes: int = 16 << 20) -> None:
        """At most `limit` messages, and so many bytes of them or one message that is longer."""
        self.limit, self._limit_bytes = limit, limit_bytes
        self._bytes = 0
        self._waiting: deque[Arrival] = deque()
        self._lock = threading.Lock()
        self._some, self._room = threading.Condition(self._lock), threading.Condition(self._lock)

    def __len__(self) -> int:
        return len(self._waiting)

    def put(self, arrival: Arrival, wait_s: float = 0.0) -> bool:
        """Whether there was room for it within `wait_s` [s]."""
        with self._lock:
            size = len(arrival.packet.payload)
            if not self._has_room(size) and not (wait_s and self._room.wait_for(lambda: self._has_room(size), wait_s)):
                return False
            self._waiting.append(arrival)
            self._bytes += size
            if len(self._waiting) == 1:
                self._some.notify()
            return True

    def take(self, most: int, wait_s: float = 0.0) -> list[Arrival]:
        """The oldest of them, `most` at most, out of it; waits for the first up to `wait_s` [s]."""
        with self._lock:
            if not self._waiting and wait_s:
                self._some.wait_for(lambda: self._waiting, wait_s)
            group = list(islice(self._waiting, most))
            if len(group) == len(self._waiting):
                self._waiting.clear()
            else:
                for _ in group:
                    self._waiting.popleft()
            if group:
                self._bytes -= sum(len(arrival.packet.payload) for arrival in group)
                self._room.notify_all()
            return group

    def _has_room(self, size: int) -> bool:
        return len(self._waiting) < self.limit and (not self._waiting or self._bytes + size <= self._limit_bytes)
