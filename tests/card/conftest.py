"""A cellar of invented batches, and the card in front of it at a socket of its own."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from pathlib import Path
from typing import NamedTuple

import msgspec
import numpy as np
import pytest

from lullwort.card import Cellar, Desk, Tended, card_app
from lullwort.card.facts import BatchFacts
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


@pytest.fixture(scope="session")
def known(kept_cellar: Path) -> dict[str, BatchFacts]:
    """What the card knows of each batch of that cellar, by its name."""
    with open_book(kept_cellar, create=False) as book:
        cellar = Cellar(book, lambda: Tended({}, ""), now_us_of(kept_cellar))
        return {batch.name: facts for batch in book.batches.all() if (facts := cellar.batch(batch.name)) is not None}
