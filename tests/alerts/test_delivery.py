"""Alerts on their way to a real server on this machine, which may be down for days by an injected clock."""

from __future__ import annotations

import json
import socket
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from lullwort.alerts import AlertSettings, Deliverer, Quiet, Senders, checked_alerts
from lullwort.cellarbook import open_book
from lullwort.errors import BookError, UsageError
from lullwort.records import HOUR_US, Alert, AlertKind, parse_instant

NOW_US = parse_instant("2026-03-02T12:00:00Z")
NIGHT_US = parse_instant("2026-03-02T23:00:00Z")


class Receiver(HTTPServer):
    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Taker)
        self.answer = 204
        self.elsewhere = ""
        self.asked: list[str] = []
        self.taken: list[tuple[dict[str, str], dict[str, Any]]] = []

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_port}/in"


class Taker(BaseHTTPRequestHandler):
    server: Receiver

    def do_POST(self) -> None:
        self.server.asked.append(f"POST {self.path}")
        body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        if self.server.answer < 300:
            self.server.taken.append((dict(self.headers), body))
        self.send_response(self.server.answer)
        if self.server.elsewhere:
            self.send_header("Location", self.server.elsewhere)
        self.end_headers()

    def do_GET(self) -> None:
        self.server.asked.append(f"GET {self.path}")
        self.send_response(200)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        return


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    server = Receiver()
    thread = threading.Thread(target=server.serve_forever, args=(0.02,))
    thread.start()
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


class Clock:
    def __init__(self, now_us: int) -> None:
        self.now_us = now_us

    def __call__(self) -> int:
        return self.now_us


def an_alert(kind: AlertKind = "ready", *, urgent: bool = True) -> Alert:
    return Alert(
        kind=kind, about="north-12", on=True, at_us=NOW_US, vessel="north", batch="north-12", urgent=urgent,
        title="READY TO PACKAGE: north-12", says="Gravity has held still.", data={"points_left": 0.2},
    )  # fmt: skip


def deliverer(settings: AlertSettings, clock: Clock, quiet: tuple[int, int] | None = None) -> Deliverer:
    return Deliverer(Senders(settings, "lullwort", lambda _a, _p: True), Quiet(quiet, ZoneInfo("UTC")), clock)


NEVER = threading.Event()


def test_a_webhook_gets_a_cloud_event_with_its_token(tmp_path: Path, receiver: Receiver) -> None:
    (tmp_path / "token").write_text("s3cret\n")
    settings = AlertSettings(webhook=receiver.address, webhook_token_file=tmp_path / "token", broker=False)
    with open_book(tmp_path / "cellar.book") as book:
        book.outbox.put([an_alert()], settings.targets(with_broker=False), NOW_US)
        assert deliverer(settings, Clock(NOW_US)).round(book.outbox, NEVER) == 1
        assert book.outbox.next_due_us() is None
    ((headers, event),) = receiver.taken
    assert headers["Content-Type"] == "application/cloudevents+json"
    assert headers["Authorization"] == "Bearer s3cret"
    # CloudEvents 1.0: these four are required.
    assert {"id", "source", "specversion", "type"} <= event.keys()
    assert (event["specversion"], event["type"], event["subject"]) == ("1.0", "lullwort.verdict.changed", "north")
    assert event["data"]["title"] == "READY TO PACKAGE: north-12"


def test_a_target_that_is_down_for_three_days_gets_it_once_when_it_is_back(tmp_path: Path, receiver: Receiver) -> None:
    settings = AlertSettings(webhook=receiver.address, broker=False)
    clock = Clock(NOW_US)
    receiver.answer = 503
    with open_book(tmp_path / "cellar.book") as book:
        book.outbox.put([an_alert()], settings.targets(with_broker=False), NOW_US)
        sender = deliverer(settings, clock)
        tries = 0
        while clock.now_us < NOW_US + 72 * HOUR_US:
            tries += sender.round(book.outbox, NEVER)
            due_us = book.outbox.next_due_us()
            assert due_us is not None
            assert due_us > clock.now_us
            clock.now_us = due_us
        receiver.answer = 204
        assert sender.round(book.outbox, NEVER) == 1
        assert sender.round(book.outbox, NEVER) == 0
    assert len(receiver.taken) == 1
    assert 72 <= tries <= 90  # the delay grows to an hour


