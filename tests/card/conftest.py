"""A cellar of invented batches, and the card in front of it at a socket of its own."""

from __future__ import annotations

import asyncio
import shutil
import socket
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from pathlib import Path
from typing import NamedTuple
from urllib.parse import unquote

import msgspec
import numpy as np
import pytest
from starlette.types import ASGIApp, Message

from lullwort.card import Desk, Tended, card_app
from lullwort.cellarbook import Intake, open_book
from lullwort.collector import HttpSettings
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.records import COMMON_UNITS, HOUR_US, Batch, Reading
from lullwort.rehearsal import Invented, invent, renamed
from lullwort.settings import Settings
from lullwort.tend.health import Health
from lullwort.tend.http import HttpFace

LIVE = Intake("broker", "somewhere", "00" * 32, open_ended=True)
WELL = Health(
    up_s=1.0, failing="", broker_connected=None, queue_length=0, queue_limit=1, messages=0, readings=0, set_aside=0,
    failed=0, reading_age_s={}, verdicts={}, outbox_age_s=0.0,
)  # fmt: skip

KINDS = {
    # vessel: kind, seed, hours after the pitch at which its log ends, and the verdict then
    "stairs": ("late intruder", 2, 520, "moving again"),
    "attic": ("stuck warm", 1, 400, "stalled"),
    "yard": ("cold stall", 1, 100, "too cold"),
    "north": ("outliers and garbage", 2, 336, "ready"),
    "east": ("plain ale", 6, 150, "holding"),
    "south": ("plain ale", 3, 40, "fermenting"),
    "pantry": ("plain ale", 6, 6, "lag"),
}
"""North has a fortnight of readings ten minutes apart, some of them wild."""


def cut(invented: Invented, hours: float) -> Invented:
    """The batch as it was so many hours after its pitch."""
    until_us = invented.batch.pitched_us + round(hours * HOUR_US)
    events = tuple(event for event in invented.batch.events if event.at_us <= until_us)
    batch = msgspec.structs.replace(invented.batch, events=events)
    readings = [reading for reading in invented.readings if reading.at_us <= until_us]
    return Invented(**{**vars(invented), "batch": batch, "readings": readings})


def keep(path: Path, batches: Iterable[Batch], readings: Iterable[Reading]) -> None:
    """Put them on record."""
    builder = BlockBuilder(COMMON_UNITS)
    for r in readings:
        values = [np.nan if v is None else v for v in (r.gravity, r.temperature_c, r.inclination)]
        builder.add(r.sensor, r.vessel, r.at_us, [*values, np.nan, np.nan], 0)
    with open_book(path) as book:
        run = book.imports.begin(LIVE, 1)
        run.store(builder.build())
        run.commit()
        for batch in batches:
            book.batches.put(batch)


@pytest.fixture(scope="session")
def kept_cellar(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with one vessel of each of `KINDS`, and `loft`, which has readings but no batch. To be read only."""
    path = tmp_path_factory.mktemp("cellar") / "cellar.book"
    made = [
        cut(renamed(invent(kind, seed), vessel, f"{vessel}-1"), hours)
        for vessel, (kind, seed, hours, _) in KINDS.items()
    ]
    loose = [Reading("loft", "loft", r.at_us, r.gravity, r.temperature_c) for r in made[1].readings]
    keep(path, [one.batch for one in made], [*loose, *(reading for one in made for reading in one.readings)])
    return path


@pytest.fixture
def own_cellar(kept_cellar: Path, tmp_path: Path) -> Path:
    """The same book, to be written to."""
    path = tmp_path / "cellar.book"
    shutil.copy(kept_cellar, path)
    return path


class Served(NamedTuple):
    """The card at work: its address."""

    url: str


@contextmanager
def serving(book: Path, **settings: object) -> Iterator[Served]:
    """The card of a book, as the service serves it, with further settings."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    chosen = msgspec.structs.replace(
        Settings(book=book, gravity="sg", temperature="C", zone="UTC", http=HttpSettings(port=port)), **settings
    )
    assert chosen.http is not None
    desk = Desk(partial(open_book, book, create=False), lambda: Tended({}, ""), now_us_of(book))
    face = HttpFace(chosen.http, {}, lambda _arrival: True, lambda: WELL, now_us_of(book), card_app(chosen, desk))
    face.start()
    try:
        yield Served(f"http://127.0.0.1:{chosen.http.port}")
    finally:
        face.stop(4.0)
        desk.close()


def now_us_of(book: Path) -> Callable[[], int]:
    """A clock that stands some minutes after the newest reading of a book."""
    with open_book(book, create=False) as opened:
        newest_us = max(filter(None, (opened.newest_us(vessel) for vessel in opened.readings.vessels())))
    return lambda: newest_us + 7 * 60_000_000


@pytest.fixture
def served_with() -> Callable[..., AbstractContextManager[Served]]:
    """Serves the card of any book with any settings."""
    return serving


@pytest.fixture(scope="module")
def served(kept_cellar: Path) -> Iterator[Served]:
    """The card of the cellar that is only read."""
    with serving(kept_cellar) as at_work:
        yield at_work


class Answer(NamedTuple):
    """What an application answered; of headers sent more than once the last."""

    status: int
    headers: dict[str, str]
    text: str
    cookies: list[str]


def ask(
    app: ASGIApp,
    path: str = "/",
    method: str = "GET",
    *parts: bytes,
    client: str = "127.0.0.1",
    scheme: str = "http",
    **headers: str,
) -> Answer:
    """Ask an application without a socket: `parts` of a body as they come, headers with _ for -."""
    raw_path, _, query = path.partition("?")
    named = {"host": "localhost:8137"} | {name.replace("_", "-"): value for name, value in headers.items()}
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": scheme,
        "path": unquote(raw_path), "raw_path": raw_path.encode(), "query_string": query.encode(), "root_path": "",
        "headers": [(name.encode(), value.encode("latin-1")) for name, value in named.items() if value],
        "server": ("127.0.0.1", 8137), "client": (client, 40_000), "state": {},
    }  # fmt: skip
    waiting = list(parts) or [b""]
    sent: list[Message] = []

    async def receive() -> Message:
        if not waiting:
            await asyncio.sleep(0.5)  # a stream is listened to for so long
            return {"type": "http.disconnect"}
        part = waiting.pop(0)
        return {"type": "http.request", "body": part, "more_body": bool(waiting)}

    async def send(message: Message) -> None:
        sent.append(message)

    async def answered() -> None:
        await app(scope, receive, send)

    with ThreadPoolExecutor(1) as apart:  # while a browser is open this thread has a loop already
        apart.submit(asyncio.run, answered()).result()
    start, *rest = sent
    got = [(name.decode().lower(), value.decode("latin-1")) for name, value in start["headers"]]
    body = b"".join(message.get("body", b"") for message in rest)
    cookies = [value for name, value in got if name == "set-cookie"]
    return Answer(start["status"], dict(got), body.decode(errors="replace"), cookies)


@pytest.fixture(scope="session")
def asked() -> Callable[..., Answer]:
    """Asks any application without a socket, see `ask`."""
    return ask
