"""The service as a process of its own, with a real broker."""

from __future__ import annotations

import json
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import msgspec
import numpy as np
import pytest

from lullwort.cellarbook import Intake, open_book
from lullwort.collector import BrokerLink, read_batches_file
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.detector import judge
from lullwort.records import COMMON_UNITS, HOUR_US, Alert, VesselReadings
from lullwort.rehearsal import invent, renamed
from lullwort.tend import Service

Tended = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)


def test_a_drill_gets_its_alert_and_live_judging_equals_judging_anew(tended: Tended) -> None:
    tended.start()
    tended.drill()
    with open_book(tended.book) as book:
        batch = book.batches.get("drill-1")
        readings = VesselReadings.of(book.readings.of("drill", *EVER))
        kept = [(row.at_us, row.verdict) for row in book.verdicts.of("drill-1")]
        posted = [one.alert for one in book.outbox.recent(20) if one.alert.kind == "ready"]
    anew = judge(batch, readings)
    assert kept == [(change.at_us, change.verdict) for change in anew.history]
    assert [alert.on for alert in posted] == [True]  # once
    assert "degassed hand reading" in posted[0].says
    event = json.loads(tended.retained("lullwort/verdicts/drill"))
    assert (event["type"], event["data"]["verdict"]) == ("lullwort.verdict.changed", "ready")
    assert json.loads(tended.retained("lullwort/alerts/drill"))["data"]["kind"] == "ready"
    tended.command("batch", "close", "drill")
    assert tended.forgets("lullwort/alerts/drill")  # who looks later is not told to package what is packaged
    tended.command("rehearse", "plain ale", "--into-broker", "--packs-a-second", "1000")
    assert tended.eventually(lambda book: ("ready", "drill2-1") in book.outbox.standing())
    assert tended.end() == 0


