"""The service's own address through a real socket, in front of a keeper that says what it is told to."""

from __future__ import annotations

import contextlib
import http.client
import json
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from lullwort.collector import Arrival, HttpSettings, Outcome, Packet, checked_form, checked_http
from lullwort.errors import SourceError, UsageError
from lullwort.records import SetAside
from lullwort.tend.health import Health
from lullwort.tend.http import HttpFace

PACK = b'[{"bn":"f1:","bt":1772452800,"n":"gravity","u":"/","v":1.05}]'
FORMS = {"jar": checked_form("form", {"read": "json", "fields": {"gravity": "/sg"}})}
WELL = Health(
    up_s=10.0, failing="", broker_connected=True, queue_length=0, queue_limit=1000, messages=5, readings=7, set_aside=1,
    failed=0, reading_age_s={"f1": 61.5}, verdicts={"north-12": "holding"}, outbox_age_s=0.0,
)  # fmt: skip


class Kept:
    def __init__(self) -> None:
        self.packets: list[Packet] = []
        self.outcome = Outcome(1, (), None)
        self.full = False
        self.port = a_port()

    def __call__(self, arrival: Arrival) -> bool:
        if self.full:
            return False
        self.packets.append(arrival.packet)
        threading.Thread(target=arrival.settle, args=(self.outcome,)).start()
        return True


def a_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


Ask = Callable[..., tuple[int, dict[str, str], bytes]]


@contextmanager
def listening(kept: Kept, *, token_file: Path | None = None, health: Health = WELL) -> Iterator[Ask]:
    settings = HttpSettings(port=kept.port, token_file=token_file)
    face = HttpFace(settings, FORMS, kept, lambda: health, lambda: 7)
    face.start()

    def ask(
        method: str = "POST", path: str = "/readings", body: bytes = PACK, **headers: str
    ) -> tuple[int, dict[str, str], bytes]:
        connection = http.client.HTTPConnection("127.0.0.1", settings.port, timeout=10)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body, {"Content-Type": "application/senml+json"} | named)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, {k.lower(): v for k, v in answer.getheaders()}, content

    yield ask
    face.stop(4.0)


@pytest.fixture
def kept() -> Kept:
    return Kept()


def test_a_pack_is_answered_after_it_is_stored(kept: Kept) -> None:
    with listening(kept) as ask:
        status, _, body = ask()
    assert (status, json.loads(body)) == (200, {"stored": 1, "set_aside": []})
    assert kept.packets == [Packet("http", "http:/readings", PACK, 7, "")]


def test_other_json_is_read_by_a_form_of_the_settings(kept: Kept) -> None:
    with listening(kept) as ask:
        assert ask(path="/readings?form=jar", Content_Type="application/json; charset=utf-8")[0] == 200
        status, _, body = ask(path="/readings?form=jug", Content_Type="application/json")
    assert kept.packets[0].form == "jar"
    assert status == 422
    assert b"expected one headed [form.NAME] in the settings (jar)" in body


def test_what_is_no_reading_is_told_with_its_reason(kept: Kept) -> None:
    kept.outcome = Outcome(0, (SetAside("http:/readings", 0, "v", "12.9", "gravity in /", ""),), None)
    with listening(kept) as ask:
        status, _, body = ask()
    assert status == 422
    assert json.loads(body)["set_aside"][0]["expected"] == "gravity in /"


def test_another_type_and_a_body_too_long_are_refused(kept: Kept) -> None:
    with listening(kept) as ask:
        assert ask(Content_Type="text/csv")[0] == 415
        assert ask(body=b" " * ((1 << 20) + 1))[0] == 413
        assert ask(method="GET")[0] == 405
        assert ask(path="/other")[0] == 404
    assert not kept.packets


@pytest.mark.parametrize("full", [True, False])
def test_what_cannot_be_stored_now_is_asked_for_again_later(kept: Kept, full: bool) -> None:
    kept.full, kept.outcome = full, Outcome(0, (), "the disk is full")
    with listening(kept) as ask:
        status, headers, _ = ask()
    assert status == 503
    assert int(headers["retry-after"]) > 0


