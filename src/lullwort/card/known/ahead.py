"""Facts of open batches made as soon as a verdict's hour has changed, so that who asks for a page does not wait."""

from __future__ import annotations

import logging
import threading
import time
from concurrent.futures import Future

from lullwort.card.known.desk import Desk

__all__ = ["Ahead"]

_LOG = logging.getLogger("lullwort.card")

_QUIET_S, _AT_MOST_S = 2.0, 20.0
"""It waits until nothing was new for so long, or for that long at most: a backlog is not foreseen hour by hour."""
_REST = 20.0
"""Times as long as it worked it then leaves the processor to others."""


class Ahead:
    """Works at the desk whenever it is told that there is news, between the questions that are asked there."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._news, self._stop = threading.Event(), threading.Event()
        self._failed = ""
        self._thread = threading.Thread(target=self._run, name="card ahead", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def tell(self) -> None:
        """There is news."""
        self._news.set()

    def stop(self) -> None:
        """End, once the batch under way is done."""
        self._stop.set()
        self._news.set()
        if self._thread.is_alive():
            self._thread.join()

    def _run(self) -> None:
        while True:
            self._news.wait()
            give_up = time.monotonic() + _AT_MOST_S
            while self._news.is_set() and not self._stop.is_set() and time.monotonic() < give_up:
                self._news.clear()
                self._stop.wait(_QUIET_S)
            while not self._stop.is_set() and self._made_one():
                pass
            if self._stop.is_set():
                return

    def _made_one(self) -> bool:
        began = time.monotonic()
        done: Future[bool] = self._desk.ask_later(lambda cellar: cellar.make_ahead())
        if (failed := done.exception()) is not None:
            # Who asks for the page is told; what stores readings goes on.
            if str(failed) != self._failed:
                _LOG.warning("a page could not be prepared", extra={"why": str(failed)})
            self._failed = str(failed)
            return False
        if done.result():
            self._stop.wait(_REST * (time.monotonic() - began))
        return done.result()
