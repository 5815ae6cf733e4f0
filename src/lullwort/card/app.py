"""The card's addresses: what is answered to whom who asks for which page."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import NamedTuple

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from lullwort.card.assets import ASSETS, SCRIPT_PATH, STYLE_PATH
from lullwort.card.cellar import Cellar
from lullwort.card.desk import Desk
from lullwort.card.door import Door, visitor_of
from lullwort.card.livestream import LIVE_PATH, LiveStreams, live_address
from lullwort.card.news import News
from lullwort.card.overview import overview
from lullwort.card.packing import Packing
from lullwort.card.page import page
from lullwort.card.pulse import pulse_html
from lullwort.card.shelf import Finished, Shelf, finished
from lullwort.card.vesselpage import batch_page, page_title, vessel_page
from lullwort.detector import Units
from lullwort.settings import Settings

__all__ = ["card_app"]

_FOR_GOOD = "public, max-age=31536000, immutable"


class _Page(NamedTuple):
    """
    Attributes:
        live: where it is said that it has changed, see `live_address`.
        here: its address, where every page leads to it.
    """

    title: str
    body: Sequence[str]
    live: str
    here: str = ""


def card_app(settings: Settings, desk: Desk, news: News | None = None) -> ASGIApp:
    """The card as an application that a server runs; without `news` nothing of it is told to be new."""
    return Packing(Door(Starlette(routes=_Routes(settings, desk, news or News()).all())))


class _Routes:
    def __init__(self, settings: Settings, desk: Desk, news: News) -> None:
        self._settings, self._desk = settings, desk
        self._live, self._shelf = LiveStreams(news, desk.now_us), Shelf()

    def all(self) -> list[Route]:
        return [
            Route("/", self._overview),
            Route("/vessel/{vessel}", self._vessel),
            Route("/batch/{batch}", self._batch),
            Route("/assets/{name}", self._asset),
            Route(LIVE_PATH, self._live.answer),
        ]

    async def _overview(self, request: Request) -> Response:
        units = self._units(request)

        def made(cellar: Cellar) -> _Page:
            body = overview(cellar.vessels(), units, cellar.now_us(), failing=cellar.failing())
            return _Page("May it be packaged?", body, live_address(), "/")

        return await self._page(request, units, made)

    async def _vessel(self, request: Request) -> Response:
        name, units, container = request.path_params["vessel"], self._units(request), _container(request)

        def made(cellar: Cellar) -> _Page | None:
            facts = cellar.vessel(name)
            if facts is None:
                return None
            title = f"Cannot tell: {name}" if facts.batch is None else page_title(facts.batch)
            body = vessel_page(facts, units, failing=cellar.failing(), container=container)
            return _Page(title, body, live_address(name))

        return await self._page(request, units, made)

    async def _batch(self, request: Request) -> Response:
        name, units, container = request.path_params["batch"], self._units(request), _container(request)

        def made(cellar: Cellar) -> _Page | None:
            facts = cellar.batch(name)
            if facts is None:
                return None
            vessel = cellar.vessel(facts.batch.vessel)
            body = batch_page(facts, units, vessel=vessel, failing=cellar.failing(), container=container)
            return _Page(page_title(facts), body, live_address(facts.batch.vessel))

        return await self._page(request, units, made)

    async def _asset(self, request: Request) -> Response:
        found = ASSETS.get(request.url.path)
        if found is None:
            raise HTTPException(404)
        media, content = found
        return Response(content, media_type=media, headers={"Cache-Control": _FOR_GOOD})

    async def _page(self, request: Request, units: Units, made: Callable[[Cellar], _Page | None]) -> Response:
        """A page that follows what is new, from the shelf where it stands there; 304 where it is known already."""

        def kept(cellar: Cellar) -> Finished | None:
            return self._shelf.page(
                (request.url.path, request.url.query, units),
                cellar.state(),
                lambda: self._finished(made, cellar, units),
            )

        found = await self._desk.ask(kept)
        if found is None:
            raise HTTPException(404)
        # Not stored by the browser, or what it shows again would say that it is as of an hour ago.
        headers = {"Cache-Control": "no-store", "ETag": f'W/"{found.tag}"', "Vary": "Accept-Encoding"}
        if request.headers.get("if-none-match") == headers["ETag"]:
            return Response(status_code=304, headers=headers)
        token = visitor_of(request).form_token
        if "gzip" not in request.headers.get("accept-encoding", ""):
            return HTMLResponse(found.plain(token), headers=headers)
        return HTMLResponse(found.packed_for(token), headers={**headers, "Content-Encoding": "gzip"})

    def _finished(self, made: Callable[[Cellar], _Page | None], cellar: Cellar, units: Units) -> Finished | None:
        found = made(cellar)
        if found is None:
            return None
        says = "\n".join([STYLE_PATH, SCRIPT_PATH, found.title, found.live, *found.body])
        tag = hashlib.sha256(says.encode()).hexdigest()[:20]
        pulse = pulse_html(cellar.now_us(), units)
        return finished(tag, page(found.title, found.body, live=found.live, here=found.here, tag=tag, pulse=pulse))

    def _units(self, request: Request) -> Units:  # noqa: ARG002
        return self._settings.units


def _container(request: Request) -> str:
    """In which a beer is to be reckoned with, as it was asked for; empty for its own."""
    return request.query_params.get("container", "").strip()
