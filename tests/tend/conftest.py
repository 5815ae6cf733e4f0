"""The service as a process, with its own folder, book, settings and broker."""

from __future__ import annotations

import json
import os
import queue
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

from lullwort.cellarbook import Book, open_book
from lullwort.records import parse_instant

EVER = (-(2**62), 2**62)
BEGAN_S = parse_instant("2026-03-02T09:00:00Z") // 1_000_000
SETTINGS = """
book = "{book}"
[broker]
port = {port}
user = "lullwort"
password_file = "{password}"
keepalive_s = 5
"""


def pack(sensor: str, minute: int) -> bytes:
    """What a sensor sends in its `minute`th minute."""
    return json.dumps(
        [
            {"bn": f"{sensor}:", "bt": BEGAN_S + 60 * minute, "n": "gravity", "u": "/", "v": 1.05 - minute * 1e-6},
            {"n": "temperature", "u": "Cel", "v": 20.0},
        ]
    ).encode()


class Tended:
    """Starts, kills and asks after `lullwort tend`, and sends to it as sensors do."""

    pack = staticmethod(pack)

    def __init__(self, folder: Path, broker: Any, comes_true: Callable[..., bool]) -> None:
        self.folder, self.broker, self._comes_true = folder, broker, comes_true
        self.book = folder / "cellar.book"
        self.settings = folder / "settings.toml"
        (folder / "password").write_text("lullwort-word\n")
        self.settings.write_text(SETTINGS.format(book=self.book, port=broker.port, password=folder / "password"))
        self.environment = {
            **{k: v for k, v in os.environ.items() if not k.startswith("LULLWORT_")},
            "LULLWORT_SETTINGS": str(self.settings), "HOME": str(folder),
        }  # fmt: skip
        self.process: subprocess.Popen[bytes] | None = None

    def listens(self) -> str:
        """Its address, for it serves HTTP from its next start on."""
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            at = f"127.0.0.1:{free.getsockname()[1]}"
        self.settings.write_text(f'{self.settings.read_text()}[http]\nlisten = "{at}"\n')
        return f"http://{at}"

    def unmeasured(self) -> Tended:
        """Itself, from now on without measuring coverage, which makes its processes twice as long.

        One that is killed in the end, as by the fixture, leaves nothing that was measured.
        """
        self.environment = {k: v for k, v in self.environment.items() if not k.startswith("COV")}
        return self

    def start(self) -> None:
        with (self.folder / "tend.log").open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "lullwort", "tend"], env=self.environment, stderr=log, stdout=log
            )

    def end(self, how: signal.Signals = signal.SIGTERM) -> int:
        assert self.process is not None
        self.process.send_signal(how)
        code = self.process.wait(timeout=20.0)
        self.process = None
        return code

    # -- what sensors and people do --------------------------------------------------------------------------------

    @contextmanager
    def sender(self, user: str = "sensors") -> Iterator[Client]:
        """A client at the broker, which comes back by itself and keeps what it could not send."""
        client = Client(CallbackAPIVersion.VERSION2, client_id="sensors", clean_session=False)
        client.username_pw_set(user, f"{user}-word")
        client.reconnect_delay_set(1, 2)
        client.max_queued_messages_set(0)
        client.max_inflight_messages_set(500)
        client.connect("127.0.0.1", self.broker.port, keepalive=5)
        client.loop_start()
        yield client
        client.disconnect()
        client.loop_stop()

    def send(self, sensor: str, minutes: Iterable[int]) -> None:
        """All of them, each taken by the broker."""
        with self.sender() as client:
            sent = [client.publish(f"lullwort/readings/{sensor}", pack(sensor, m), qos=1) for m in minutes]
            for message in sent:
                message.wait_for_publish(20.0)

    def retained(self, topic: str) -> bytes:
        """What a viewer who comes later is shown."""
        shown: queue.Queue[bytes] = queue.Queue()
        with self.sender("viewer") as client:
            client.on_message = lambda _client, _data, message: shown.put(bytes(message.payload))
            client.subscribe(topic, qos=1)
            return shown.get(timeout=20.0)

    def comes_to_show(self, topic: str, value: bytes, within_s: float = 20.0) -> bool:
        """Whether a viewer who comes later comes to be shown this: a broker may need a moment to see who is gone."""
        return self._comes_true(lambda: self.retained(topic) == value, within_s, 0.1)

    def forgets(self, topic: str, within_s: float = 20.0) -> bool:
        """Whether a viewer who comes later comes to be shown nothing there."""

        def is_empty() -> bool:
            shown: queue.Queue[bytes] = queue.Queue()
            with self.sender("viewer") as client:
                client.on_message = lambda _client, _data, message: shown.put(bytes(message.payload))
                client.subscribe(topic, qos=1)
                time.sleep(0.5)
            return shown.empty()

        return self._comes_true(is_empty, within_s)

    def drill(self) -> None:
        """A drill, of which the alert has come and is delivered."""
        self.command("rehearse", "plain ale", "--into-broker", "--packs-a-second", "300")
        assert self.eventually(lambda book: ("ready", "drill-1") in book.outbox.standing())
        assert self.eventually(lambda book: not book.outbox.due(2**62, 10))

    # -- what came of it -------------------------------------------------------------------------------------------

    def minutes(self, vessel: str) -> list[int]:
        """Those of which the detector sees a reading, as often as it sees it."""
        with open_book(self.book) as book:
            return [(r.at_us // 1_000_000 - BEGAN_S) // 60 for r in book.readings.of(vessel, *EVER)]

    def stores(self, vessel: str, count: int, within_s: float = 60.0) -> bool:
        """Whether so many readings of a vessel come to be in the book."""
        return self.eventually(lambda book: sum(1 for _ in book.readings.of(vessel, *EVER)) >= count, within_s)

    def says(self, words: str, times: int = 1, within_s: float = 30.0) -> bool:
        """Whether its log comes to hold these words so often."""
        return self._comes_true(lambda: self.log.count(words) >= times, within_s)

    @property
    def log(self) -> str:
        return (self.folder / "tend.log").read_text()

    def command(self, *words: str) -> str:
        run = subprocess.run(
            [sys.executable, "-m", "lullwort", *words], env=self.environment, capture_output=True, text=True,
            timeout=120, check=False, cwd=self.folder,
        )  # fmt: skip
        assert run.returncode == 0, run.stderr
        return run.stdout

    def eventually(self, holds: Callable[[Book], bool], within_s: float = 30.0) -> bool:
        """Whether that comes to be true of the book."""

        def does() -> bool:
            if not self.book.exists():
                return False
            with open_book(self.book, create=False) as book:
                return holds(book)

        return self._comes_true(does, within_s, 0.1)


@contextmanager
def tending(comes_true: Callable[..., bool], folder: Path, broker: Any) -> Iterator[Tended]:
    """Nothing runs yet but the broker; nothing does afterwards."""
    service = Tended(folder, broker, comes_true)
    yield service
    if service.process is not None:
        service.process.kill()
        service.process.wait()


@pytest.fixture
def tended_with(comes_true: Callable[..., bool]) -> Callable[[Path, Any], AbstractContextManager[Tended]]:
    """The service with any broker that has a port."""
    return partial(tending, comes_true)


@pytest.fixture
def tended(
    tmp_path: Path, cellar_broker: Any, tended_with: Callable[[Path, Any], AbstractContextManager[Tended]]
) -> Iterator[Tended]:
    """The service with a real broker and the settings of config/."""
    with tended_with(tmp_path, cellar_broker) as service:
        yield service