def test_with_a_token_nothing_is_had_without_it(kept: Kept, tmp_path: Path) -> None:
    (tmp_path / "token").write_text("s3cret\n")
    with listening(kept, token_file=tmp_path / "token") as ask:
        for path, method in (("/readings", "POST"), ("/health", "GET"), ("/metrics", "GET")):
            assert ask(path=path, method=method)[0] == 401
            assert ask(path=path, method=method, Authorization="Bearer other")[0] == 401
            assert ask(path=path, method=method, Authorization="Basic s3cret")[0] == 401
            assert ask(path=path, method=method, Authorization="Bearer s3cret")[0] == 200


def test_who_guesses_tokens_is_made_to_wait_and_one_who_only_forgot_it_is_not(kept: Kept, tmp_path: Path) -> None:
    (tmp_path / "token").write_text("s3cret\n")
    with listening(kept, token_file=tmp_path / "token") as ask:
        for _ in range(10):
            assert ask(path="/health", method="GET")[0] == 401
            assert ask(path="/health", method="GET", Authorization="Bearer the-old-one")[0] == 401
        for nth in range(5):
            assert ask(path="/readings", Authorization=f"Bearer guess-{nth}")[0] == 401
        status, headers, body = ask(path="/readings", Authorization="Bearer s3cret")
    assert (status, json.loads(body)) == (429, {"error": "too many wrong tokens came from this address"})
    assert 0 < int(headers["retry-after"]) <= 2
    assert not kept.packets


def test_without_a_token_a_page_of_somebody_else_cannot_send_readings(kept: Kept) -> None:
    with listening(kept) as ask:
        assert ask(Host="elsewhere.example")[0] == 421
        assert ask(Origin="https://elsewhere.example")[0] == 403
        assert ask(Sec_Fetch_Site="cross-site")[0] == 403
        assert ask(path="/" + "a" * 3000)[0] == 414
        assert ask(X="a" * 20_000)[0] == 431
        assert ask(X="a" * 70_000)[0] in (400, 431)
        assert ask(Host=f"127.0.0.1:{kept.port}")[0] == 200
    assert len(kept.packets) == 1


def test_with_a_token_readings_come_by_any_name(kept: Kept, tmp_path: Path) -> None:
    (tmp_path / "token").write_text("s3cret\n")
    with listening(kept, token_file=tmp_path / "token") as ask:
        assert ask(Host="board.behind.a.proxy.example", Authorization="Bearer s3cret")[0] == 200


