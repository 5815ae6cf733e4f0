"""The service with a broker that needs no installing: what anybody can try, where mosquitto is missing too."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from amqtt.broker import Broker

from lullwort.cellarbook import open_book

Tended = Any  # the class lives in conftest.py


class StandIn(NamedTuple):
    """A broker in a thread of this process; what clients that are killed had not acknowledged it may lose."""

    port: int


@pytest.fixture
def stand_in() -> Iterator[StandIn]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    config = {
        "listeners": {"default": {"type": "tcp", "bind": f"127.0.0.1:{port}"}},
        "plugins": {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}},
    }
    up, stop = threading.Event(), threading.Event()

    async def run() -> None:
        broker = Broker(config)
        await broker.start()
        up.set()
        while not stop.is_set():
            await asyncio.sleep(0.05)
        await broker.shutdown()

    thread = threading.Thread(target=lambda: asyncio.run(run()))
    thread.start()
    assert up.wait(10.0)
    yield StandIn(port)
    stop.set()
    thread.join(10.0)


@pytest.fixture
def tended(tmp_path: Path, stand_in: StandIn, tended_with: Any) -> Iterator[Tended]:
    with tended_with(tmp_path, stand_in) as service:
        yield service.unmeasured()


def test_a_drill_gets_its_alert(tended: Tended) -> None:
    tended.start()
    tended.drill()
    with open_book(tended.book) as book:
        (ready,) = [one for one in book.outbox.recent(50) if one.alert.kind == "ready"]
    assert [(state.target, state.delivered_us is not None) for state in ready.deliveries] == [("broker", True)]
    assert tended.end() == 0
