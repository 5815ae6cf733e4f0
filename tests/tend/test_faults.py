"""What the service has to survive, with a real broker, a real disk and real kills: nothing lost, nothing doubled.

In their usual size these take two minutes; LULLWORT_FULL_FAULTS=1 makes them as large as the README tells.
"""

from __future__ import annotations

import json
import os
import random
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt.client import Client

from lullwort.cellarbook import open_book
from lullwort.detector import judge
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal import Invented, invent, renamed, shifted
from lullwort.tend import Service

Tended = Any  # the fixture's class lives in conftest.py
Count = Callable[..., None]
FULL = bool(os.environ.get("LULLWORT_FULL_FAULTS"))
EVER = (-(2**62), 2**62)
TOPIC = "lullwort/readings/f1"


@pytest.fixture
def tended(tended: Tended) -> Tended:
    return tended.unmeasured()


def set_aside_in(path: Path) -> int:
    with open_book(path) as book:
        return sum(one.set_aside for one in book.imports.all())


def tally(tended: Tended, count: Count, fault: str, sent: int, **more: int) -> None:
    """All minutes of f1 that were sent are there, each once."""
    seen = tended.minutes("f1")
    lost, doubled = len(set(range(sent)) - set(seen)), len(seen) - len(set(seen))
    count(fault, **more, sent=sent, stored=len(seen), set_aside=set_aside_in(tended.book), lost=lost, doubled=doubled)
    assert (lost, doubled) == (0, 0)


def test_kill_9_of_the_service_under_load(tended: Tended, counted: Count) -> None:
    kills = 50 if FULL else 6
    random_ = random.Random(4)
    tended.start()
    assert tended.says("connected")
    sent, over = 0, threading.Event()

    def send_on(client: Client) -> None:
        nonlocal sent
        while not over.is_set():
            for _ in range(100):
                last = client.publish(TOPIC, tended.pack("f1", sent), qos=1)
                sent += 1
            last.wait_for_publish(60.0)
            time.sleep(0.01)

    with tended.sender() as client:
        sending = threading.Thread(target=send_on, args=(client,))
        sending.start()
        for _ in range(kills):
            time.sleep(random_.uniform(0.02, 1.5))
            assert tended.end(signal.SIGKILL) == -signal.SIGKILL
            tended.start()
        over.set()
        sending.join()
    assert tended.stores("f1", sent, 120.0)
    tally(tended, counted, "kill -9 of the service under load", sent, kills=kills)


def test_broker_killed_and_restarted(tended: Tended, counted: Count) -> None:
    kills = 20 if FULL else 3
    tended.start()
    assert tended.says("connected")
    sent = 0
    for nth in range(kills):
        tended.send("f1", range(sent, sent + 100))
        sent += 100
        time.sleep(1.2)  # the broker saves once a second; what it had not saved when killed is its own loss
        tended.broker.kill()
        if nth % 2:  # its address answers for a while with nothing at all
            time.sleep(1.0)
        tended.broker.start()
    assert tended.end() == 0
    tended.send("f1", range(sent, sent + 100))  # kept for the absent service
    tended.start()
    assert tended.stores("f1", sent + 100)
    tally(tended, counted, "broker killed and restarted", sent + 100, kills=kills)


@pytest.mark.no_cover
def test_broker_gone_for_a_day_and_the_service_for_another(
    tended: Tended, counted: Count, comes_true: Callable[..., bool]
) -> None:
    minutes = 1440
    away_s = 60.0 if FULL else 4.0
    tended.start()
    assert tended.says("connected")
    # That readings are for the service: what the broker had not saved when killed is its own loss.
    assert comes_true(lambda: tended.broker.has_saved(b"lullwort/readings/+"), 20.0)
    with tended.sender() as client:
        tended.broker.kill()
        for minute in range(minutes):  # they wait with the sensor
            client.publish(TOPIC, tended.pack("f1", minute), qos=1)
        time.sleep(away_s)
        tended.broker.start()
        assert tended.stores("f1", minutes, 120.0)
    assert tended.end() == 0
    tended.send("f1", range(minutes, 2 * minutes))  # they wait with the broker
    tended.start()
    assert tended.stores("f1", 2 * minutes)
    tally(tended, counted, "broker away for a day's readings, then the service", 2 * minutes)


