"""What the unattended service takes, and how quick it is: memory, idle processor time, start, reading to verdict.

    python tests/benchmarks/service_figures.py [IDLE_S]

Needs the program mosquitto, and /proc. The service has ten vessels with a batch each and listens on HTTP, too. It is
sent 50 readings a second until each vessel has had nine days of them.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from statistics import median

from paho.mqtt.client import Client, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion

from lullwort.cellarbook import open_book
from lullwort.records import HOUR_US, parse_instant
from lullwort.rehearsal import Invented, invent, renamed, shifted
from service_intake import broker, free_port

KINDS = ("plain ale", "fast ale", "bump", "noisy sensor", "drifting sensor")
SETTINGS = 'book = "{book}"\n[broker]\nport = {port}\n[http]\nlisten = "127.0.0.1:{http}"\n'
READINGS_A_SECOND = 50
EVERY_US = HOUR_US // 2
DAYS = 9
STARTS = 7


def cellar() -> list[Invented]:
    """Ten batches pitched at the same hour."""
    begun_us = parse_instant("2026-03-02T09:00:00Z")
    batches = []
    for nth in range(10):
        one = renamed(invent(KINDS[nth % 5], 1 + nth // 5), f"v{nth}", f"v{nth}-1")
        batches.append(shifted(one, begun_us - one.batch.pitched_us))
    return batches


def seconds_of_processor(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def resident_mib(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS:")) / 1024.0


def heavy_loaded(pid: int) -> list[str]:
    """Of the libraries that must not be, those whose compiled parts are mapped into the process."""
    maps = Path(f"/proc/{pid}/maps").read_text()
    return [name for name in ("pandas", "scipy", "pyarrow") if f"/{name}/" in maps]


def until_it_answers(address: str) -> None:
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5.0):
                return
        except OSError:
            time.sleep(0.005)


class Viewer:
    """Notes when another verdict than before is shown; the same one with newer evidence waits on purpose."""

    def __init__(self, port: int) -> None:
        self.seen: dict[tuple[str, int], float] = {}
        self._verdicts: dict[str, str] = {}
        self.client = Client(CallbackAPIVersion.VERSION2)
        self.client.on_message = self._note
        self.client.connect("127.0.0.1", port)
        self.client.subscribe("lullwort/verdicts/+", 1)
        self.client.loop_start()

    def _note(self, _client: Client, _data: object, message: MQTTMessage) -> None:
        now_s, vessel = time.perf_counter(), message.topic.rpartition("/")[2]
        data = json.loads(message.payload)["data"]
        if self._verdicts.get(vessel) != data["verdict"]:
            self._verdicts[vessel] = data["verdict"]
            self.seen[vessel, parse_instant(data["as_of"])] = now_s


def every_half_hour(one: Invented) -> list[tuple[int, str, bytes]]:
    kept, last_us = [], -EVERY_US
    for r in one.readings:
        if r.at_us - last_us < EVERY_US or r.gravity is None or r.temperature_c is None:
            continue
        last_us = r.at_us
        pack = [
            {"bn": f"{r.sensor}:", "bt": r.at_us / 1e6, "n": "gravity", "u": "/", "v": r.gravity},
            {"n": "temperature", "u": "Cel", "v": r.temperature_c},
        ]
        kept.append((r.at_us, r.sensor, json.dumps(pack).encode()))
    return [each for each in kept if each[0] - one.batch.pitched_us < DAYS * 24 * HOUR_US]


def play(port: int, batches: list[Invented]) -> list[float]:
    """[ms] from a reading that closes an hour to the verdict of that hour, where that is another one."""
    viewer = Viewer(port)
    sender = Client(CallbackAPIVersion.VERSION2)
    sender.connect("127.0.0.1", port)
    sender.loop_start()
    closed: dict[tuple[str, int], float] = {}
    last_hour: dict[str, int] = {}
    started = time.perf_counter()
    messages = sorted(each for one in batches for each in every_half_hour(one))
    for nth, (at_us, sensor, payload) in enumerate(messages):
        time.sleep(max(0.0, started + nth / READINGS_A_SECOND - time.perf_counter()))
        hour = at_us // HOUR_US
        if last_hour.get(sensor, hour) != hour:
            closed[sensor, hour * HOUR_US] = time.perf_counter()
        last_hour[sensor] = hour
        sender.publish(f"lullwort/readings/{sensor}", payload, qos=1)
    time.sleep(1.0)
    for client in (sender, viewer.client):
        client.disconnect()
        client.loop_stop()
    return [1e3 * (viewer.seen[key] - at) for key, at in closed.items() if key in viewer.seen]


def tell(what: str, value: float, unit: str, goal: float, more: str = "") -> None:
    print(f"{what:44} {value:8.3f} {unit:3} goal: {goal:g}, {'met' if value <= goal else 'NOT MET'}{more}")


def main(idle_s: float = 120.0) -> None:
    with tempfile.TemporaryDirectory() as name, broker(Path(name)) as port:
        folder, http = Path(name), free_port()
        (folder / "settings.toml").write_text(SETTINGS.format(book=folder / "cellar.book", port=port, http=http))
        environment = os.environ | {"LULLWORT_SETTINGS": str(folder / "settings.toml")}
        batches = cellar()
        with open_book(folder / "cellar.book") as book:
            for one in batches:
                book.batches.put(one.batch)

        def start() -> tuple[subprocess.Popen[bytes], float]:
            began = time.perf_counter()
            process = subprocess.Popen(
                [sys.executable, "-m", "lullwort", "tend"], env=environment, stderr=subprocess.DEVNULL
            )
            until_it_answers(f"http://127.0.0.1:{http}/health")
            return process, time.perf_counter() - began

        starts = []
        for _ in range(STARTS):
            process, took = start()
            starts.append(took)
            process.send_signal(signal.SIGTERM)
            process.wait()
        process, _ = start()
        late = play(port, batches)
        memory, heavy = resident_mib(process.pid), heavy_loaded(process.pid)
        before = seconds_of_processor(process.pid)
        time.sleep(idle_s)
        idle = 100.0 * (seconds_of_processor(process.pid) - before) / idle_s
        process.send_signal(signal.SIGTERM)
        process.wait()
    tell("start to listening, median", median(starts), "s", 1.0, f" ({min(starts):.2f} to {max(starts):.2f})")
    tell("resident memory, ten vessels, HTTP on", memory, "MiB", 60.0, f"; loaded of what is heavy: {heavy or 'none'}")
    tell(f"idle processor time over {idle_s:g} s", idle, "%", 0.5)
    many = f" (median {median(late):.1f}, {len(late)} verdicts)"
    tell("reading to verdict at 50/s, the slowest", max(late), "ms", 100.0, many)


if __name__ == "__main__":
    main(*map(float, sys.argv[1:]))
