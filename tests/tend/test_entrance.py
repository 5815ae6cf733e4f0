"""Connections are bounded before anything is said over them, under TLS as without, and files are left for the book."""

from __future__ import annotations

import contextlib
import http.client
import logging
import shutil
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from lullwort.tend import entrance
from lullwort.tend.logs import _Thinning

CERTIFICATES = Path(__file__).parents[2] / "config" / "certificates.sh"
FILES = 150
SERVED = f"""
import resource, sys, tempfile, time
resource.setrlimit(resource.RLIMIT_NOFILE, ({FILES}, {FILES}))
from pathlib import Path
from lullwort.collector import HttpSettings, Outcome
from lullwort.tend import entrance
from lullwort.tend.health import Health
from lullwort.tend.http import HttpFace
from lullwort.tend.logs import log_to_stderr

def health():
    held = [tempfile.TemporaryFile() for _ in range(90)]  # the book, commands and what is handed in
    for each in held:
        each.close()
    return Health(
        up_s=1.0, failing="", broker_connected=None, queue_length=0, queue_limit=9, messages=0, readings=0,
        set_aside=0, failed=0, reading_age_s={{}}, verdicts={{}}, outbox_age_s=0.0,
    )

log_to_stderr()
entrance.AGREED_WITHIN_S = 1.0
settings = HttpSettings(port=0, certificate_file=Path("board.crt"), key_file=Path("board.key"))
face = HttpFace(settings, {{}}, lambda _: True, health, lambda: 7)
face.start()
print(face._server.servers[0].sockets[0].getsockname()[1], flush=True)
sys.stdin.read()
face.stop(4.0)
"""


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """Of a service under TLS in a process that may have few files open. Its log is looked at in the end."""
    if shutil.which("openssl") is None:
        pytest.skip("left out: making certificates, for openssl is not installed")
    folder = tmp_path_factory.mktemp("tls")
    subprocess.run(["sh", str(CERTIFICATES), "cellar.local", "127.0.0.1"], cwd=folder, check=True, capture_output=True)
    with (folder / "log").open("w") as log, subprocess.Popen(
        [sys.executable, "-c", SERVED], cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=log, text=True
    ) as service:  # fmt: skip
        assert service.stdout is not None
        yield int(service.stdout.readline())
        service.communicate("", timeout=20.0)
    assert service.returncode == 0
    assert len((folder / "log").read_text().splitlines()) <= 3


def healthy(port: int) -> bool:
    connection = http.client.HTTPSConnection("127.0.0.1", port, timeout=10, context=ssl._create_unverified_context())
    with contextlib.closing(connection):
        connection.request("GET", "/health", headers={"Host": "localhost"})
        return connection.getresponse().status == 200


def test_silent_connections_under_tls_take_no_file_from_the_book_and_lock_nobody_out(port: int) -> None:
    with contextlib.ExitStack() as silent:
        for _ in range(3):
            for _ in range(FILES):
                silent.enter_context(socket.create_connection(("127.0.0.1", port), timeout=10.0))
            assert healthy(port)


def test_who_does_not_agree_on_tls_is_let_go_soon(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10.0) as silent:
        begun = time.monotonic()
        with contextlib.suppress(ConnectionError):
            assert silent.recv(1) == b""
        assert time.monotonic() - begun < 5.0
    with socket.create_connection(("127.0.0.1", port), timeout=10.0) as other:
        other.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n" * 10)
        with contextlib.suppress(ConnectionError):
            while other.recv(4096):
                pass
    assert healthy(port)


@pytest.mark.parametrize(
    ("files", "kept"), [(1024, 100), (1 << 20, 100), (-1, 100), (200, 72), (FILES, FILES - 128), (64, 8)]
)
def test_how_many_are_kept_hangs_on_how_many_files_there_may_be(
    monkeypatch: pytest.MonkeyPatch, files: int, kept: int
) -> None:
    monkeypatch.setattr("resource.getrlimit", lambda _: (files, files))
    assert entrance.room() == kept


def test_what_is_logged_again_and_again_is_thinned_and_counted() -> None:
    now = [0.0]
    thinning = _Thinning(lambda: now[0])

    def passed(message: str, level: int = logging.WARNING, exc: Exception | None = None) -> object:
        about = None if exc is None else (type(exc), exc, exc.__traceback__)
        record = logging.LogRecord("asyncio", level, "", 0, message, (), about)
        return getattr(record, "like_it", True) if thinning.filter(record) else None

    assert [passed("no room") for _ in range(500)] == [True, *[None] * 499]
    assert passed("another") is True
    assert passed("no room", logging.INFO) is True
    assert (passed("failed", exc=ValueError("a")), passed("failed", exc=KeyError("b"))) == (True, True)
    now[0] = 61.0
    assert [passed("no room"), passed("no room")] == [499, None]
    for nth in range(1000):
        passed(f"made up {nth}")
    assert len(thinning._said) == 100
