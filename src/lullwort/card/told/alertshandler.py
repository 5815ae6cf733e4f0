"""The addresses of alerts: what was told, and that somebody has seen it."""

from __future__ import annotations

import re
from collections.abc import Callable

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from lullwort.card.commands.commands import BusyError, Commands
from lullwort.card.door.posted import posted
from lullwort.card.door.visitor import visitor_of
from lullwort.card.known.cellar import Cellar
from lullwort.card.known.desk import Desk
from lullwort.card.pages.page import page
from lullwort.card.told.alertspage import alerts_page
from lullwort.cellarbook import Posted
from lullwort.settings import Settings
from lullwort.standing import standing_alerts

__all__ = ["Alerts"]

_RECENT = 30
_NAME = re.compile("[0-9a-f]{10}")


class Alerts:
    """Shows them, and puts down by `lullwort alerts` that one was seen."""

    def __init__(self, desk: Desk, commands: Commands, chosen: Callable[[Request], Settings]) -> None:
        """
        Args:   chosen: the settings of whoever asks.
        """
        self._desk, self._commands, self._chosen = desk, commands, chosen

    def routes(self) -> list[Route]:
        """The addresses."""
        return [
            Route("/alerts", self._show),
            Route("/alerts/{name}/seen", self._see, methods=["POST"]),
        ]

    async def _show(self, request: Request) -> Response:
        standing, recent = await self._desk.ask(_alerts)
        settings = self._chosen(request)
        token = visitor_of(request).form_token
        body = alerts_page(standing, recent, token, settings.units, settings.alert_targets)
        return HTMLResponse(page("Alerts", body, here="/alerts"))

    async def _see(self, request: Request) -> Response:
        await posted(request)
        name = request.path_params["name"]
        if not _NAME.fullmatch(name):
            raise HTTPException(404, "There is no such alert.")
        try:
            ran = await self._commands.run("alerts", f"--seen={name}")
        except BusyError as exc:
            raise HTTPException(503, "Too much is being entered just now: try again in a minute.") from exc
        except TimeoutError as exc:
            raise HTTPException(503, "It took too long to be put down. Try again in a minute.") from exc
        if ran.code == 1:
            raise HTTPException(404, "There is no such alert.")
        if not ran.done:
            raise HTTPException(503, "It could not be put down: the book does not take it. Try again in a minute.")
        return RedirectResponse("/alerts", 303)


def _alerts(cellar: Cellar) -> tuple[list[Posted], list[Posted]]:
    return standing_alerts(cellar.book), cellar.book.outbox.recent(_RECENT)
