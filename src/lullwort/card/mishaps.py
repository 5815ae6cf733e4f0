"""What is answered where a page, or what was to be done, fails."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, Mapping
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from lullwort.card.door.posted import OldFormError
from lullwort.card.door.visitor import visitor_of
from lullwort.card.pages.errorpage import error_page
from lullwort.card.pages.fields import Field, form_html
from lullwort.errors import BookError

__all__ = ["mishaps"]

_AGAIN_AFTER_S = 30
_NAME = re.compile(r"[a-z0-9_-]{1,40}", re.IGNORECASE)
_LONG = 60
"""[letters] from which a value is shown in several lines."""

Answer = Callable[[Request, Exception], Awaitable[Response]]


def mishaps() -> Mapping[Any, Answer]:
    """By kind of error, what is answered."""
    return {
        OldFormError: _old_form,
        HTTPException: _told,
        BookError: _no_book,
        ClientDisconnect: _gone,
        Exception: _unforeseen,
    }


async def _told(_: Request, exc: Exception) -> Response:
    assert isinstance(exc, HTTPException)
    known = exc.status_code in HTTPStatus.__members__.values()
    says = "" if known and exc.detail == HTTPStatus(exc.status_code).phrase else exc.detail
    return error_page(exc.status_code, says, exc.headers)


async def _old_form(request: Request, exc: Exception) -> Response:
    """What was typed, in a form that is ours: whoever posted it sees it, and sends it again."""
    assert isinstance(exc, OldFormError)
    values = {name: value for name, value in exc.values.items() if _NAME.fullmatch(name)}
    if request.headers.get("origin") is None or not values:  # nothing tells that a page of ours sent it
        return error_page(403, exc.detail)
    fields = [Field(name, name, required=True, rows=4 if len(value) > _LONG else 0) for name, value in values.items()]
    errors = {
        "": "Look whether this is still what you mean, and send it again. A file has to be chosen anew on its own page."
    }
    form = form_html(
        quote(request.scope["path"]), fields, "Send it again", visitor_of(request).form_token, values, errors
    )
    return error_page(403, exc.detail, more=form, title="This form is too old")


async def _no_book(_: Request, exc: Exception) -> Response:
    says = f"The cellar book does not answer: {exc} Wait a minute, then load the page again."
    title = "The cellar book does not answer"
    return error_page(503, says, {"Retry-After": str(_AGAIN_AFTER_S)}, title=title)


async def _gone(_: Request, __: Exception) -> Response:
    return Response(status_code=408)  # nobody reads it: the browser went away while it was sending


async def _unforeseen(_: Request, __: Exception) -> Response:
    return error_page(500)
