"""How fast readings come in from a real broker onto the disk, beside the plainest program that does so.

    python tests/benchmarks/service_intake.py [MESSAGES]

Needs the program mosquitto. The plainest program decodes JSON, inserts row by row, commits what is there in groups
and acknowledges after that. Both find the same messages waiting in their session, in turns, each in a process of its
own; timed is from its start to the last message on disk, less what a session with one message takes.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median

PLAIN = """
import json, queue, sqlite3, sys
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

port, path = int(sys.argv[1]), sys.argv[2]
waiting = queue.Queue(1000)
client = Client(CallbackAPIVersion.VERSION2, client_id="plain", clean_session=False, manual_ack=True)
client.on_connect = lambda c, *_: c.subscribe("lullwort/readings/+", 1)
client.on_message = lambda _c, _d, m: waiting.put(m)
db = sqlite3.connect(path, isolation_level=None)
db.execute("PRAGMA journal_mode = WAL")
db.execute("PRAGMA synchronous = FULL")
db.execute("CREATE TABLE IF NOT EXISTS reading (sensor TEXT, at REAL, gravity REAL, temperature REAL)")
client.connect("127.0.0.1", port)
client.loop_start()
while True:
    group = [waiting.get()]
    while len(group) < 500 and not waiting.empty():
        group.append(waiting.get_nowait())
    rows = []
    for message in group:
        first, second = json.loads(message.payload)
        rows.append((first["bn"], first["bt"], first["v"], second["v"]))
    db.execute("BEGIN")
    db.executemany("INSERT INTO reading VALUES (?, ?, ?, ?)", rows)
    db.execute("COMMIT")
    for message in group:
        client.ack(message.mid, message.qos)
"""
SETTINGS = 'book = "{book}"\n[broker]\nport = {port}\nclient_id = "tended"\n'
TURNS = 3
GOAL = 0.8


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@contextmanager
def broker(folder: Path) -> Iterator[int]:
    port = free_port()
    settings = folder / "mosquitto.conf"
    settings.write_text(
        f"listener {port} 127.0.0.1\nallow_anonymous true\nmax_queued_messages 0\nmax_inflight_messages 0\n"
    )
    program = shutil.which("mosquitto") or "/usr/sbin/mosquitto"
    process = subprocess.Popen([program, "-c", str(settings)], stderr=subprocess.DEVNULL)
    time.sleep(1.0)
    try:
        yield port
    finally:
        process.kill()
        process.wait()


def publish(port: int, messages: int) -> None:
    from paho.mqtt.client import Client
    from paho.mqtt.enums import CallbackAPIVersion

    client = Client(CallbackAPIVersion.VERSION2)
    client.max_inflight_messages_set(500)
    client.connect("127.0.0.1", port)
    client.loop_start()
    sent = []
    for i in range(messages):
        pack = [
            {"bn": f"f{i % 10}:", "bt": 1_772_442_000 + i // 10 * 60, "n": "gravity", "u": "/", "v": 1.05 - i * 1e-6},
            {"n": "temperature", "u": "Cel", "v": 20.0},
        ]
        sent.append(client.publish(f"lullwort/readings/f{i % 10}", json.dumps(pack), qos=1))
    for each in sent:
        each.wait_for_publish(60.0)
    client.disconnect()
    client.loop_stop()


def stored(path: Path, table: str) -> int:
    try:
        with sqlite3.connect(f"file:{path}?mode=ro", uri=True) as db:
            return int(db.execute(f"SELECT {table}").fetchone()[0] or 0)
    except sqlite3.Error:
        return 0


def until_stored(program: list[str], path: Path, table: str, count: int, environment: dict[str, str]) -> float:
    """[s] from the start of the program until so many are on disk."""
    began = time.perf_counter()
    process = subprocess.Popen(program, env=environment, stderr=subprocess.DEVNULL)
    while stored(path, table) < count:
        if process.poll() is not None or time.perf_counter() - began > 300.0:
            raise SystemExit(f"{program} ended or hangs")
        time.sleep(0.01)
    took = time.perf_counter() - began
    process.send_signal(signal.SIGTERM)
    process.wait()
    return took


def main(messages: int = 20_000) -> None:
    took: dict[str, list[float]] = {"plain": [], "tend": []}
    with tempfile.TemporaryDirectory() as name, broker(Path(name)) as port:
        folder = Path(name)
        book, plain = folder / "cellar.book", folder / "plain.db"
        (folder / "settings.toml").write_text(SETTINGS.format(book=book, port=port))
        environment = os.environ | {"LULLWORT_SETTINGS": str(folder / "settings.toml")}
        programs = {
            "plain": ([sys.executable, "-c", PLAIN, str(port), str(plain)], plain, "count(*) FROM reading"),
            "tend": ([sys.executable, "-m", "lullwort", "tend"], book, "sum(readings) FROM segment"),
        }

        def run(which: str, count: int) -> float:
            for beside in folder.glob(f"{programs[which][1].name}*"):
                beside.unlink()
            return until_stored(*programs[which], count, environment)

        for which in programs:  # makes the sessions
            publish_later = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(4)"])
            process = subprocess.Popen(programs[which][0], env=environment, stderr=subprocess.DEVNULL)
            publish_later.wait()
            process.send_signal(signal.SIGTERM)
            process.wait()
        for _ in range(TURNS):
            base = {}
            for which in programs:
                publish(port, 1)  # waits for both; each takes its own
                base[which] = run(which, 1)
            publish(port, messages)
            for which in programs:
                took[which].append(run(which, messages) - base[which])
    rates = {which: messages / median(seconds) for which, seconds in took.items()}
    ratios = sorted(p / t for p, t in zip(took["plain"], took["tend"], strict=True))
    print(f"plain {rates['plain']:.0f} messages/s, tend {rates['tend']:.0f} messages/s")
    met = "met" if median(ratios) >= GOAL else "NOT MET"
    print(f"ratio {median(ratios):.2f} ({ratios[0]:.2f} to {ratios[-1]:.2f}); goal: at least {GOAL}, {met}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
