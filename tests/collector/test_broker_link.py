"""The connection to a real broker: what is not stored comes again, and nothing is acknowledged for another message."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from paho.mqtt.publish import single

from lullwort.collector import Arrival, BrokerLink, BrokerSettings, Outcome

if TYPE_CHECKING:
    from paho.mqtt.publish import AuthParameter

STORED, FAILED = Outcome(1, (), None), Outcome(0, (), "the disk is full")
TOPIC = "lullwort/readings/f1"


def send(broker: Any, payload: bytes, *, retain: bool = False, topic: str = TOPIC) -> None:
    word: AuthParameter = {"username": "lullwort", "password": "lullwort-word"}
    single(topic, payload, qos=1, retain=retain, port=broker.port, hostname="127.0.0.1", auth=word)


@contextmanager
def linked(broker: Any, **options: Any) -> Iterator[queue.Queue[Arrival]]:
    arrivals: queue.Queue[Arrival] = queue.Queue()
    settings = BrokerSettings(host="127.0.0.1", port=broker.port, user="lullwort", client_id="linked")
    link = BrokerLink(settings, "lullwort-word", arrivals.put, lambda: 0, delays_s=(1, 1), **options)
    link.start()
    assert link.wait_connected(10.0)
    time.sleep(0.3)  # until it is subscribed
    yield arrivals
    link.stop(1.0)


def payload_of(arrival: Arrival) -> bytes:
    return arrival.packet.payload


def test_what_fails_again_soon_after_it_was_sent_again_comes_once_more(cellar_broker: Any) -> None:
    with linked(cellar_broker) as arrivals:
        send(cellar_broker, b"1")
        for _ in range(3):
            arrival = arrivals.get(timeout=15.0)
            assert payload_of(arrival) == b"1"
            arrival.settle(FAILED)
        arrivals.get(timeout=15.0).settle(STORED)
        send(cellar_broker, b"2")
        assert payload_of(arrivals.get(timeout=15.0)) == b"2"


def test_an_acknowledgement_that_comes_after_a_new_connection_reaches_no_other_message(cellar_broker: Any) -> None:
    with linked(cellar_broker) as arrivals:
        send(cellar_broker, b"1")
        early = arrivals.get(timeout=15.0)
        cellar_broker.kill()
        (cellar_broker.folder / "mosquitto.db").unlink(missing_ok=True)  # it had saved nothing: ids begin anew
        cellar_broker.start()
        time.sleep(2.5)  # until it is connected again and subscribed
        send(cellar_broker, b"2")
        other = arrivals.get(timeout=15.0)
        assert payload_of(other) == b"2"
        early.settle(STORED)
    with linked(cellar_broker) as arrivals:
        assert payload_of(arrivals.get(timeout=15.0)) == b"2"  # not lost


def test_what_others_had_left_there_is_not_taken_for_new(cellar_broker: Any) -> None:
    send(cellar_broker, b"old", retain=True)
    with linked(cellar_broker) as arrivals:
        send(cellar_broker, b"new")
        assert payload_of(arrivals.get(timeout=15.0)) == b"new"
        assert arrivals.empty()
    with linked(cellar_broker, take_retained=True) as arrivals:
        assert b"old" in {payload_of(arrivals.get(timeout=15.0)) for _ in range(2)}
