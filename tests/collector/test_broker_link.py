"""The connection to a real broker: what is not stored comes again, and nothing is acknowledged for another message."""

from __future__ import annotations

import queue
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import pytest
from paho.mqtt.publish import single

from lullwort.collector import Arrival, BrokerLink, BrokerSettings, Outcome, TopicSettings

if TYPE_CHECKING:
    from paho.mqtt.publish import AuthParameter

STORED, FAILED = Outcome(1, (), None), Outcome(0, (), "the disk is full")
TOPIC = "lullwort/readings/f1"


def send(broker: Any, payload: bytes, *, retain: bool = False, topic: str = TOPIC) -> None:
    word: AuthParameter = {"username": "lullwort", "password": "lullwort-word"}
    single(topic, payload, qos=1, retain=retain, port=broker.port, hostname="127.0.0.1", auth=word)


@contextmanager
def linked(
    broker: Any, topics: tuple[TopicSettings, ...] = BrokerSettings().topics, **options: Any
) -> Iterator[queue.Queue[Arrival]]:
    arrivals: queue.Queue[Arrival] = queue.Queue()
    settings = BrokerSettings(host="127.0.0.1", port=broker.port, user="lullwort", client_id="linked", topics=topics)
    link = BrokerLink(settings, "lullwort-word", arrivals.put, lambda: 0, delays_s=(1, 1), **options)
    link.start()
    assert link.wait_connected(10.0)  # and subscribed
    yield arrivals
    link.stop(1.0)


def reason_of_no_link(settings: BrokerSettings) -> str:
    link = BrokerLink(settings, "lullwort-word", lambda _: None, lambda: 0)
    link.start()
    assert not link.wait_connected(10.0)
    link.stop(1.0)
    return link.refused


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


def test_an_acknowledgement_that_comes_after_a_new_connection_reaches_no_other_message(
    cellar_broker: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    subscribed, granted = threading.Semaphore(0), BrokerLink._on_subscribe

    def noticed(*of: Any) -> None:
        granted(*of)
        subscribed.release()

    monkeypatch.setattr(BrokerLink, "_on_subscribe", noticed)
    with linked(cellar_broker) as arrivals:
        assert subscribed.acquire(timeout=15.0)
        send(cellar_broker, b"1")
        early = arrivals.get(timeout=15.0)
        cellar_broker.kill()
        (cellar_broker.folder / "mosquitto.db").unlink(missing_ok=True)  # it had saved nothing: ids begin anew
        cellar_broker.start()
        assert subscribed.acquire(timeout=15.0), "it comes back by itself"
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


def test_a_topic_that_is_asked_for_no_longer_is_passed_over_and_let_go(cellar_broker: Any) -> None:
    old = TopicSettings("lullwort/other/{sensor}")
    with linked(cellar_broker, topics=(old,)) as arrivals:
        send(cellar_broker, b"1", topic="lullwort/other/f1")
        arrivals.get(timeout=15.0).settle(STORED)
    with linked(cellar_broker) as arrivals:  # the session brings it still
        send(cellar_broker, b"2", topic="lullwort/other/f1")
        send(cellar_broker, b"3")
        arrival = arrivals.get(timeout=15.0)
        assert payload_of(arrival) == b"3"
        arrival.settle(STORED)
        assert arrivals.empty()
    with linked(cellar_broker, no_longer=["lullwort/other/+"]):
        pass
    send(cellar_broker, b"4", topic="lullwort/other/f1")
    with linked(cellar_broker, topics=(old, TopicSettings("lullwort/readings/{sensor}"))) as arrivals:
        send(cellar_broker, b"5")
        assert payload_of(arrivals.get(timeout=15.0)) == b"5"  # 4 was not kept for it


def test_why_the_broker_cannot_be_reached_is_told() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        assert "refused" in reason_of_no_link(BrokerSettings(host="127.0.0.1", port=free.getsockname()[1]))


def test_the_wait_between_tries_to_connect_grows() -> None:
    tried_s: list[float] = []
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(20.0)
        link = BrokerLink(
            BrokerSettings(host="127.0.0.1", port=server.getsockname()[1]), None, lambda _: None, lambda: 0
        )
        link.start()
        for _ in range(3):
            wire, _ = server.accept()
            tried_s.append(time.monotonic())
            wire.close()
        link.stop(1.0)
    first, second = tried_s[1] - tried_s[0], tried_s[2] - tried_s[1]
    assert second > first + 0.5


@pytest.mark.parametrize(("code", "granted"), [(0x80, False), (0x00, False), (0x01, True)])
def test_a_topic_that_the_broker_does_not_grant_at_qos_1_is_told(code: int, granted: bool) -> None:
    def broker() -> None:
        wire, _ = server.accept()
        with wire:
            wire.recv(1000)
            wire.sendall(b"\x20\x02\x00\x00")  # CONNACK [MQTT 3.1.1, 3.2]
            told = wire.recv(1000)
            at = told.index(b"\x82")  # SUBSCRIBE, whose packet id follows its length [3.8]
            wire.sendall(b"\x90\x03" + told[at + 2 : at + 4] + bytes([code]))  # SUBACK [3.9.3]
            while wire.recv(1000):
                pass

    with socket.create_server(("127.0.0.1", 0)) as server:
        thread = threading.Thread(target=broker)
        thread.start()
        link = BrokerLink(
            BrokerSettings(host="127.0.0.1", port=server.getsockname()[1]), None, lambda _: None, lambda: 0
        )
        link.start()
        assert link.wait_connected(10.0) is granted
        assert ("lullwort/readings/+" in link.refused) is not granted
        link.stop(1.0)
        thread.join(10.0)
