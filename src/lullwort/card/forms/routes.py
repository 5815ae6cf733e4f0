"""Addresses of the forms."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from lullwort.card.forms.closebatch import close_form
from lullwort.card.forms.doing import Doing
from lullwort.card.forms.editbatch import edit_form
from lullwort.card.forms.note import note_form
from lullwort.card.forms.openbatch import open_form
from lullwort.card.forms.sample import sample_form
from lullwort.card.forms.takeback import take_back_form
from lullwort.card.forms.unitspage import units_answer

__all__ = ["form_routes"]


def form_routes(doing: Doing) -> list[Route]:
    """All of them."""

    async def units(request: Request) -> Response:
        return await units_answer(doing, request)

    async def open_(request: Request) -> Response:
        vessel = request.path_params.get("vessel", "")
        return await doing.answer(request, lambda cellar, chosen: open_form(cellar, chosen, vessel))

    async def edit(request: Request) -> Response:
        return await doing.answer(request, lambda cellar, chosen: edit_form(cellar, chosen, _batch(request)))

    async def close(request: Request) -> Response:
        return await doing.answer(request, lambda cellar, chosen: close_form(cellar, chosen, _batch(request)))

    async def note(request: Request) -> Response:
        kind = request.query_params.get("kind", "")
        return await doing.answer(request, lambda cellar, chosen: note_form(cellar, chosen, _batch(request), kind))

    async def sample(request: Request) -> Response:
        return await doing.answer(request, lambda cellar, chosen: sample_form(cellar, chosen, _batch(request)))

    async def take_back(request: Request) -> Response:
        which = request.query_params.get("which", "")
        return await doing.answer(
            request, lambda cellar, chosen: take_back_form(cellar, chosen, _batch(request), which)
        )

    answered = {
        "/units": units, "/open": open_, "/vessel/{vessel}/open": open_, "/batch/{batch}/edit": edit,
        "/batch/{batch}/close": close, "/batch/{batch}/note": note, "/batch/{batch}/sample": sample,
        "/batch/{batch}/note/remove": take_back,
    }  # fmt: skip
    return [Route(path, answer, methods=["GET", "POST"]) for path, answer in answered.items()]


def _batch(request: Request) -> str:
    return str(request.path_params["batch"])
