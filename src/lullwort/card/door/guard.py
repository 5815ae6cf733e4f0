"""Stands before all that is asked for over HTTP: is it meant for us, from a page of ours, and not too long?"""

from __future__ import annotations

import math
from collections.abc import Collection
from http import HTTPStatus

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lullwort.card.door.hosts import Hosts, host_named
from lullwort.card.door.safeheaders import safe_headers
from lullwort.card.pages.around import AROUND, Around
from lullwort.collector import HttpSettings

__all__ = ["Guard"]

_LONGEST_ADDRESS = 2048
_LONGEST_HEADERS = 16_384
_LONGEST_FORM = 256 * 1024
_LONGEST_TOKEN = 4096
_LONGEST_NAME = 253
_SAFE = ("GET", "HEAD", "OPTIONS")
_OWN = (None, "same-origin", "none")
_NO_BROWSER = "localhost"
"""Stands for a `Host` that is not given: every browser gives one."""


class Guard:
    """Lets through what may be answered, and puts safe headers on every answer."""

    def __init__(self, app: ASGIApp, settings: HttpSettings, programs: Collection[str] = ()) -> None:
        """Args: programs: paths that programs ask for, which want no page, and which see to the length themselves."""
        self._app, self._settings, self._programs = app, settings, programs
        self._hosts = Hosts(settings.names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """As every ASGI application is called."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        AROUND.set(Around(legible=self._settings.legible))
        headers = Headers(scope=scope)
        safely = safe_headers(send)
        for_program = scope["path"] in self._programs
        most = math.inf if for_program else self._longest_body(scope, headers)
        refused = self._refused(scope, headers, most, for_program=for_program)
        if refused is None:
            await self._app(scope, _measured(receive, most), safely)
            return
        status, says = refused
        if for_program:
            answer: Response = JSONResponse({"error": says or HTTPStatus(status).phrase}, status)
        else:
            from lullwort.card.pages.errorpage import error_page  # brings in the looks of pages

            answer = error_page(status, says)
        await answer(scope, receive, safely)

    def _refused(self, scope: Scope, headers: Headers, most: float, *, for_program: bool) -> tuple[int, str] | None:
        """Status, and a sentence if there is more to say; None where nothing stands against it."""
        if len(scope["raw_path"]) + len(scope["query_string"]) > _LONGEST_ADDRESS:
            return 414, ""
        if scope["path"].endswith("\n"):  # the routes' patterns take no notice of it, and all that compares paths does
            return 404, ""
        if sum(len(name) + len(value) for name, value in headers.raw) > _LONGEST_HEADERS:
            return 431, ""
        # A program that shows the token is nobody's page. Where there is none, somebody's page might send readings.
        shows_token = for_program and self._settings.token_file is not None
        if not shows_token and not self._hosts.may_be(headers.get("host", _NO_BROWSER)):
            return 421, _another_name(headers["host"])
        if not _from_own_page(scope["method"], headers):
            return 403, ""
        return (413, _too_long(most)) if _declared(headers) > most else None

    def _longest_body(self, scope: Scope, headers: Headers) -> int:
        """[bytes] Only what has a file in it may be long, and only where somebody is known."""
        if scope["path"] == "/enter":
            return _LONGEST_TOKEN
        media = headers.get("content-type", "").partition(";")[0].strip().lower()
        return (self._settings.upload_mib << 20) + _LONGEST_FORM if media == "multipart/form-data" else _LONGEST_FORM


def _another_name(host: str) -> str:
    name = host_named(host)
    if name is None or len(name) > _LONGEST_NAME:
        return "The card was asked for by something that is no name of a machine."
    return (
        f"The card was asked for as {name}, a name that it does not know as its own. If it is, list it in the "
        f'settings, under [http]: names = ["{name}"].'
    )


def _from_own_page(method: str, headers: Headers) -> bool:
    """Whether a browser tells that a page of ours asks, or its user himself; what is no browser tells nothing.

    Source: Fetch Metadata Request Headers (W3C), and RFC 6454 7. Who follows a link comes from elsewhere; a frame of
    somebody else's page does so too, and would have us work without anybody having asked.
    """
    by = headers.get("sec-fetch-site")
    if method in _SAFE:
        follows = headers.get("sec-fetch-mode") == "navigate" and headers.get("sec-fetch-dest") == "document"
        return by in _OWN or follows
    origin, host = headers.get("origin"), headers.get("host", "").lower()
    own = origin is None or (host != "" and origin.lower() in (f"http://{host}", f"https://{host}"))
    return own and by in _OWN


def _declared(headers: Headers) -> int:
    length = headers.get("content-length", "0")
    return int(length) if length.isdecimal() else 0


def _too_long(most: float) -> str:
    if most <= _LONGEST_FORM:
        return ""
    return (
        f"A file may be {int(most) >> 20} MiB long; [http] of the settings has upload_mib for that. Nothing was done."
    )


def _measured(receive: Receive, most: float) -> Receive:
    """`receive`, until it has brought too much: what states no length is found out on the way."""
    brought = 0

    async def take() -> Message:
        nonlocal brought
        message = await receive()
        brought += len(message.get("body", b""))
        if brought > most:
            raise HTTPException(413, _too_long(most))
        return message

    return take
