"""The card's addresses: what is answered to whom who asks for which page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from lullwort.card.alertshandler import Alerts
from lullwort.card.assets import ASSETS
from lullwort.card.cellar import Cellar
from lullwort.card.chosen import chosen_settings
from lullwort.card.commands import Commands
from lullwort.card.desk import Desk
from lullwort.card.door import Door
from lullwort.card.downloads import Downloads
from lullwort.card.forms import Doing, form_routes
from lullwort.card.guesses import Guesses
from lullwort.card.imports import Imports
from lullwort.card.mishaps import mishaps
from lullwort.card.overview import overview
from lullwort.card.page import page
from lullwort.card.vesselpage import batch_page, page_title, vessel_page
from lullwort.card.workroom import Workroom
from lullwort.collector import HttpSettings, http_token
from lullwort.detector import Units
from lullwort.settings import Settings

__all__ = ["card_app"]

_FOR_GOOD = "public, max-age=31536000, immutable"


class _Page(NamedTuple):
    title: str
    body: Sequence[str]
    live: str = ""


def card_app(settings: Settings, desk: Desk, guesses: Guesses | None = None) -> Door:
    """The card as an application that a server runs.

    Args:   guesses: wrong tokens that were given to this service in another way count too.
    Raises: SourceError where the token cannot be read.
    """
    http = settings.http or HttpSettings()
    app = Starlette(routes=_Routes(settings, desk).all(), exception_handlers=mishaps())
    return Door(app, http_token(http), http.port, guesses or Guesses(), uploads=settings.book.parent)


class _Routes:
    def __init__(self, settings: Settings, desk: Desk) -> None:
        self._settings, self._desk = settings, desk
        commands, workroom = Commands(settings.book), Workroom(settings.book)
        desk.at_close(workroom.close)
        self._doing = Doing(settings, desk, commands)
        self._downloads = Downloads(desk, Commands(settings.book), workroom, self._chosen)
        self._imports = Imports(settings, desk, workroom, self._chosen)
        self._alerts = Alerts(desk, commands, self._chosen)

    def all(self) -> list[Route]:
        return [
            Route("/", self._overview),
            Route("/vessel/{vessel}", self._vessel),
            Route("/batch/{batch}", self._batch),
            *form_routes(self._doing),
            *self._downloads.routes(),
            *self._imports.routes(),
            *self._alerts.routes(),
            Route("/assets/{name}", self._asset),
        ]

    async def _overview(self, request: Request) -> Response:
        units = self._units(request)

        def made(cellar: Cellar) -> _Page:
            body = overview(cellar.vessels(), units, cellar.now_us(), failing=cellar.tended().failing)
            return _Page("May it be packaged?", body, "/")

        return await self._page(request, made)

    async def _vessel(self, request: Request) -> Response:
        name, units, container = request.path_params["vessel"], self._units(request), _container(request)

        def made(cellar: Cellar) -> _Page | None:
            facts = cellar.vessel(name)
            if facts is None:
                return None
            title = f"Cannot tell: {name}" if facts.batch is None else page_title(facts.batch)
            body = vessel_page(facts, units, failing=cellar.tended().failing, container=container)
            return _Page(title, body, f"/vessel/{name}")

        return await self._page(request, made)

    async def _batch(self, request: Request) -> Response:
        name, units, container = request.path_params["batch"], self._units(request), _container(request)

        def made(cellar: Cellar) -> _Page | None:
            facts = cellar.batch(name)
            if facts is None:
                return None
            vessel = cellar.vessel(facts.batch.vessel)
            body = batch_page(facts, units, vessel=vessel, failing=cellar.tended().failing, container=container)
            return _Page(page_title(facts), body, f"/batch/{name}")

        return await self._page(request, made)

    async def _asset(self, request: Request) -> Response:
        found = ASSETS.get(request.url.path)
        if found is None:
            raise HTTPException(404)
        media, content = found
        return Response(content, media_type=media, headers={"Cache-Control": _FOR_GOOD})

    async def _page(self, request: Request, made: Callable[[Cellar], _Page | None]) -> Response:
        found = await self._desk.ask(made)
        if found is None:
            raise HTTPException(404)
        return HTMLResponse(
            page(found.title, [self._doing.told_to(request), *found.body], live=found.live),
            headers={"Cache-Control": "no-store"},
        )

    def _chosen(self, request: Request) -> Settings:
        return chosen_settings(request, self._settings)

    def _units(self, request: Request) -> Units:
        return self._chosen(request).units


def _container(request: Request) -> str:
    """In which a beer is to be reckoned with, as it was asked for; empty for its own."""
    return request.query_params.get("container", "").strip()
