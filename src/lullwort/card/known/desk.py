"""The one thread that reads the book for the card, so that whoever sends readings never waits for a page."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import AbstractContextManager, ExitStack
from contextvars import copy_context
from typing import TYPE_CHECKING, TypeVar

from lullwort.card.known.tended import Tended
from lullwort.cellarbook import Book

if TYPE_CHECKING:
    from lullwort.card.known.cellar import Cellar

__all__ = ["Desk"]

Answer = TypeVar("Answer")


class Desk:
    """Opens the book when it is first asked, and answers one question after the other."""

    def __init__(
        self,
        book: Callable[[], AbstractContextManager[Book]],
        tended: Callable[[], Tended],
        now_us: Callable[[], int],
    ) -> None:
        self._open, self._tended, self.now_us = book, tended, now_us
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="card")
        self._opened = ExitStack()
        self._cellar: Cellar | None = None

    async def ask(self, question: Callable[[Cellar], Answer]) -> Answer:
        """The answer of `question`, which runs in the desk's thread. Raises BookError where the book cannot be read."""
        here = copy_context()  # what holds for the request holds for the page that is made of it
        return await asyncio.get_running_loop().run_in_executor(self._thread, here.run, self._answer, question)

    def ask_later(self, question: Callable[[Cellar], Answer]) -> Future[Answer]:
        """The same, for a thread that may wait for the answer."""
        return self._thread.submit(self._answer, question)

    def at_close(self, then: Callable[[], object]) -> None:
        """Have this done when the desk closes, once what was asked is answered."""
        self._opened.callback(then)

    def close(self) -> None:
        """Close the book, once what was asked is answered; nothing is answered afterwards."""
        self._thread.submit(self._opened.close)
        self._thread.shutdown()

    def _answer(self, question: Callable[[Cellar], Answer]) -> Answer:
        if self._cellar is None:
            from lullwort.card.known.cellar import Cellar  # brings in all that the pages tell of

            self._cellar = Cellar(self._opened.enter_context(self._open()), self._tended, self.now_us)
        return question(self._cellar)
