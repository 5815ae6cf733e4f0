"""The card's addresses: what is answered to whom who asks for which page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from lullwort.card.assets import ASSETS
from lullwort.card.cellar import Cellar
from lullwort.card.curvepart import curve_part
from lullwort.card.curvespan import CurveSpan, chosen_span
from lullwort.card.desk import Desk
from lullwort.card.door import Door
from lullwort.card.overview import overview
from lullwort.card.page import page
from lullwort.card.vesselpage import batch_page, vessel_page
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.settings import Settings

__all__ = ["card_app"]

_FOR_GOOD = "public, max-age=31536000, immutable"


class _Page(NamedTuple):
    title: str
    body: Sequence[str]
    live: str = ""


def card_app(settings: Settings, desk: Desk) -> ASGIApp:
    """The card as an application that a server runs."""
    return Door(Starlette(routes=_Routes(settings, desk).all()))


class _Routes:
    def __init__(self, settings: Settings, desk: Desk) -> None:
        self._settings, self._desk = settings, desk

    def all(self) -> list[Route]:
        return [
            Route("/", self._overview),
            Route("/vessel/{vessel}", self._vessel),
            Route("/batch/{batch}", self._batch),
            Route("/batch/{batch}/curve", self._curve),
            Route("/assets/{name}", self._asset),
        ]

    async def _overview(self, request: Request) -> Response:
        units = self._units(request)
        return await self._page(lambda cellar: _Page("May it be packaged?", overview(cellar.vessels(), units), "/"))

    async def _vessel(self, request: Request) -> Response:
        vessel, units, span = request.path_params["vessel"], self._units(request), _span(request)

        def made(cellar: Cellar) -> _Page | None:
            facts = cellar.vessel(vessel)
            return None if facts is None else _Page(vessel, vessel_page(facts, units, span), f"/vessel/{vessel}")

        return await self._page(made)

    async def _batch(self, request: Request) -> Response:
        name, units, span = request.path_params["batch"], self._units(request), _span(request)

        def made(cellar: Cellar) -> _Page | None:
            facts = cellar.batch(name)
            return None if facts is None else _Page(name, batch_page(facts, units, span), f"/batch/{name}")

        return await self._page(made)

    async def _curve(self, request: Request) -> Response:
        name, units, span = request.path_params["batch"], self._units(request), _span(request)

        def made(cellar: Cellar) -> str | None:
            facts = cellar.batch(name)
            return None if facts is None else curve_part(facts, units, span)

        found = await self._desk.ask(made)
        if found is None:
            raise HTTPException(404)
        return HTMLResponse(found, headers={"Cache-Control": "no-store"})

    async def _asset(self, request: Request) -> Response:
        found = ASSETS.get(request.url.path)
        if found is None:
            raise HTTPException(404)
        media, content = found
        return Response(content, media_type=media, headers={"Cache-Control": _FOR_GOOD})

    async def _page(self, made: Callable[[Cellar], _Page | None]) -> Response:
        found = await self._desk.ask(made)
        if found is None:
            raise HTTPException(404)
        return HTMLResponse(page(found.title, found.body, live=found.live), headers={"Cache-Control": "no-store"})

    def _units(self, request: Request) -> Units:  # noqa: ARG002
        return self._settings.units


def _span(request: Request) -> CurveSpan:
    try:
        return chosen_span(request.query_params)
    except UsageError as exc:
        raise HTTPException(400, str(exc)) from exc
