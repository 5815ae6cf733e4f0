"""A cellar of invented batches, and the card in front of it at a socket of its own."""

from __future__ import annotations

import asyncio
import html
import http.client
import os
import re
import secrets
import shutil
import socket
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, contextmanager, suppress
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import NamedTuple, cast
from urllib.parse import unquote, urlencode, urlsplit

import msgspec
import numpy as np
import pytest
from starlette.types import ASGIApp, Message

from lullwort.card import Cellar, Desk, Tended, card_app
from lullwort.card.known.facts import BatchFacts, VesselFacts
from lullwort.cellarbook import Intake, open_book
from lullwort.collector import HttpSettings
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.detector import Judged
from lullwort.records import COMMON_UNITS, HOUR_US, Batch, Event, PackagingDay, Reading, SetAside, format_utc
from lullwort.rehearsal import Invented, invent, renamed
from lullwort.rehearsal.hydrometer import judged_by_hand
from lullwort.settings import Settings
from lullwort.standing import judge_book
from lullwort.tend import Keeper
from lullwort.tend.facing import Facing
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


def keep(path: Path, batches: Iterable[Batch], readings: Iterable[Reading], set_aside: Sequence[SetAside] = ()) -> None:
    """Put them on record."""
    builder = BlockBuilder(COMMON_UNITS)
    for r in readings:
        values = [np.nan if v is None else v for v in (r.gravity, r.temperature_c, r.inclination)]
        builder.add(r.sensor, r.vessel, r.at_us, [*values, np.nan, np.nan], 0)
    with open_book(path) as book:
        run = book.imports.begin(LIVE, 1)
        run.store(builder.build(), set_aside)
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