def test_a_drill_that_nobody_would_hear_is_not_sent(tended: Tended) -> None:
    run = subprocess.run(
        [sys.executable, "-m", "lullwort", "rehearse", "plain ale", "--into-broker"],
        env=tended.environment, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert run.returncode == 3
    assert "start `lullwort tend` first" in run.stderr


def test_a_broker_that_is_absent_at_start_is_waited_for(tended: Tended) -> None:
    tended.broker.kill()
    tended.unmeasured().start()
    time.sleep(1.0)
    tended.broker.start()
    assert tended.says("lullwort.broker connected")
    tended.send("f1", range(3))
    assert tended.eventually(lambda book: book.readings.sensors("f1") != {})


def test_over_tls_and_version_5_as_well_and_a_wrong_authority_is_not_trusted(tended: Tended) -> None:
    plain = tended.settings.read_text()
    over_tls = plain.replace(
        f"port = {tended.broker.port}", f'port = {tended.broker.tls_port}\ntls = true\nprotocol = "5"'
    )
    tended.settings.write_text(over_tls)
    tended.start()
    assert tended.says("certificate verify failed")  # nobody told it whom to trust
    assert "lullwort.broker connected" not in tended.log
    assert tended.end() == 0
    authority = tended.broker.folder / "cellar-ca.crt"
    tended.settings.write_text(over_tls.replace("tls = true", f'tls = true\nca_file = "{authority}"'))
    tended.start()
    assert tended.says("lullwort.broker connected")
    assert tended.end() == 0
    tended.send("f1", range(20))  # version 5 keeps the session, too
    tended.unmeasured().start()
    assert tended.stores("f1", 20)


def test_a_wrong_password_is_told_and_is_in_no_log(tended: Tended) -> None:
    (tended.folder / "password").write_text("hunter2")
    tended.unmeasured().start()
    assert tended.says("the broker refuses")
    assert "hunter2" not in tended.log


def test_whoever_looks_is_told_that_it_is_here_and_that_it_is_gone_even_by_kill_9(tended: Tended) -> None:
    tended.start()
    assert tended.says("lullwort.broker connected")
    assert tended.retained("lullwort/status") == b'{"status": "here"}'
    tended.end(signal.SIGKILL)
    assert tended.comes_to_show("lullwort/status", b'{"status": "gone"}')
    tended.start()
    assert tended.says("lullwort.broker connected", 2)
    assert tended.end() == 0
    assert tended.comes_to_show("lullwort/status", b'{"status": "gone"}')


def test_a_second_service_on_the_book_refuses_to_start(tended: Tended) -> None:
    tended.unmeasured().start()
    assert tended.says("tending")
    second = subprocess.run(
        [sys.executable, "-m", "lullwort", "tend"], env=tended.environment, capture_output=True, text=True,
        timeout=30, check=False,
    )  # fmt: skip
    assert second.returncode == 3
    assert "another service tends this cellar book already" in second.stderr


def test_a_backfill_into_a_running_service_is_judged_without_a_restart(tended: Tended) -> None:
    tended.unmeasured().start()
    assert tended.says("tending")
    tended.command("rehearse", "plain ale", "--into", str(tended.folder / "demo"))
    tended.command("backfill", "demo/north.csv", "--batches", "demo/north.toml", "--store-only")
    assert tended.eventually(lambda book: ("ready", "north-1") in book.outbox.standing())


def test_a_log_dropped_into_the_folder_is_imported_judged_and_put_away(tended: Tended) -> None:
    drop = tended.folder / "drop"
    drop.mkdir()
    tended.settings.write_text(f'{tended.settings.read_text()}[folder]\npath = "{drop}"\nsettle_s = 1\n')
    tended.command("rehearse", "plain ale", "--into", str(tended.folder / "demo"))
    with open_book(tended.book) as book:
        (batch,) = read_batches_file(tended.folder / "demo" / "north.toml")
        book.batches.put(batch)
    tended.start()
    (tended.folder / "demo" / "north.csv").rename(drop / "north.csv")
    (drop / "letter.csv").write_text("this is no log\n")
    assert tended.eventually(lambda book: ("ready", "north-1") in book.outbox.standing())
    assert tended.eventually(lambda _book: (drop / "done" / "north.csv").exists())
    assert " rows read" in (drop / "done" / "north.csv.report.txt").read_text()
    assert tended.eventually(lambda _book: (drop / "failed" / "letter.csv").exists())
    assert "letter.csv" in (drop / "failed" / "letter.csv.report.txt").read_text()


def test_after_a_restart_it_still_knows_when_each_sensor_was_last_heard(tended: Tended) -> None:
    url = tended.listens()
    tended.start()
    assert tended.says("lullwort.broker connected")
    timed = json.dumps([{"bn": "f2:", "bt": time.time() - 60.0, "n": "gravity", "u": "/", "v": 1.05}])
    for pack in (b'[{"bn":"f1:","n":"gravity","u":"/","v":1.05}]', timed.encode(), timed.encode()):
        message = urllib.request.Request(f"{url}/readings", pack, {"Content-Type": "application/senml+json"})
        with urllib.request.urlopen(message, timeout=20.0) as answer:
            assert json.loads(answer.read()) == {"stored": 1, "set_aside": []}
    assert tended.end() == 0
    with open_book(tended.book) as book:
        assert len(list(book.readings.of("f2", *EVER))) == 1  # sent twice, with a time of its own
    tended.unmeasured().start()
    assert tended.says("lullwort.broker connected", 2)
    with urllib.request.urlopen(f"{url}/metrics", timeout=20.0) as answer:
        metrics = answer.read().decode()
    (age,) = [line.split()[1] for line in metrics.splitlines() if 'last_reading_age_seconds{sensor="f1"}' in line]
    assert 0.0 < float(age) < 60.0
    assert "uvicorn" not in tended.log


def test_a_batch_that_is_closed_on_its_page_is_done_at_once_as_the_commands_say(tended: Tended) -> None:
    url = tended.listens()
    ale, now_us = invent("plain ale", 1), time.time_ns() // 1000
    by_us = now_us - 60_000_000 - (ale.batch.pitched_us + 40 * HOUR_US)  # it ferments, and was heard a minute ago
    batch = msgspec.structs.replace(ale.batch, pitched_us=ale.batch.pitched_us + by_us, events=())
    builder = BlockBuilder(COMMON_UNITS)
    for r in ale.readings:
        if r.at_us + by_us < now_us and r.gravity is not None:
            values = [r.gravity, r.temperature_c or np.nan, np.nan, np.nan, np.nan]
            builder.add(r.sensor, r.vessel, r.at_us + by_us, values, 0)
    with open_book(tended.book) as book:
        book.batches.put(batch)
        run = book.imports.begin(Intake("broker", "somewhere", "00" * 32, open_ended=True), 1)
        run.store(builder.build())
        run.commit()
    tended.unmeasured().start()
    assert tended.says("lullwort.broker connected")
    assert tended.eventually(lambda book: bool(book.verdicts.of(batch.name)))
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    browser.addheaders = [("Origin", url)]

    def page(path: str, **entered: str) -> str:
        with browser.open(f"{url}{path}", urlencode(entered).encode() if entered else None, timeout=20.0) as answer:
            return str(answer.read().decode())

    vessel = f"/vessel/{batch.vessel}"
    assert '<p class="word" data-say="' in page(vessel)
    assert "Close it once it is packaged" not in page(vessel)
    form = page(f"/batch/{batch.name}/close")
    hidden = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
    after = page(f"/batch/{batch.name}/close", **{**hidden, "known": "yes"})  # the time is left empty: now
    said = tended.command("verdict", batch.vessel)
    for shown in (after, page(vessel), page("/")):
        assert ">Done</p>" in shown
        assert "<strong>Danger.</strong>" in shown or 'class="danger">Danger.' in shown
    assert "Done" in said


def test_a_sensor_whose_clock_is_back_in_1970_is_told(tended: Tended) -> None:
    tended.settings.write_text(
        tended.settings.read_text() + 'topics = [{ topic = "lullwort/float/{sensor}", form = "float" }]\n'
        '[form.float]\nread = "json"\nfields = { time = "/t", gravity = "/sg" }\ntimes = "unix"\n'
    )
    with open_book(tended.book) as book:
        book.batches.put(renamed(invent("plain ale", 1), "north", "north-1").batch)
    tended.unmeasured().start()
    assert tended.says("lullwort.broker connected")
    with tended.sender("lullwort") as client:
        client.publish("lullwort/float/north", b'{"t": 1200, "sg": 1.05}', qos=1).wait_for_publish(20.0)
    assert tended.eventually(lambda book: ("sensor clock", "north") in book.outbox.standing(), 100.0)
    with open_book(tended.book) as book:
        assert "1970-01-01T00:20:00Z" in book.outbox.standing()["sensor clock", "north"].says


def test_changed_settings_are_taken_up_and_faulty_ones_are_not(tended: Tended) -> None:
    tended.start()
    assert tended.says("connected")
    sound = tended.settings.read_text()
    tended.settings.write_text(sound + "porrt = 1\n")
    tended.process.send_signal(signal.SIGHUP)
    assert tended.says("faulty and not taken up")
    with socket.create_server(("127.0.0.1", 0)) as taken:
        tended.settings.write_text(f'{sound}[http]\nlisten = "127.0.0.1:{taken.getsockname()[1]}"\n')
        tended.process.send_signal(signal.SIGHUP)
        assert tended.says("cannot be used, those before hold")
        assert tended.says("lullwort.tend tending", 3)
    tended.settings.write_text(
        sound + 'topics = [{ topic = "lullwort/sg/{vessel}", form = "bare" }]\n'
        '[form.bare]\nread = "number"\nquantity = "gravity"\n'
    )
    tended.process.send_signal(signal.SIGHUP)
    assert tended.says("settings taken up", 2)
    assert tended.says("lullwort.broker connected", 4)
    with tended.sender("lullwort") as client:
        client.publish("lullwort/sg/south", b"1.0425", qos=1).wait_for_publish(20.0)
    assert tended.eventually(lambda book: "south" in book.readings.vessels())
    assert tended.end() == 0


@contextmanager
def slow_receiver() -> Iterator[tuple[str, list[str]]]:
    """An address that takes two seconds for an answer, and the alerts that it took."""
    taken: list[str] = []

    class Taker(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            taken.append(body["data"]["title"])
            time.sleep(2.0)
            self.send_response(204)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            return

    with ThreadingHTTPServer(("127.0.0.1", 0), Taker) as server:
        threading.Thread(target=server.serve_forever, args=(0.02,)).start()
        yield f"http://127.0.0.1:{server.server_port}/in", taken
        server.shutdown()


def test_an_alert_that_is_on_its_way_when_settings_change_is_not_sent_twice(
    tended: Tended, comes_true: Callable[..., bool]
) -> None:
    with slow_receiver() as (address, taken):
        tended.settings.write_text(f'{tended.settings.read_text()}[alerts]\nwebhook = "{address}"\n')
        cold = Alert(kind="too cold", about="north-1", on=True, at_us=1, batch="north-1", title="cold", says="")
        with open_book(tended.book) as book:
            book.outbox.put([cold], ["webhook"], 0)
        tended.start()
        assert comes_true(lambda: taken, 20.0)
        tended.process.send_signal(signal.SIGHUP)
        assert tended.says("lullwort.tend tending", 2)
        assert tended.says("lullwort.alerts delivered")
        assert tended.end() == 0
    assert taken == ["cold"]


class StopsJustBefore(threading.Event):
    """A wake-up that is cleared just after the service was told to stop."""

    def __init__(self) -> None:
        super().__init__()
        self.service: Service | None = None

    def clear(self) -> None:
        if self.service is not None:
            self.service.stop()
        super().clear()


def test_a_signal_that_comes_while_it_starts_is_not_lost(tmp_path: Path) -> None:
    wake = StopsJustBefore()
    (tmp_path / "settings.toml").write_text("")
    environment = {"LULLWORT_SETTINGS": str(tmp_path / "settings.toml"), "LULLWORT_BOOK": str(tmp_path / "c.book")}
    service = wake.service = Service(environment, {}, _wake=wake)
    running = threading.Thread(target=service.run, daemon=True)
    running.start()
    running.join(10.0)
    assert not running.is_alive()


def test_it_ends_when_any_of_its_threads_dies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def start(_link: BrokerLink) -> None:
        threading.Thread(target=lambda: "".encode("nowhere"), name="of a library").start()

    monkeypatch.setattr(BrokerLink, "start", start)
    (tmp_path / "settings.toml").write_text("[broker]\n")
    environment = {"LULLWORT_SETTINGS": str(tmp_path / "settings.toml"), "LULLWORT_BOOK": str(tmp_path / "c.book")}
    before = threading.excepthook
    with pytest.raises(LookupError, match="nowhere"):
        Service(environment, {}).run()
    assert threading.excepthook is before


def test_it_ends_in_order_within_five_seconds(tended: Tended) -> None:
    tended.start()
    assert tended.says("connected")
    began = time.monotonic()
    assert tended.end() == 0
    assert time.monotonic() - began < 5.0
    assert "stopped" in tended.log


HEAVY = ("pandas", "scipy", "pyarrow", "rich", "apprise")

LOADED = """
import os, sys, threading
from lullwort.tend import Service

service = Service(os.environ, {{}})
threading.Thread(target=lambda: (sys.stdin.readline(), service.stop())).start()
service.run()
print(*(name for name in {heavy!r} if name in sys.modules))
print("paho.mqtt.client" in sys.modules, "uvicorn" in sys.modules, "lullwort.detector" in sys.modules)
"""


def test_the_service_loads_nothing_heavy_while_it_does_all_of_its_work(tended: Tended) -> None:
    tended.unmeasured()
    ale = invent("plain ale", 1)
    with open_book(tended.book) as book:
        book.batches.put(ale.batch)
    url = tended.listens()
    process = subprocess.Popen(
        [sys.executable, "-c", LOADED.format(heavy=HEAVY)], env=tended.environment, stdin=subprocess.PIPE,
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    try:
        assert b"here" in tended.retained("lullwort/status")
        packs = [
            json.dumps([{"bn": "f1:", "bt": r.at_us / 1e6, "n": "gravity", "u": "/", "v": r.gravity},
                        {"n": "temperature", "u": "Cel", "v": r.temperature_c},
                        {"n": "vessel", "vs": ale.batch.vessel}])
            for r in ale.readings if r.gravity is not None and r.temperature_c is not None
        ]  # fmt: skip
        for nth in range(0, len(packs), 400):
            message = urllib.request.Request(
                f"{url}/readings", "".join(packs[nth : nth + 1]).encode(),
                {"Content-Type": "application/senml+json"},
            )  # fmt: skip
            with urllib.request.urlopen(message, timeout=20.0) as answer:
                assert answer.status == 200
        with tended.sender() as client:
            sent = [client.publish("lullwort/readings/f1", pack, qos=1) for pack in packs]
            sent[-1].wait_for_publish(30.0)
        assert tended.eventually(lambda book: ("ready", ale.batch.name) in book.outbox.standing())
        said, _ = process.communicate("\n", timeout=20.0)
    finally:
        process.kill()
    assert said.splitlines() == ["", "True True True"]
