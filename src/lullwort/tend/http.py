"""The service's own address: readings by POST, its health, and metrics."""

from __future__ import annotations

import asyncio
import contextlib
import hmac
import logging
import math
import threading
import time
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import msgspec

from lullwort.collector import Arrival, Form, HttpSettings, Outcome, Packet, http_token
from lullwort.errors import SourceError
from lullwort.tend.health import Health, as_json, as_metrics
from lullwort.tend.logs import thin_out

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.types import ASGIApp

    from lullwort.card import Guesses

__all__ = ["HttpFace"]

_LOG = logging.getLogger("lullwort.http")

_MAX_BYTES = 1 << 20
_STORED_WITHIN_S = 15.0
_STARTED_WITHIN_S = 10.0
_AGAIN_AFTER_S = 30
_LONGEST_HEAD = 32_768
SENML_TYPES = ("application/senml+json",)
JSON_TYPE = "application/json"
_READINGS, _HEALTH, _METRICS = "/readings", "/health", "/metrics"


class HttpFace:
    """Listens in a thread of its own from `start` to `stop`."""

    def __init__(
        self,
        settings: HttpSettings,
        forms: Mapping[str, Form],
        hand_over: Callable[[Arrival], bool],
        health: Callable[[], Health],
        now_us: Callable[[], int],
        card: ASGIApp | None = None,
        guesses: Guesses | None = None,
    ) -> None:
        """
        Args:   hand_over: takes a message without waiting; False where the queue is full.
                card: the application that answers all that is asked for beside readings and health.
                guesses: wrong tokens; those given to the card count here too.
        Raises: SourceError where the token cannot be read.
        """
        self._settings, self._forms, self._hand_over = settings, forms, hand_over
        self._health, self._now_us, self._card = health, now_us, card
        self._token, self._guesses = http_token(settings), guesses
        self._server: Any = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin to listen. Raises SourceError where the address is taken or may not be used."""
        import uvicorn

        from lullwort.tend.entrance import Listening

        thin_out("asyncio", "uvicorn.error", "lullwort.http", "lullwort.guesses")
        settings = self._settings
        config = uvicorn.Config(
            self._app(),
            host=settings.host,
            port=settings.port,
            http="h11",
            ws="none",
            lifespan="off",
            loop="asyncio",
            log_config=None,
            log_level="warning",
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=2,
            proxy_headers=False,  # whoever sits on this machine could guess tokens in the name of others
            h11_max_incomplete_event_size=_LONGEST_HEAD,
            ssl_certfile=settings.certificate_file,
            ssl_keyfile=settings.key_file,
        )
        try:
            config.load()
        except (OSError, ValueError) as exc:  # of TLS; nothing else is read from files
            raise SourceError(f"{settings.certificate_file}: cannot be used with {settings.key_file}: {exc}") from exc
        self._server = Listening(config)
        self._thread = threading.Thread(target=self._run, name="http", daemon=True)
        self._thread.start()
        give_up = time.monotonic() + _STARTED_WITHIN_S
        while not self._server.started:
            if not self._thread.is_alive() or time.monotonic() > give_up:
                raise SourceError(f"{settings.host}:{settings.port}: cannot be listened on")
            time.sleep(0.01)
        _LOG.info("listening", extra={"host": settings.host, "port": settings.port})
        if settings.legible:
            _LOG.warning("without TLS the token and all pages can be read by whoever is on the network")

    def stop(self, timeout_s: float) -> None:
        """Stop listening; requests under way are answered first, for `timeout_s` [s] at most."""
        if self._server is not None and self._thread is not None:
            self._server.should_exit = True
            self._thread.join(timeout_s)

    def _run(self) -> None:
        try:
            self._server.run()
        except SystemExit:
            _LOG.error("the address cannot be listened on", extra={"port": self._settings.port})
            return
        if not self._server.should_exit:
            raise SourceError(f"{self._settings.host}:{self._settings.port}: is listened on no longer")

    def _app(self) -> ASGIApp:
        from starlette.applications import Starlette
        from starlette.routing import Route

        from lullwort.card import Guard, Guesses

        self._guesses = self._guesses or Guesses()
        routes = [
            Route(_READINGS, self._readings, methods=["POST"]),
            Route(_HEALTH, self._tell_health, methods=["GET"]),
            Route(_METRICS, self._tell_metrics, methods=["GET"]),
        ]
        app, programs = Starlette(routes=routes), (_READINGS, _HEALTH, _METRICS)
        app.router.redirect_slashes = False
        if self._card is not None:
            app.router.default = self._card
        return Guard(app, self._settings, programs)

    async def _readings(self, request: Request) -> Response:
        refused = self._refused(request)
        if refused is not None:
            return refused
        media = request.headers.get("content-type", "").partition(";")[0].strip().lower()
        form = request.query_params.get("form", self._settings.form)
        if media in SENML_TYPES:
            form = ""
        elif media != JSON_TYPE:
            return _answer(415, f"the body is {media or 'of no stated type'}, expected {SENML_TYPES[0]} or {JSON_TYPE}")
        elif form not in self._forms:
            known = ", ".join(self._forms) or "none"
            return _answer(422, f"form is {form!r}, expected one headed [form.NAME] in the settings ({known})")
        body = await _body(request)
        if body is None:
            return _answer(413, f"the body is longer than {_MAX_BYTES} bytes")
        outcome = await self._store(Packet("http", "http:/readings", body, self._now_us(), form))
        if outcome is None or outcome.failed is not None:
            why = "it takes too long to be stored" if outcome is None else outcome.failed
            return _answer(503, why or "", {"Retry-After": str(_AGAIN_AFTER_S)})
        aside = [
            {"place": row.place, "field": row.column, "seen": row.seen, "expected": row.expected}
            for row in outcome.set_aside
        ]
        status = 422 if aside and not outcome.stored else 200
        return _json(status, {"stored": outcome.stored, "set_aside": aside})

    async def _store(self, packet: Packet) -> Outcome | None:
        """None where it was not stored in time; sent again it does no harm."""
        loop = asyncio.get_running_loop()
        settled: asyncio.Future[Outcome] = loop.create_future()

        def settle(outcome: Outcome) -> None:
            with contextlib.suppress(RuntimeError):  # it has stopped listening meanwhile; its sender asks again
                loop.call_soon_threadsafe(lambda: None if settled.done() else settled.set_result(outcome))

        if not self._hand_over(Arrival(packet, settle)):
            return None
        try:
            return await asyncio.wait_for(settled, _STORED_WITHIN_S)
        except TimeoutError:
            return None

    async def _tell_health(self, request: Request) -> Response:
        from starlette.responses import Response

        refused = self._refused(request)
        if refused is not None:
            return refused
        health = self._health()
        return Response(as_json(health), 200 if health.well else 503, media_type=JSON_TYPE)

    async def _tell_metrics(self, request: Request) -> Response:
        from starlette.responses import Response

        refused = self._refused(request)
        if refused is not None:
            return refused
        return Response(as_metrics(self._health()), media_type="text/plain; version=0.0.4; charset=utf-8")

    def _refused(self, request: Request) -> Response | None:
        """What is answered to who does not show the token; None for who does, or where there is none."""
        if self._token is None or self._guesses is None:
            return None
        scheme, _, given = request.headers.get("authorization", "").partition(" ")
        asked_for = {"WWW-Authenticate": "Bearer"}
        if scheme.lower() != "bearer":
            return _answer(401, "a bearer token is asked for", asked_for)
        address = request.client.host if request.client is not None else ""
        wait_s = math.ceil(self._guesses.wait_s(address, time.monotonic()))
        if wait_s:
            return _answer(429, "too many wrong tokens came from this address", {"Retry-After": str(wait_s)})
        if hmac.compare_digest(given.strip().encode(), self._token.encode()):
            self._guesses.right(address)
            return None
        self._guesses.wrong(address, given, time.monotonic())
        return _answer(401, "this is not the bearer token that is asked for", asked_for)


async def _body(request: Request) -> bytes | None:
    """None for one that is too long, found out before it is held."""
    parts, length = [], 0
    async for part in request.stream():
        length += len(part)
        if length > _MAX_BYTES:
            return None
        parts.append(part)
    return b"".join(parts)


def _answer(status: int, why: str, headers: Mapping[str, str] | None = None) -> Response:
    return _json(status, {"error": why}, headers)


def _json(status: int, content: dict[str, Any], headers: Mapping[str, str] | None = None) -> Response:
    from starlette.responses import Response

    return Response(msgspec.json.encode(content), status, dict(headers or {}), JSON_TYPE)