class Followed:
    """The card as the service serves it to those who follow a page, and can be stopped and begun again.

    In the keeper's place stands what a test has judged; `tell` is what it says when it has stored something.
    """

    def __init__(self, book: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.book, self.url, self.now_us = book, f"http://127.0.0.1:{self.port}", now_us_of(book)
        self.judged: list[Judged] = []
        self.keeper = SimpleNamespace(
            judging=SimpleNamespace(by_name=lambda: {each.batch.name: each for each in self.judged}, revision=None),
            failing="",
            on_news=lambda _vessels: None,
        )

    facing: Facing | None = None
    token_file: Path | None = None

    def start(self) -> None:
        http = HttpSettings(port=self.port, token_file=self.token_file)
        settings = Settings(book=self.book, gravity="sg", temperature="C", zone="UTC", http=http)
        opened, keeper = partial(open_book, self.book, create=False), cast("Keeper", self.keeper)
        self.facing = Facing(settings, http, keeper, lambda _: True, lambda: WELL, opened, lambda: self.now_us())
        self.facing.start()

    def stop(self) -> None:
        if self.facing is not None:
            self.facing.stop(4.0)
        self.facing = None

    def tell(self, *vessels: str) -> None:
        self.keeper.on_news(frozenset(vessels))

    def heard(self, readings: Iterable[Reading]) -> None:
        """More of them are on record, and what was judged is judged anew."""
        news = list(readings)
        keep(self.book, [], news)
        self.judge()
        self.tell(*{reading.vessel for reading in news})

    def judge(self) -> None:
        with open_book(self.book, create=False) as book:
            entries = [
                entry
                for vessel in book.readings.vessels()
                for entry in judge_book(book, vessel, None, now_us=self.now_us())
            ]
        self.judged = [entry.judged for entry in entries if entry.judged is not None]


@pytest.fixture
def followed(own_cellar: Path) -> Iterator[Followed]:
    """The card of a cellar that is written to, begun; nothing of it is judged before its first reading."""
    at_work = Followed(own_cellar)
    at_work.start()
    yield at_work
    at_work.stop()


@pytest.fixture
def small_cellar(tmp_path: Path) -> Path:
    """A book of one's own with a few live readings in `loft`, and no batch: what judges has nothing to do."""
    path = tmp_path / "cellar.book"
    keep(path, [], [Reading("loft", "loft", n * HOUR_US + 1_700_000_000_000_000, 1.05, 20.0) for n in range(5)])
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
    with pytest.MonkeyPatch.context() as here:  # commands of the card are measured in their own tests
        for name in [name for name in os.environ if name.startswith("COV")]:
            here.delenv(name)
        app = card_app(chosen, desk)
    face = HttpFace(chosen.http, {}, lambda _arrival: True, lambda: WELL, now_us_of(book), app)
    face.start()
    try:
        yield Served(f"http://127.0.0.1:{chosen.http.port}")
    finally:
        face.stop(4.0)
        desk.close()


def commands_on(book: Path) -> list[int]:
    """The processes of commands that the card has begun on a book, by what they were given [Linux, proc(5)]."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):  # it has ended meanwhile, or is somebody else's
            given = (process / "environ").read_bytes().split(b"\0")
            if f"LULLWORT_BOOK={book}".encode() in given and b"COLUMNS=10000" in given:
                found.append(int(process.name))
    return found


@pytest.fixture(scope="session")
def running() -> Callable[[Path], list[int]]:
    """The processes of commands on a book, see `commands_on`."""
    return commands_on


@pytest.fixture
def held_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Settings that do not come to their end: each command that begins from now on waits for them until it is ended.

    Put a file in their place, and those that begin afterwards go on.
    """
    path = tmp_path / "held-up.toml"
    os.mkfifo(path)
    monkeypatch.setenv("LULLWORT_SETTINGS", str(path))
    return path


def now_us_of(book: Path) -> Callable[[], int]:
    """A clock that stands some minutes after the newest reading of a book."""
    with open_book(book, create=False) as opened:
        newest_us = max(filter(None, (opened.newest_us(vessel) for vessel in opened.readings.vessels())))
    return lambda: newest_us + 7 * 60_000_000


@pytest.fixture(scope="session")
def served_with() -> Callable[..., AbstractContextManager[Served]]:
    """Serves the card of any book with any settings."""
    return serving


@pytest.fixture(scope="module")
def served(kept_cellar: Path) -> Iterator[Served]:
    """The card of the cellar that is only read."""
    with serving(kept_cellar) as at_work:
        yield at_work


class Seen(NamedTuple):
    """What came back."""

    status: int
    path: str
    headers: http.client.HTTPMessage
    body: bytes

    @property
    def text(self) -> str:
        return self.body.decode()

    @property
    def words(self) -> str:
        """What a reader sees, with single blanks."""
        shown = re.sub(r"<(style|script|title)\b.*?</\1>", "", self.text, flags=re.DOTALL)
        return " ".join(html.unescape(re.sub("<[^>]+>", " ", shown)).split())

    def action(self, ends: str = "") -> str:
        """Where the form goes whose address ends so."""
        found = [one for one in re.findall(r'<form[^>]* action="([^"]+)"', self.text) if one.endswith(ends)]
        assert found, self.words
        return html.unescape(found[0])


class Guest:
    """Somebody at a browser without script: keeps cookies, sends forms and files, goes on where it is led to."""

    def __init__(self, url: str, cookies: Mapping[str, str] | None = None) -> None:
        self.host = urlsplit(url).netloc
        self.cookies = dict(cookies or {})
        self.token = ""

    def get(self, path: str) -> Seen:
        return self._go("GET", path, b"", {})

    def post(self, path: str, values: Mapping[str, str] | None = None, token: str | None = None) -> Seen:
        """A form, with the token that the last page had."""
        given = {"form-token": self.token if token is None else token, **(values or {})}
        return self._go("POST", path, urlencode(given).encode(), {"Content-Type": "application/x-www-form-urlencoded"})

    def hand_in(self, path: str, name: str, content: bytes, values: Mapping[str, str] | None = None) -> Seen:
        """A file; its name goes as it is [RFC 7578 4.2], with quotes and line ends as browsers write them."""
        mark = secrets.token_hex(12)
        called = name.replace("\n", "%0A").replace("\r", "%0D").replace('"', "%22")
        parts = [
            f'--{mark}\r\nContent-Disposition: form-data; name="{field}"\r\n\r\n{value}\r\n'.encode()
            for field, value in {"form-token": self.token, **(values or {})}.items()
        ]
        head = f'--{mark}\r\nContent-Disposition: form-data; name="file"; filename="{called}"\r\n'
        parts += [head.encode(), b"Content-Type: text/csv\r\n\r\n", content, f"\r\n--{mark}--\r\n".encode()]
        return self._go("POST", path, b"".join(parts), {"Content-Type": f"multipart/form-data; boundary={mark}"})

    def _go(self, method: str, path: str, body: bytes, headers: Mapping[str, str]) -> Seen:
        for _ in range(5):
            seen = self._ask(method, path, body, headers)
            if seen.status not in (302, 303):
                tokens = re.findall(r'name="form-token" value="([^"]+)"', seen.body.decode(errors="replace"))
                self.token = tokens[-1] if tokens else self.token
                return seen
            method, path, body, headers = "GET", seen.headers["Location"], b"", {}
        raise AssertionError(path)

    def _ask(self, method: str, path: str, body: bytes, headers: Mapping[str, str]) -> Seen:
        connection = http.client.HTTPConnection(self.host, timeout=30)
        kept = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        own = {"Origin": f"http://{self.host}"} if method == "POST" else {}
        connection.request(method, path, body or None, {**headers, **own, **({"Cookie": kept} if kept else {})})
        answer = connection.getresponse()
        seen = Seen(answer.status, path, answer.headers, answer.read())
        for line in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = line.partition(";")[0].partition("=")
            self.cookies[name] = value
        connection.close()
        return seen


@pytest.fixture(scope="session")
def guest_at() -> Callable[[str], Guest]:
    """Somebody new, at the card of this address."""
    return Guest


@pytest.fixture(scope="session")
def card_of() -> Callable[..., AbstractContextManager[Served]]:
    """As `served_with`, for what a whole file of tests shares."""
    return serving


HOSTILE = '"><img src=x onerror=alert(1)><script>alert(1)</script>'
"""What somebody may have written into a recipe or a note."""


def _odd_batches() -> Iterator[tuple[Batch, list[Reading]]]:
    """Batches of which something is out of the ordinary, each with its readings, in a vessel that is named for it."""

    def made(
        vessel: str, kind: str = "plain ale", seed: int = 6, hours: float = 400.0, **entries: object
    ) -> tuple[Batch, list[Reading]]:
        invented = cut(renamed(invent(kind, seed), vessel, f"{vessel}-1"), hours)
        return msgspec.structs.replace(invented.batch, **entries), invented.readings

    pitched_us = invent("plain ale", 6).batch.pitched_us

    def at(hours: float) -> int:
        return pitched_us + round(hours * HOUR_US)

    yield made("proved", packaged_us=at(390))
    primed = PackagingDay(container="reused-glass", sugar="sucrose", primed_g=180.0, moved_l=17.0)
    yield made("unproved", hours=70, packaged_us=at(60), packaging_day=primed)
    yield made("goes-on", hours=450, packaged_us=at(390))
    yield made("lost", hours=60, events=(Event(at_us=at(100), kind="rouse"),))
    yield made("sealed", kind="sealed vessel", seed=3, hours=2000)
    yield made("split", kind="two batches in one log", seed=3, hours=2000)
    batch, readings = made("cold-log", hours=100)
    yield batch, [msgspec.structs.replace(reading, temperature_c=None) for reading in readings]
    batch, readings = made("wrong-unit", hours=30)
    yield batch, [msgspec.structs.replace(reading, gravity=12.0) for reading in readings]
    written = (Event(at_us=at(50), kind="remark", note=HOSTILE), Event(at_us=at(20), kind="dry hop", note="Ella"))
    yield made("hostile", hours=150, recipe=HOSTILE, events=written[::-1])
    by_hand = judged_by_hand(invent("plain ale", 6)).judged.batch
    yield msgspec.structs.replace(by_hand, vessel="by-hand", name="by-hand-1"), []
    unheard = Batch(
        vessel="unheard", name="unheard-1", pitched_us=at(300), steady_temperature_c=19.0, original_gravity=1.050,
        expected_final_gravity=(1.010, 1.013), yeast_min_c=15.0,
    )  # fmt: skip
    yield unheard, []
    yield made("refilled", hours=90)
    yield msgspec.structs.replace(unheard, vessel="refilled", name="refilled-2", pitched_us=at(95)), []


@pytest.fixture(scope="session")
def odd_cellar(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of batches that pages are easily wrong about, a vessel each. To be read only."""
    path = tmp_path_factory.mktemp("odd") / "odd.book"
    made = list(_odd_batches())
    (at_us,) = (batch.pitched_us + 40 * HOUR_US for batch, _ in made if batch.vessel == "hostile")
    row = f"{format_utc(at_us)},{HOSTILE},hostile"
    aside = SetAside("north.csv", 7, "gravity", HOSTILE, "a number", row, "hostile")
    keep(path, [batch for batch, _ in made], [reading for _, readings in made for reading in readings], [aside])
    return path


def facts_of(book: Path) -> dict[str, VesselFacts]:
    """What the card knows of each vessel of a book."""
    with open_book(book, create=False) as opened:
        cellar = Cellar(opened, lambda: Tended({}, ""), now_us_of(book))
        names = [facts.vessel for facts in cellar.vessels()]
        return {name: facts for name in names if (facts := cellar.vessel(name)) is not None}


@pytest.fixture(scope="session")
def vessels(kept_cellar: Path) -> dict[str, VesselFacts]:
    """What the card knows of each vessel of `kept_cellar`."""
    return facts_of(kept_cellar)


@pytest.fixture(scope="session")
def odd_vessels(odd_cellar: Path) -> dict[str, VesselFacts]:
    """What the card knows of each vessel of `odd_cellar`."""
    return facts_of(odd_cellar)


@pytest.fixture(scope="session")
def words() -> Callable[[str], str]:
    """The words of HTML, as somebody reads them."""

    def of(text: str) -> str:
        said = re.sub(r"<[^>]+>", " ", re.sub(r"<(script|style)\b.*?</\1>", "", text, flags=re.DOTALL))
        return re.sub(r"\s+([.,;:])", r"\1", " ".join(html.unescape(said).split()))

    return of


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


@pytest.fixture(scope="session")
def known(kept_cellar: Path) -> dict[str, BatchFacts]:
    """What the card knows of each batch of that cellar, by its name."""
    with open_book(kept_cellar, create=False) as book:
        cellar = Cellar(book, lambda: Tended({}, ""), now_us_of(kept_cellar))
        return {batch.name: facts for batch in book.batches.all() if (facts := cellar.batch(batch.name)) is not None}
