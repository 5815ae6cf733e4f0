"""Who is slow but moves is waited for; who stands still, or holds too many connections, is not."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from http.client import HTTPResponse
from typing import Any

import pytest
import uvicorn

from lullwort.tend.entrance import Listening
from lullwort.tend.impatient import ImpatientProtocol

WITHIN_S = 0.5
Serve = Callable[[Any], AbstractContextManager[int]]


@contextmanager
def serving(app: Any) -> Iterator[int]:
    """The port of an application served as the service does."""
    config = uvicorn.Config(
        app, host="127.0.0.1", port=0, http="h11", ws="none", lifespan="off", loop="asyncio",
        log_config=None,
        timeout_graceful_shutdown=1,
    )  # fmt: skip
    server = Listening(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.005)
    yield int(server.servers[0].sockets[0].getsockname()[1])
    server.should_exit = True
    thread.join(10.0)


@pytest.fixture(autouse=True)
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.tend.impatient.WHOLE_WITHIN_S", WITHIN_S)
    monkeypatch.setattr("lullwort.tend.impatient.LEAST_BYTES", 1000)


async def counting(_scope: Any, receive: Any, send: Any) -> None:
    """Answers with the length of the body."""
    length, more = 0, True
    while more:
        message = await receive()
        length, more = length + len(message.get("body", b"")), message.get("more_body", False)
    body = str(length).encode()
    headers = [(b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": body})


def open_post(port: int, length: int) -> socket.socket:
    wire = socket.create_connection(("127.0.0.1", port), timeout=10.0)
    wire.sendall(f"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: {length}\r\n\r\n".encode())
    return wire


def cut_off(wire: socket.socket) -> bool:
    with contextlib.suppress(ConnectionError):
        return wire.recv(4096) == b""
    return True


def test_no_answer_waits_until_its_beginning_is_acknowledged(monkeypatch: pytest.MonkeyPatch) -> None:
    prompt, made = [], ImpatientProtocol.connection_made

    def noting(protocol: ImpatientProtocol, transport: asyncio.Transport) -> None:
        prompt.append(transport.get_extra_info("socket").getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
        made(protocol, transport)

    monkeypatch.setattr(ImpatientProtocol, "connection_made", noting)
    with serving(counting) as port, open_post(port, 1) as wire:
        wire.sendall(b"x")
        assert wire.recv(4096).startswith(b"HTTP/1.1 200")
    assert len(prompt) == 1
    assert prompt[0]


def test_a_long_file_over_a_slow_network_is_taken_whole() -> None:
    parts, each = 24, 2000
    with serving(counting) as port, open_post(port, parts * each) as wire:
        begun = time.monotonic()
        for _ in range(parts):
            wire.sendall(b"x" * each)
            time.sleep(WITHIN_S / 8)
        assert time.monotonic() - begun > 2.5 * WITHIN_S
        answer = HTTPResponse(wire)
        answer.begin()
        assert answer.read() == str(parts * each).encode()


def test_one_that_stalls_is_cut_off() -> None:
    with serving(counting) as port, open_post(port, 100_000) as wire:
        wire.sendall(b"x" * 50_000)
        assert cut_off(wire)


def test_a_drop_now_and_then_does_not_count_as_moving() -> None:
    with serving(counting) as port, open_post(port, 100_000) as wire:
        give_up = time.monotonic() + 10.0
        with contextlib.suppress(ConnectionError):
            while time.monotonic() < give_up:
                wire.sendall(b"x")
                time.sleep(0.02)
        assert time.monotonic() < give_up


def test_what_goes_on_after_the_answer_is_not_listened_to_for_ever() -> None:
    async def refusing(_scope: Any, _receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 413, "headers": [(b"content-length", b"0")]})
        await send({"type": "http.response.body", "body": b""})

    with serving(refusing) as port, open_post(port, 1 << 40) as wire:
        assert b"413" in wire.recv(4096)
        give_up = time.monotonic() + 10.0
        with contextlib.suppress(ConnectionError):
            while time.monotonic() < give_up:
                wire.sendall(b"x" * 10_000)
                time.sleep(0.01)
        assert time.monotonic() < give_up


def test_a_stream_over_which_little_is_told_is_not_cut_off() -> None:
    async def telling(_scope: Any, _receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        for beat in range(4):
            await asyncio.sleep(WITHIN_S * 0.75)
            await send({"type": "http.response.body", "body": b": beat\n\n", "more_body": beat < 3})

    with serving(telling) as port, socket.create_connection(("127.0.0.1", port), timeout=10.0) as wire:
        wire.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
        heard = b"".join(iter(lambda: wire.recv(4096), b""))
    assert heard.count(b": beat") == 4


LONG = 12_000_000


async def long_answer(_scope: Any, _receive: Any, send: Any) -> None:
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", str(LONG).encode())]})
    await send({"type": "http.response.body", "body": b"x" * LONG})


def test_who_reads_a_long_answer_slowly_gets_all_of_it_and_who_does_not_read_is_cut_off() -> None:
    with serving(long_answer) as port, socket.socket() as slow, socket.socket() as still:
        for wire in (slow, still):
            wire.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 65_536)
            wire.settimeout(10.0)
            wire.connect(("127.0.0.1", port))
            wire.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
        read, steps = 0, 0
        while part := slow.recv(400_000):
            read, steps = read + len(part), steps + 1
            if steps % 8 == 0 and steps < 250:
                time.sleep(0.05)
        assert read > LONG
        got = 0
        with contextlib.suppress(ConnectionError):
            while part := still.recv(1 << 20):
                got += len(part)
        assert got < LONG


def test_whoever_opens_too_many_loses_his_own_and_nobody_else_does(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.tend.entrance.MOST_CONNECTIONS", 8)
    monkeypatch.setattr("lullwort.tend.impatient.WHOLE_WITHIN_S", 60.0)
    with serving(counting) as port, contextlib.ExitStack() as wires:
        other = wires.enter_context(
            socket.create_connection(("127.0.0.1", port), 10.0, source_address=("127.0.0.2", 0))
        )
        greedy = [wires.enter_context(open_post(port, 9)) for _ in range(40)]
        assert all(map(cut_off, greedy[:32]))
        for wire in (other, greedy[-1]):
            wire.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n" if wire is other else b"x" * 9)
            assert b"200 OK" in wire.recv(4096)


def test_who_asks_and_does_not_read_locks_nobody_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.tend.entrance.MOST_CONNECTIONS", 16)
    monkeypatch.setattr("lullwort.tend.impatient.WHOLE_WITHIN_S", 60.0)

    async def megabyte(_scope: Any, _receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"1000000")]})
        await send({"type": "http.response.body", "body": b"x" * 1_000_000})

    with serving(megabyte) as port, contextlib.ExitStack() as wires:
        for _ in range(25):
            wire = wires.enter_context(socket.create_connection(("127.0.0.1", port), timeout=10.0))
            wire.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n" * 20)
            wire.recv(1)  # it has begun to answer
        for _ in range(3):
            with socket.create_connection(("127.0.0.1", port), 10.0, source_address=("127.0.0.2", 0)) as other:
                other.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
                assert b"200 OK" in other.recv(4096)


def test_many_addresses_that_say_nothing_do_not_throw_out_who_was_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.tend.entrance.MOST_CONNECTIONS", 24)
    monkeypatch.setattr("lullwort.tend.impatient.WHOLE_WITHIN_S", 60.0)
    asked = b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n"
    with serving(counting) as port, contextlib.ExitStack() as wires:
        visitor = [
            wires.enter_context(socket.create_connection(("127.0.0.1", port), 10.0, source_address=("127.0.0.2", 0)))
            for _ in range(3)
        ]
        for _ in range(2):
            for wire in visitor:
                wire.sendall(asked)
                answer = b""
                while not answer.endswith(b"\r\n\r\n0"):  # the length of nothing
                    part = wire.recv(4096)
                    assert part
                    answer += part
            for nth in range(1, 60):
                at = (f"127.0.1.{nth}", 0)
                wires.enter_context(socket.create_connection(("127.0.0.1", port), 10.0, source_address=at))


def test_a_stream_of_whom_we_know_stays_whatever_the_same_address_opens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.tend.entrance.MOST_CONNECTIONS", 8)

    async def streaming(scope: Any, receive: Any, send: Any) -> None:
        scope["state"]["stays"] = scope["path"] == "/stays"
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"begun", "more_body": True})
        while (await receive())["type"] != "http.disconnect":
            pass

    with serving(streaming) as port, contextlib.ExitStack() as wires:

        def opened(path: str) -> socket.socket:
            wire = wires.enter_context(socket.create_connection(("127.0.0.1", port), timeout=0.5))
            wire.sendall(f"GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n".encode())
            while b"begun" not in wire.recv(4096):
                pass
            return wire

        kept, others = opened("/stays"), [opened("/other") for _ in range(20)]
        assert cut_off(others[0])
        with pytest.raises(TimeoutError):
            kept.recv(4096)


@pytest.mark.parametrize(
    "said",
    [b"nonsense\r\n\r\n", b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", b"GET /\x00 HTTP/1.1\r\nHost: a\r\n\r\n",
     b"GET / HTTP/1.1\r\nHost: a\r\nX: " + b"x" * 70_000, b"\x16\x03\x01\x02\x00" * 20 + b"\r\n\r\n"],
)  # fmt: skip
def test_what_is_no_request_is_answered_as_safely_as_pages(said: bytes) -> None:
    with serving(counting) as port, socket.create_connection(("127.0.0.1", port), timeout=10.0) as wire:
        wire.sendall(said)
        answer = b"".join(iter(lambda: wire.recv(4096), b""))
    assert answer.startswith(b"HTTP/1.1 400 Bad Request\r\n")
    assert b"x-content-type-options: nosniff\r\n" in answer.lower()
