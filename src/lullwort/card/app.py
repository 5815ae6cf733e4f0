"""The card's addresses: what is answered to whom who asks for which page."""

from __future__ import annotations

from collections.abc import Callable

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from lullwort.card.commands.commands import Commands
from lullwort.card.curve.part import curve_part
from lullwort.card.curve.shown import AS_IT_IS, Shown, shown_by
from lullwort.card.door.door import Door
from lullwort.card.door.guesses import Guesses
from lullwort.card.files.downloads import Downloads
from lullwort.card.files.workroom import Workroom
from lullwort.card.forms import Doing, form_routes
from lullwort.card.imports import Imports
from lullwort.card.known.cellar import Cellar
from lullwort.card.known.desk import Desk
from lullwort.card.known.news import News
from lullwort.card.live.livepages import LivePage, LivePages
from lullwort.card.live.livestream import LIVE_PATH, LiveStreams, live_address
from lullwort.card.live.packing import Packing
from lullwort.card.mishaps import mishaps
from lullwort.card.pages.assets import ASSETS
from lullwort.card.pages.chosen import chosen_settings
from lullwort.card.told.alertshandler import Alerts
from lullwort.card.vessels.overview import overview
from lullwort.card.vessels.vesselpage import batch_page, emptied_page, page_title, vessel_page
from lullwort.collector import HttpSettings, http_token
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.settings import Settings

__all__ = ["card_app"]

_FOR_GOOD = "public, max-age=31536000, immutable"


def card_app(settings: Settings, desk: Desk, guesses: Guesses | None = None, news: News | None = None) -> Door:
    """The card as an application that a server runs.

    Args:   guesses: wrong tokens that were given to this service in another way count too.
            news: what is told to those who follow a page; without it nothing is.
    Raises: SourceError where the token cannot be read.
    """
    http = settings.http or HttpSettings()
    routes = _Routes(settings, desk, news or News()).all()
    app = Starlette(routes=routes, middleware=[Middleware(Packing)], exception_handlers=mishaps())
    return Door(app, http_token(http), http.port, guesses or Guesses(), uploads=settings.book.parent)


class _Routes:
    def __init__(self, settings: Settings, desk: Desk, news: News) -> None:
        self._settings, self._desk = settings, desk
        self._live, self._pages = LiveStreams(news, desk.now_us), LivePages(desk)
        commands, downloading, workroom = Commands(settings.book), Commands(settings.book), Workroom(settings.book)
        desk.at_close(workroom.close)  # the last of these, once nothing writes there any more
        desk.at_close(commands.end)
        desk.at_close(downloading.end)
        self._doing = Doing(settings, desk, commands)
        self._downloads = Downloads(desk, downloading, workroom, self._chosen)
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
            Route("/batch/{batch}/curve", self._curve),
            Route("/assets/{name}", self._asset),
            Route(LIVE_PATH, self._live.answer),
        ]

    async def _overview(self, request: Request) -> Response:
        units = self._units(request)

        def made(cellar: Cellar) -> LivePage:
            body = overview(cellar.vessels(), units, cellar.now_us(), failing=cellar.failing())
            return LivePage("May it be packaged?", body, live_address(), "/")

        return await self._page(request, units, made)

    async def _vessel(self, request: Request) -> Response:
        name, units, shown = request.path_params["vessel"], self._units(request), _shown(request)

        def made(cellar: Cellar) -> LivePage | None:
            facts = cellar.vessel(name)
            if facts is None:
                taken_back = cellar.book.imports.withdrawn_from(name)
                if not taken_back:
                    return None
                body = emptied_page(name, taken_back, units, failing=cellar.failing())
                return LivePage(f"Cannot tell: {name}", body, live_address(name))
            title = f"Cannot tell: {name}" if facts.batch is None else page_title(facts.batch)
            body = vessel_page(facts, units, cellar.now_us(), failing=cellar.failing(), shown=shown)
            return LivePage(title, body, live_address(name))

        return await self._page(request, units, made, shown)

    async def _batch(self, request: Request) -> Response:
        name, units, shown = request.path_params["batch"], self._units(request), _shown(request)

        def made(cellar: Cellar) -> LivePage | None:
            facts = cellar.batch(name)
            if facts is None:
                return None
            vessel = cellar.vessel(facts.batch.vessel)
            failing, now_us = cellar.failing(), cellar.now_us()
            body = batch_page(facts, units, now_us, vessel=vessel, failing=failing, shown=shown)
            return LivePage(page_title(facts), body, live_address(facts.batch.vessel))

        return await self._page(request, units, made, shown)

    async def _curve(self, request: Request) -> Response:
        name, units, shown = request.path_params["batch"], self._units(request), _shown(request)

        def made(cellar: Cellar) -> str | None:
            facts = cellar.batch(name)
            return None if facts is None else curve_part(facts, units, shown)

        found = await self._desk.ask(made)
        if found is None:
            raise HTTPException(404)
        return HTMLResponse(found)

    async def _asset(self, request: Request) -> Response:
        found = ASSETS.get(request.scope["path"])
        if found is None:
            raise HTTPException(404)
        media, content = found
        return Response(content, media_type=media, headers={"Cache-Control": _FOR_GOOD})

    async def _page(
        self, request: Request, units: Units, made: Callable[[Cellar], LivePage | None], shown: Shown = AS_IT_IS
    ) -> Response:
        return await self._pages.answer(request, units, made, shown, self._doing.told_to(request))

    def _chosen(self, request: Request) -> Settings:
        return chosen_settings(request, self._settings)

    def _units(self, request: Request) -> Units:
        return self._chosen(request).units


def _shown(request: Request) -> Shown:
    try:
        return shown_by(request.query_params)
    except UsageError as exc:
        raise HTTPException(400, str(exc)) from exc
