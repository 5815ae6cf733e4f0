"""The service's own address: readings by POST, its health, and metrics."""

from __future__ import annotations

import asyncio
import contextlib
import hmac
import logging
import threading
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from lullwort.collector import Arrival, Form, HttpSettings, Outcome, Packet
from lullwort.errors import SourceError
from lullwort.tend.health import Health, as_json, as_metrics

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.types import ASGIApp

__all__ = ["HttpFace"]

_LOG = logging.getLogger("lullwort.http")

_MAX_BYTES = 1 << 20
_STORED_WITHIN_S = 15.0
_STARTED_WITHIN_S = 10.0
_AGAIN_AFTER_S = 30
SENML_TYPES = ("application/senml+json",)
JSON_TYPE = "application/json"


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
    ) -> None:
        """
        Args:   hand_over: takes a message without waiting; False where the queue is full.
                card: the application that answers all that is asked for beside readings and health.
        Raises: SourceError where the token cannot be read.
        """
        self._settings, self._forms, self._hand_over = settings, forms, hand_over
        self._health, self._now_us, self._card = health, now_us, card
        self._token = _token(settings.token_file)
        self._server: Any = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin to listen. Raises SourceError where the address is taken or may not be used."""
        import uvicorn

        from lullwort.tend.impatient import ImpatientProtocol

        settings = self._settings
        config = uvicorn.Config(
            self._app(),
            host=settings.host,
            port=settings.port,
            http=ImpatientProtocol,
            ws="none",
            lifespan="off",
            loop="asyncio",
            log_config=None,
            log_level="warning",
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=2,
            limit_concurrency=100,
            ssl_certfile=settings.certificate_file,
            ssl_keyfile=settings.key_file,
        )
        try:
            config.load()
        except (OSError, ValueError) as exc:  # of TLS; nothing else is read from files
            raise SourceError(f"{settings.certificate_file}: cannot be used with {settings.key_file}: {exc}") from exc
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._run, name="http", daemon=True)
        self._thread.start()
        give_up = time.monotonic() + _STARTED_WITHIN_S
        while not self._server.started:
            if not self._thread.is_alive() or time.monotonic() > give_up:
                raise SourceError(f"{settings.host}:{settings.port}: cannot be listened on")
            time.sleep(0.01)
        _LOG.info("listening", extra={"host": settings.host, "port": settings.port})

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

    def _app(self) -> Starlette:
        from starlette.applications import Starlette
        from starlette.routing import BaseRoute, Mount, Route

        routes: list[BaseRoute] = [
            Route("/readings", self._readings, methods=["POST"]),
            Route("/health", self._tell_health, methods=["GET"]),
            Route("/metrics", self._tell_metrics, methods=["GET"]),
        ]
        if self._card is not None:
            routes.append(Mount("/", self._card))
        return Starlette(routes=routes)

    async def _readings(self, request: Request) -> Response:
        if not self._may(request):
            return _answer(401, "a bearer token is asked for", {"WWW-Authenticate": "Bearer"})
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

        if not self._may(request):
            return _answer(401, "a bearer token is asked for", {"WWW-Authenticate": "Bearer"})
        health = self._health()
        return Response(as_json(health), 200 if health.well else 503, media_type=JSON_TYPE)

    async def _tell_metrics(self, request: Request) -> Response:
        from starlette.responses import Response

        if not self._may(request):
            return _answer(401, "a bearer token is asked for", {"WWW-Authenticate": "Bearer"})
        return Response(as_metrics(self._health()), media_type="text/plain; version=0.0.4; charset=utf-8")

    def _may(self, request: Request) -> bool:
        if self._token is None:
            return True
        scheme, _, given = request.headers.get("authorization", "").partition(" ")
        return scheme.lower() == "bearer" and hmac.compare_digest(given.strip().encode(), self._token.encode())


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


def _token(path: Path | None) -> str | None:
    if path is None:
        return None
    try:
        token = path.read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as exc:
        raise SourceError(f"{path}: the token cannot be read from it") from exc
    if not token:
        raise SourceError(f"{path}: holds no token")
    return token