def test_what_was_taken_but_could_not_be_noted_is_not_sent_again(tmp_path: Path, receiver: Receiver) -> None:
    settings = AlertSettings(webhook=receiver.address, broker=False)
    with open_book(tmp_path / "cellar.book", wait_s=0.05) as book:
        book.outbox.put([an_alert()], settings.targets(with_broker=False), NOW_US)
        sender = deliverer(settings, Clock(NOW_US))
        with closing(sqlite3.connect(tmp_path / "cellar.book")) as other:
            other.execute("BEGIN IMMEDIATE")
            for _ in range(3):
                with pytest.raises(BookError):
                    sender.round(book.outbox, NEVER)
            other.rollback()
        assert sender.round(book.outbox, NEVER) == 1
        assert book.outbox.next_due_us() is None
    assert len(receiver.taken) == 1


def test_quiet_hours_hold_back_what_is_not_urgent(tmp_path: Path, receiver: Receiver) -> None:
    settings = AlertSettings(webhook=receiver.address, broker=False)
    clock = Clock(NIGHT_US)
    with open_book(tmp_path / "cellar.book") as book:
        book.outbox.put([an_alert(), an_alert("too cold", urgent=False)], settings.targets(with_broker=False), NIGHT_US)
        sender = deliverer(settings, clock, (22 * 60, 7 * 60))
        sender.round(book.outbox, NEVER)
        assert [event["data"]["kind"] for _, event in receiver.taken] == ["ready"]
        clock.now_us = parse_instant("2026-03-03T07:00:00Z")
        sender.round(book.outbox, NEVER)
    assert [event["data"]["kind"] for _, event in receiver.taken] == ["ready", "too cold"]


def test_push_goes_out_through_a_process_of_its_own(tmp_path: Path, receiver: Receiver) -> None:
    (tmp_path / "push").write_text(f"# phones\njson://127.0.0.1:{receiver.server_port}/in\n")
    settings = AlertSettings(push_file=tmp_path / "push", broker=False)
    with open_book(tmp_path / "cellar.book") as book:
        book.outbox.put([an_alert()], settings.targets(with_broker=False), NOW_US)
        deliverer(settings, Clock(NOW_US)).round(book.outbox, NEVER)
        assert book.outbox.next_due_us() is None
    ((_, sent),) = receiver.taken
    assert sent["title"] == "READY TO PACKAGE: north-12"


def test_a_push_address_that_fails_is_named_by_number_only(tmp_path: Path) -> None:
    (tmp_path / "push").write_text("nothing://token-that-is-secret@host\n")
    settings = AlertSettings(push_file=tmp_path / "push", broker=False)
    with open_book(tmp_path / "cellar.book") as book:
        book.outbox.put([an_alert()], settings.targets(with_broker=False), NOW_US)
        deliverer(settings, Clock(NOW_US)).round(book.outbox, NEVER)
        (states,) = (posted.deliveries for posted in book.outbox.recent(1))
    assert states[0].error == "address 1 is none that can be used"


@pytest.mark.usefixtures("unmeasured")
def test_an_address_that_took_it_is_not_told_again_because_another_did_not(tmp_path: Path, receiver: Receiver) -> None:
    (tmp_path / "push").write_text(f"json://127.0.0.1:{receiver.server_port}/in\nnothing://host\n")
    settings = AlertSettings(push_file=tmp_path / "push", broker=False)
    senders = Senders(settings, "lullwort", lambda _a, _p: True)
    assert [senders.send("push", an_alert()) for _ in range(2)] == ["address 2 is none that can be used"] * 2
    assert len(receiver.taken) == 1
    (tmp_path / "push").write_text(f"json://127.0.0.1:{receiver.server_port}/in\n")
    assert senders.send("push", an_alert()) == ""
    assert len(receiver.taken) == 1
    assert senders.send("push", an_alert("stalled")) == ""
    assert len(receiver.taken) == 2


