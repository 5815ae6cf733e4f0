"""An invented batch played through the real way: broker, service, book, verdict, alert."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Sequence
from itertools import count
from pathlib import Path

import msgspec

from lullwort.cellarbook import open_book
from lullwort.collector import HERE, Arrival, BrokerLink, Outcome, TopicSettings, TopicTemplate
from lullwort.errors import SourceError, UsageError
from lullwort.records import HOUR_US, Reading, as_drill
from lullwort.rehearsal import Invented, renamed, shifted
from lullwort.settings import Settings, broker_password

__all__ = ["play"]

_CONNECT_S, _HERE_S, _SEND_S = 15.0, 4.0, 30.0
_READINGS_A_PACK = 6


def play(invented: Invented, settings: Settings, packs_a_second: float) -> tuple[str, int]:
    """Enter the batch in the book as if it ended now, and send what its sensor sent; its vessel and how many readings.

    Raises:  UsageError without a broker in the settings, or a topic that takes packs; SourceError where the broker
             fails.
    """
    broker = settings.broker
    if broker is None:
        raise UsageError("the settings name no broker: a drill needs the table [broker]")
    native = [topic for topic in broker.topics if not topic.form or settings.forms[topic.form].read == "senml"]
    if not native:
        raise UsageError("no topic of the settings takes SenML packs, which is what a drill sends")
    hours = (time.time_ns() // 1000 - invented.newest_us) // HOUR_US
    invented = shifted(invented, hours * HOUR_US)
    invented = _enter(invented, settings.book)
    here = threading.Event()

    def hear(arrival: Arrival) -> None:
        if arrival.packet.payload == HERE:
            here.set()
        arrival.settle(Outcome(0, (), None))

    link = BrokerLink(
        msgspec.structs.replace(
            broker,
            client_id=f"lullwort-drill-{os.getpid()}",
            topics=(TopicSettings(broker.status_topic),),
            status_topic=_STATUS,
        ),
        broker_password(broker, os.environ),
        hear,
        lambda: time.time_ns() // 1000,
        keep_session=False,
        take_retained=True,
    )
    link.start()
    try:
        if not link.wait_connected(_CONNECT_S):
            raise SourceError(f"the broker at {broker.host}:{broker.port} {link.refused or 'does not answer'}")
        if not here.wait(_HERE_S):
            raise SourceError(
                "no service listens at the broker, so nothing would be heard: start `lullwort tend` first"
            )
        topic = TopicTemplate(native[0].topic).of(sensor=invented.batch.vessel, vessel=invented.batch.vessel)
        return invented.batch.vessel, _send(link, topic, invented.readings, packs_a_second)
    finally:
        link.stop(1.0)


_STATUS = "lullwort/drill"


def _enter(invented: Invented, path: Path) -> Invented:
    """Put into the book, in a vessel in which nothing was before: a second drill would be mixed with the first."""
    base = invented.batch.vessel
    with open_book(path) as book:
        for nth in count(1):
            vessel = base if nth == 1 else f"{base}{nth}"
            if not book.readings.sensors(vessel) and not book.batches.all(vessel):
                break
        name = invented.batch.name if vessel == base else f"{vessel}-{invented.seed}"
        invented = renamed(invented, vessel, name)
        book.batches.put(as_drill(invented.batch))
    return invented


def _send(link: BrokerLink, topic: str, readings: Sequence[Reading], packs_a_second: float) -> int:
    began = time.monotonic()
    for nth, start in enumerate(range(0, len(readings), _READINGS_A_PACK)):
        due = began + nth / packs_a_second
        time.sleep(max(0.0, due - time.monotonic()))
        if not link.publish(topic, _pack(readings[start : start + _READINGS_A_PACK]), retain=False, timeout_s=_SEND_S):
            raise SourceError(f"the broker did not take reading {start + 1} of {len(readings)}; start the drill again")
    return len(readings)


def _pack(readings: Sequence[Reading]) -> bytes:
    """As a sensor would send it [RFC8428]."""
    records = []
    for r in readings:
        at = {"bn": f"{r.sensor}:", "bt": r.at_us / 1e6}
        if r.gravity is not None:
            records.append({**at, "n": "gravity", "u": "/", "v": round(r.gravity, 5)})
        if r.temperature_c is not None:
            records.append({**at, "n": "temperature", "u": "Cel", "v": round(r.temperature_c, 2)})
    return msgspec.json.encode(records)
