"""What the service shows over HTTP, put together. Apart because it brings in the web server's library."""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import AbstractContextManager

from starlette.types import ASGIApp

from lullwort.card import Ahead, Desk, Guesses, News, OnDemand, Tended, Workroom, card_addresses
from lullwort.cellarbook import Book
from lullwort.collector import Arrival, HttpSettings
from lullwort.settings import Settings
from lullwort.tend.health import Health
from lullwort.tend.http import HttpFace
from lullwort.tend.keeper import Keeper

__all__ = ["Facing"]

_LOG = logging.getLogger("lullwort.card")


class Facing:
    """Listens, and answers with pages, from `start` to `stop`."""

    def __init__(
        self,
        settings: Settings,
        http: HttpSettings,
        keeper: Keeper,
        hand_over: Callable[[Arrival], bool],
        health: Callable[[], Health],
        book: Callable[[], AbstractContextManager[Book]],
        now_us: Callable[[], int],
    ) -> None:
        """Args and errors as of `HttpFace` and `Desk`."""
        Workroom(settings.book)  # what a service that was killed has left there goes at once, not when somebody looks

        def tended() -> Tended:
            revision = keeper.judging.revision  # asked first: what is judged meanwhile rests on that or a newer one
            return Tended(keeper.judging.by_name(), keeper.failing, revision)

        self._http, self._keeper, self._news = http, keeper, News()
        self._desk = Desk(book, tended, now_us)
        self._ahead, guesses = Ahead(self._desk), Guesses()

        def load() -> ASGIApp:
            from lullwort.card import card_app

            self._ahead.start()
            self._ahead.tell()
            return card_app(settings, self._desk, guesses, self._news)

        self._face = HttpFace(http, settings.forms, hand_over, health, now_us, OnDemand(load), guesses)

    def start(self) -> None:
        """Begin to listen. Raises SourceError where the address is taken or may not be used."""
        self._face.start()
        first, *others = card_addresses(self._http)
        _LOG.info("the card is at", extra={"address": f"{first}/", **({"or": " ".join(others)} if others else {})})
        self._keeper.on_news = self._hear

    def stop(self, timeout_s: float) -> None:
        """Stop listening; requests under way are answered first, for `timeout_s` [s] at most."""
        self._keeper.on_news = lambda _vessels: None
        self._news.close()
        self._face.stop(timeout_s)
        self._ahead.stop()
        self._desk.close()

    def _hear(self, vessels: frozenset[str]) -> None:
        self._news.tell(vessels)
        self._ahead.tell()