class Network:
    """A way to the broker that can begin to hang: it takes connections and bytes, and passes nothing on."""

    def __init__(self, to_port: int) -> None:
        self._to_port = to_port
        self._hangs = False
        self._dead: set[socket.socket] = set()
        self._ends: list[socket.socket] = []
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listener.getsockname()[1])
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        with suppress(OSError):
            while True:
                here, _ = self._listener.accept()
                there = socket.create_connection(("127.0.0.1", self._to_port))
                self._ends += [here, there]
                if self._hangs:
                    self._dead |= {here, there}
                for source, sink in ((here, there), (there, here)):
                    threading.Thread(target=self._pass_on, args=(source, sink), daemon=True).start()

    def _pass_on(self, source: socket.socket, sink: socket.socket) -> None:
        with suppress(OSError):
            while data := source.recv(65536):
                if source not in self._dead:
                    sink.sendall(data)
        for end in (source, sink):
            end.close()

    def hang(self) -> None:
        self._hangs = True
        self._dead |= set(self._ends)

    def heal(self) -> None:
        """New connections pass; those that hang are never heard of again."""
        self._hangs = False

    def close(self) -> None:
        self._listener.close()
        for end in self._ends:
            end.close()


@contextmanager
def through_a_network(tended: Tended) -> Iterator[Network]:
    network = Network(tended.broker.port)
    text = tended.settings.read_text().replace(f"port = {tended.broker.port}", f"port = {network.port}")
    tended.settings.write_text(text)
    with closing(network):
        yield network


def test_network_that_accepts_and_then_hangs(tended: Tended, counted: Count) -> None:
    hangs = 5 if FULL else 1
    sent = 0
    with through_a_network(tended) as network:
        tended.start()
        for nth in range(hangs):
            assert tended.says("lullwort.broker connected", nth + 1)
            with tended.sender() as client:
                for _ in range(300):
                    client.publish(TOPIC, tended.pack("f1", sent), qos=1)
                    sent += 1
                network.hang()  # in the middle of it
                assert tended.says("disconnected", nth + 1)  # it notices by itself
            network.heal()
        assert tended.stores("f1", sent, 90.0)
        network.hang()
        began = time.monotonic()
        assert tended.end() == 0
        assert time.monotonic() - began < 5.0
    tally(tended, counted, "network that accepts and then hangs", sent, times=hangs)


HOSTILE = (
    b"", b"[", b"[]", b"{}", b"null", b"[[[[[[[[", b"\xff\xfe\x00", b"NaN", b'[{"bn":"f1:","bt":1e999,"v":1}]',
    b'[{"n":"f1:gravity","u":"/","v":1e400}]', b'[{"n":"' + b"a" * 5000 + b'","v":1}]', b"[" * 20_000, b"9" * 5000,
    b'[{"bver":99,"n":"f1:gravity","u":"/","v":1.05}]', b'[{"n_":1}]', b'[{"n":"f1:gravity","u":"/","v":"1.05"}]',
    b'[{"n":"../../etc:gravity","u":"/","v":1.05}]', b'[{"n":"f1\':DROP TABLE:gravity","u":"/","v":1.05}]',
    b'{"a":' * 2000, "[{\"n\":\"ƒ:gravity\",\"u\":\"/\",\"v\":1.05}]".encode(), b"\x00" * 100,
)  # fmt: skip


def broken(random_: random.Random, valid: bytes) -> bytes:
    """`valid`, spoilt in one of the ways in which messages are."""
    spoilt = bytearray(valid)
    match random_.randrange(6):
        case 0:
            for _ in range(random_.randint(1, 8)):
                spoilt[random_.randrange(len(spoilt))] = random_.randrange(256)
        case 1:
            del spoilt[random_.randrange(len(spoilt)) :]
        case 2:
            start = random_.randrange(len(spoilt))
            del spoilt[start : start + random_.randint(1, 30)]
        case 3:
            at = random_.randrange(len(spoilt))
            spoilt[at:at] = spoilt[: random_.randrange(len(spoilt))]
        case 4:
            return random_.choice(HOSTILE)
        case 5:
            spoilt += random_.randbytes(random_.randint(1, 40))
    return bytes(spoilt)