def test_connections_that_say_nothing_lock_nobody_out(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.tend.impatient.WHOLE_WITHIN_S", 3.0)
    with listening(kept) as ask, contextlib.ExitStack() as silent:
        port = kept.port
        for nth in range(120):
            wire = silent.enter_context(socket.create_connection(("127.0.0.1", port)))
            head = (
                b"POST /readings HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/senml+json\r\n"
                b"Content-Length: 9\r\n"
            )
            wire.sendall(head + b"\r\n" * (nth % 2))
        # Where they were kept, it would be 503 for ever: the server takes a hundred at once.
        give_up = time.monotonic() + 30.0
        while (status := ask()[0]) == 503 and time.monotonic() < give_up:
            time.sleep(0.1)
        assert status == 200


def test_who_asks_and_never_reads_the_answers_is_cut_off(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.tend.impatient.WHOLE_WITHIN_S", 0.6)
    with listening(kept), socket.create_connection(("127.0.0.1", kept.port)) as wire:
        wire.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        wire.settimeout(10.0)
        cut_off, give_up = False, time.monotonic() + 20.0
        while not cut_off and time.monotonic() < give_up:
            try:
                wire.sendall(b"GET /metrics HTTP/1.1\r\nHost: localhost\r\n\r\n" * 100)
            except OSError:  # reset, or broken, as the system has it
                cut_off = True
        assert cut_off


def test_who_asks_again_and_again_over_one_connection_is_not_cut_off(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lullwort.tend.impatient.WHOLE_WITHIN_S", 0.4)
    with listening(kept):
        connection = http.client.HTTPConnection("127.0.0.1", kept.port, timeout=10)
        connection.connect()
        wire = connection.sock
        for _ in range(8):
            connection.request("GET", "/health")
            assert connection.getresponse().read()
            time.sleep(0.15)
        assert connection.sock is wire
        connection.close()


def test_a_certificate_that_cannot_be_used_is_named(kept: Kept, tmp_path: Path) -> None:
    (tmp_path / "board.crt").write_text("none")
    settings = HttpSettings(port=a_port(), certificate_file=tmp_path / "board.crt", key_file=tmp_path / "board.crt")
    face = HttpFace(settings, FORMS, kept, lambda: WELL, lambda: 7)
    with pytest.raises(SourceError, match=r"board\.crt: cannot be used with"):
        face.start()


@pytest.mark.parametrize(("host", "warned"), [("127.0.0.1", False), ("0.0.0.0", True)])
def test_its_log_warns_where_others_on_the_network_can_read_along(
    kept: Kept, tmp_path: Path, caplog: pytest.LogCaptureFixture, host: str, warned: bool
) -> None:
    (tmp_path / "token").write_text("s3cret")
    settings = HttpSettings(host=host, port=kept.port, token_file=tmp_path / "token")
    face = HttpFace(settings, FORMS, kept, lambda: WELL, lambda: 7)
    face.start()
    face.stop(4.0)
    assert any("without TLS" in record.message for record in caplog.records) is warned


def test_health_and_metrics_say_how_it_does(kept: Kept) -> None:
    with listening(kept) as ask:
        assert json.loads(ask("GET", "/health")[2])["status"] == "well"
        status, headers, metrics = ask("GET", "/metrics")
    assert (status, headers["content-type"]) == (200, "text/plain; version=0.0.4; charset=utf-8")
    lines = metrics.decode().splitlines()
    assert 'lullwort_last_reading_age_seconds{sensor="f1"} 61.5' in lines
    assert 'lullwort_verdict{batch="north-12",verdict="holding"} 1' in lines
    assert "lullwort_messages_total 5" in lines
    assert "# TYPE lullwort_messages_total counter" in lines


def test_a_failing_book_shows_as_failing(kept: Kept) -> None:
    with listening(
        kept, health=Health(**{f: getattr(WELL, f) for f in WELL.__struct_fields__} | {"failing": "full"})
    ) as ask:
        assert ask("GET", "/health")[0] == 503


def test_an_address_that_is_taken_is_told(kept: Kept) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        face = HttpFace(HttpSettings(port=other.getsockname()[1]), FORMS, kept, lambda: WELL, lambda: 7)
        with pytest.raises(SourceError, match="cannot be listened on"):
            face.start()


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ({"listen": "localhost"}, "listen is 'localhost', expected an address and a port"),
        ({"listen": "127.0.0.1:0"}, "expected an address and a port"),
        ({"listen": "0.0.0.0:8137"}, "beyond this machine it listens only with a token"),
        ({"key_file": "k"}, "certificate_file and key_file are given together"),
    ],
)
def test_an_error_names_the_key(entered: dict[str, object], says: str) -> None:
    with pytest.raises(UsageError) as error:
        checked_http("http", entered)
    assert says in str(error.value)


def test_beyond_loopback_a_token_is_enough() -> None:
    settings = checked_http("http", {"listen": "[::]:8137", "token_file": "t"})
    assert (settings.host, settings.port) == ("::", 8137)


def test_what_is_settled_after_it_has_stopped_listening_harms_nobody(comes_true: Callable[..., bool]) -> None:
    arrivals: list[Arrival] = []

    def hand_over(arrival: Arrival) -> bool:
        arrivals.append(arrival)
        return True

    settings = HttpSettings(port=a_port())
    face = HttpFace(settings, FORMS, hand_over, lambda: WELL, lambda: 7)
    face.start()
    with socket.create_connection(("127.0.0.1", settings.port)) as client:
        head = (
            f"POST /readings HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/senml+json\r\n"
            f"Content-Length: {len(PACK)}"
        )
        client.sendall(head.encode() + b"\r\n\r\n" + PACK)
        assert comes_true(lambda: arrivals)
        face.stop(10.0)
    arrivals[0].settle(Outcome(1, (), None))