@pytest.mark.parametrize("content", [None, "", "# nobody yet\n"])
def test_where_nobody_is_named_nothing_counts_as_delivered(tmp_path: Path, content: str | None) -> None:
    path = tmp_path / "push"
    if content is not None:
        path.write_text(content)
    senders = Senders(AlertSettings(push_file=path, broker=False), "lullwort", lambda _a, _p: True)
    assert senders.send("push", an_alert()) == f"no address can be read from {path}"


def test_a_webhook_without_its_token_is_not_asked(tmp_path: Path, receiver: Receiver) -> None:
    settings = AlertSettings(webhook=receiver.address, webhook_token_file=tmp_path / "none", broker=False)
    senders = Senders(settings, "lullwort", lambda _a, _p: True)
    assert senders.send("webhook", an_alert()) == f"no token can be read from {tmp_path / 'none'}"
    assert receiver.taken == []


def test_a_webhook_that_sends_elsewhere_has_not_taken_it_and_the_token_goes_nowhere(
    tmp_path: Path, receiver: Receiver
) -> None:
    (tmp_path / "token").write_text("s3cret")
    receiver.answer, receiver.elsewhere = 302, receiver.address.replace("/in", "/elsewhere")
    settings = AlertSettings(webhook=receiver.address, webhook_token_file=tmp_path / "token", broker=False)
    senders = Senders(settings, "lullwort", lambda _a, _p: True)
    assert senders.send("webhook", an_alert()) == "the webhook answered 302"
    assert receiver.asked == ["POST /in"]


def test_a_webhook_that_speaks_no_http_is_a_failed_try() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:

        def answer() -> None:
            here, _ = listener.accept()
            with here:
                here.recv(65536)
                here.sendall(b"220 this is another service\r\n")

        thread = threading.Thread(target=answer)
        thread.start()
        settings = AlertSettings(webhook=f"http://127.0.0.1:{listener.getsockname()[1]}/", broker=False)
        said = Senders(settings, "lullwort", lambda _a, _p: True).send("webhook", an_alert())
        thread.join()
    assert said == "the webhook cannot be reached: BadStatusLine"


@pytest.mark.parametrize("webhook", ["example.org/hook/s3cret", "http://host:abc/s3cret", "http://host:0/s3cret"])
def test_an_address_that_is_none_is_refused_and_not_shown(webhook: str) -> None:
    with pytest.raises(UsageError) as error:
        checked_alerts("alerts", {"webhook": webhook})
    assert "expected an address such as https://example.org/lullwort" in str(error.value)
    assert "s3cret" not in str(error.value)


def test_without_a_broker_nothing_goes_there_and_what_waits_for_it_is_given_up(tmp_path: Path) -> None:
    senders, stop = Senders(AlertSettings(), "lullwort", None), threading.Event()
    assert senders.targets() == []
    assert senders.send("broker", an_alert()) == "there is no way called broker"
    once = Deliverer(senders, Quiet(None, ZoneInfo("UTC")), _StopsAfterThis(stop))
    with open_book(tmp_path / "cellar.book") as book:
        book.outbox.put([an_alert()], ["broker"], NOW_US)
        once.wake()
        once.run(book.outbox, stop)
        (state,) = book.outbox.recent(1)[0].deliveries
    assert (state.delivered_us, state.next_us, state.error) == (None, None, "no longer among the targets")


class _StopsAfterThis(Clock):
    """Whoever asks it ends with what is under way."""

    def __init__(self, stop: threading.Event) -> None:
        super().__init__(NOW_US)
        self._stop = stop

    def __call__(self) -> int:
        self._stop.set()
        return self.now_us