@pytest.mark.no_cover
def test_hostile_and_broken_payloads_among_good_ones(tended: Tended, counted: Count) -> None:
    bad, good = (100_000, 5_000) if FULL else (3_000, 300)
    random_ = random.Random(7)
    tended.start()
    assert tended.says("connected")
    with tended.sender() as client:
        sent = []
        for minute in range(good):
            for _ in range(bad // good):
                spoilt = broken(random_, tended.pack("f2", 500_000 + random_.randrange(10_000)))
                client.publish(TOPIC, spoilt, qos=1)
            sent.append(client.publish(TOPIC, tended.pack("f1", minute), qos=1))
            if len(sent) % 100 == 0:
                sent[-1].wait_for_publish(120.0)
        sent[-1].wait_for_publish(120.0)
    assert tended.eventually(lambda _book: set(range(good)) <= set(tended.minutes("f1")), 300.0)
    seen = [minute for minute in tended.minutes("f1") if minute < good]
    lost, doubled = good - len(set(seen)), len(seen) - len(set(seen))
    aside = set_aside_in(tended.book)
    counted("hostile or broken payloads among good ones", broken=bad, sent=good, stored=len(seen), set_aside=aside,
            lost=lost, doubled=doubled)  # fmt: skip
    assert (lost, doubled) == (0, 0)
    assert aside > bad // 2


@pytest.mark.no_cover
def test_disk_full_during_commits(disk: Any, tended: Tended, counted: Count) -> None:
    sent = 6000 if FULL else 2500
    disk.remount("size=16m")
    tended.settings.write_text(tended.settings.read_text().replace(str(tended.book), str(disk.folder / "cellar.book")))
    tended.book = disk.folder / "cellar.book"
    tended.start()
    assert tended.says("connected")
    tended.send("f1", range(500))
    assert tended.stores("f1", 500)
    fill = disk.folder / "fill"
    with fill.open("wb", buffering=0) as ballast, suppress(OSError):
        while True:
            ballast.write(bytes(4096))
    tended.send("f1", range(500, sent))
    assert tended.says("the disk is full")
    began = time.monotonic()
    assert tended.end() == 0  # in order, with a full disk and a full queue
    assert time.monotonic() - began < 5.0
    fill.unlink()
    tended.start()
    assert tended.stores("f1", sent, 90.0)
    tally(tended, counted, "disk full during commits", sent)
    assert ("storage nearly full", "") in standing(tended.book)
    tended.end()


def standing(path: Path) -> set[tuple[str, str]]:
    with open_book(path) as book:
        return {subject for subject, alert in book.outbox.standing().items() if alert.on}


LOCKER = """
import sqlite3, sys
db = sqlite3.connect(sys.argv[1], isolation_level=None)
db.execute("BEGIN EXCLUSIVE")
print("locked", flush=True)
sys.stdin.readline()
"""


def test_book_locked_by_another_process(tended: Tended, counted: Count) -> None:
    tended.start()
    assert tended.says("connected")
    tended.send("f1", range(100))
    assert tended.stores("f1", 100)
    locker = subprocess.Popen(
        [sys.executable, "-c", LOCKER, str(tended.book)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert locker.stdout is not None
    assert locker.stdout.readline() == "locked\n"
    tended.send("f1", range(100, 1000))
    assert tended.says("the cellar book fails")
    locker.communicate("\n", timeout=10.0)
    assert tended.stores("f1", 1000, 90.0)
    tally(tended, counted, "book locked by another process", 1000)


class SetClock:
    """A clock that shows the time, and can be set."""

    def __init__(self) -> None:
        self.by_us = 0

    def __call__(self) -> int:
        return time.time_ns() // 1000 + self.by_us


def test_clock_set_back_an_hour(tended: Tended, counted: Count) -> None:
    clock = SetClock()
    service = Service(tended.environment, {}, now_us=clock)
    running = threading.Thread(target=service.run)
    running.start()
    try:
        assert b"here" in tended.retained("lullwort/status")
        tended.send("f1", range(500))
        assert tended.stores("f1", 500)
        clock.by_us = -HOUR_US
        tended.send("f1", range(500, 1000))
        assert tended.stores("f1", 1000)
        clock.by_us = 0
        tended.send("f1", range(1000, 1500))
        assert tended.stores("f1", 1500)
    finally:
        service.stop()
        running.join(10.0)
    assert not running.is_alive()
    tally(tended, counted, "clock set back an hour, and again", 1500)


def test_clock_three_days_behind_until_it_is_set(tended: Tended, counted: Count) -> None:
    clock = SetClock()
    began_us = (time.time_ns() // 1000) // 60_000_000 * 60_000_000
    clock.by_us = -72 * HOUR_US
    service = Service(tended.environment, {}, now_us=clock)
    running = threading.Thread(target=service.run)
    running.start()
    try:
        assert b"here" in tended.retained("lullwort/status")
        with tended.sender() as client:
            for nth in range(500):  # of the right time, which seems to be three days ahead
                reading = {"bn": "f1:", "bt": (began_us - nth * 60_000_000) / 1e6, "n": "gravity", "u": "/", "v": 1.05}
                sent = client.publish(TOPIC, json.dumps([reading]), qos=1)
            sent.wait_for_publish(20.0)
        assert tended.eventually(lambda _book: set_aside_in(tended.book) == 500)
        clock.by_us = 0
        assert tended.stores("f1", 500, 30.0)
        assert tended.eventually(lambda book: any(kind == "clock set" for kind, _ in book.outbox.standing()))
    finally:
        service.stop()
        running.join(10.0)
    with open_book(tended.book) as book:
        seen = [r.at_us for r in book.readings.of("f1", *EVER)]
    counted("clock three days behind, until it is set", sent=500, stored=len(seen), set_aside=set_aside_in(tended.book),
            lost=500 - len(set(seen)), doubled=len(seen) - len(set(seen)))  # fmt: skip
    assert sorted(seen) == [began_us - nth * 60_000_000 for nth in reversed(range(500))]


MONTH_DAYS = 30 if FULL else 15
CELLAR = (
    "plain ale", "fast ale", "cold lager", "strong ale", "lager with warm rest", "stuck warm", "noisy sensor",
    "drifting sensor", "outliers and garbage", "bump",
)  # fmt: skip


def cellar() -> list[Invented]:
    """Ten vessels, all pitched at the same hour."""
    begun_us = invent("plain ale", 1).batch.pitched_us
    batches = []
    for nth, kind in enumerate(CELLAR):
        one = renamed(invent(kind, 1), f"v{nth}", f"v{nth}-1")
        batches.append(shifted(one, begun_us - one.batch.pitched_us))
    return batches


def resident_kib(process: subprocess.Popen[bytes]) -> int:
    status = Path(f"/proc/{process.pid}/status").read_text()
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS:"))


@pytest.mark.no_cover
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="left out: memory is read from /proc")
def test_a_month_of_ten_vessels(tended: Tended, counted: Count) -> None:
    batches = cellar()
    begun_us = batches[0].batch.pitched_us
    with open_book(tended.book) as book:
        for one in batches:
            book.batches.put(one.batch)
    readings = sorted((r for one in batches for r in one.readings), key=lambda r: r.at_us)
    tended.listens()
    tended.unmeasured().start()  # measuring what of the code is covered takes memory of its own
    assert tended.says("connected")
    sent, memory = 0, []
    with tended.sender() as client:
        for day in range(MONTH_DAYS):
            today = [r for r in readings if 0 <= r.at_us - begun_us - day * 24 * HOUR_US < 24 * HOUR_US]
            messages = []
            for r in today:
                values = {"gravity": ("/", r.gravity), "temperature": ("Cel", r.temperature_c)}
                records = [{"n": n, "u": u, "v": v} for n, (u, v) in values.items() if v is not None]
                if not records:
                    continue
                pack = json.dumps([{"bn": f"{r.sensor}:", "bt": r.at_us / 1e6, **records[0]}, *records[1:]])
                messages.append(client.publish(f"lullwort/readings/{r.sensor}", pack, qos=1))
            for message in messages:
                message.wait_for_publish(60.0)
            sent += len(messages)
            assert tended.eventually(lambda _book, sent=sent: stored_rows(tended.book) >= sent, 60.0)
            memory.append(resident_kib(tended.process))
    time.sleep(3.0)
    ready = {}
    with open_book(tended.book) as book:
        posted = [one.alert for one in book.outbox.recent(10_000)]
        for one in batches:
            name, vessel = one.batch.name, one.batch.vessel
            anew = judge(one.batch, VesselReadings.of(book.readings.of(vessel, *EVER)))
            assert [row.verdict for row in book.verdicts.of(name)] == [change.verdict for change in anew.history]
            ready[name] = sum(1 for a in posted if (a.kind, a.about, a.on) == ("ready", name, True))
            assert ready[name] == sum(1 for change in anew.history if change.verdict == "ready"), name
    finished = [one.batch.name for one in batches if (one.oracle_hour() or 1e9) < 24 * MONTH_DAYS - 150]
    counted(
        "a month of ten vessels", sent=sent, stored=stored_rows(tended.book), set_aside=set_aside_in(tended.book),
        lost=sent - stored_rows(tended.book), finished=len(finished), ready=sum(ready.values()),
        third_day_KiB=memory[2], last_day_KiB=memory[-1],
    )  # fmt: skip
    assert len(finished) >= 6
    assert [ready[name] for name in finished] == [1] * len(finished)
    print(memory)
    assert memory[-1] - memory[2] <= 2048
    assert memory[-1] <= 60 * 1024


def stored_rows(path: Path) -> int:
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as db:
        return int(db.execute("SELECT coalesce(sum(readings), 0) FROM segment").fetchone()[0])
