"""The files of a batch, read back: what the card sends is what the command writes."""

from __future__ import annotations

import json
import re
import select
import socket
import subprocess
import sys
from collections.abc import Callable
from email.message import Message
from http.client import HTTPResponse
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from icalendar import Calendar

from lullwort.cellarbook import open_book
from lullwort.cli.replay import replay
from lullwort.exporting import batches_text
from lullwort.records import Batch, format_utc
from lullwort.standing import judge_book

pytestmark = pytest.mark.usefixtures("unmeasured")

Served = Any  # the classes of these fixtures live in conftest.py
Guest = Any


@pytest.fixture
def guest(served: Served, guest_at: Callable[[str], Guest]) -> Guest:
    return guest_at(served.url)


def replayed(log: Path, batches: Path) -> Any:
    """What `lullwort replay` says of the one batch of a log."""
    told = CliRunner().invoke(replay, [str(log), "--batches", str(batches), "--json"])
    assert told.exit_code == 0, told.stderr
    return json.loads(told.stdout)["vessels"][0]


def disposition(headers: Message) -> tuple[str, str | None]:
    """As a browser reads it [RFC 6266]."""
    return headers.get_content_disposition() or "", headers.get_filename()


def test_readings_that_were_fetched_give_the_same_verdicts_again(
    guest: Guest, kept_cellar: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    with open_book(kept_cellar, create=False) as book:
        (entry,) = judge_book(book, "east", None, now_us=0, only={"east-1"})
    assert entry.judged is not None
    batches = tmp_path / "east.toml"
    batches.write_text(batches_text([entry.judged.batch]), encoding="utf-8")
    for ends, media in (("csv", "text/csv; charset=utf-8"), ("parquet", "application/vnd.apache.parquet")):
        sent = guest.get(f"/batch/east-1/readings.{ends}")
        assert (sent.status, sent.headers["Content-Type"]) == (200, media)
        assert disposition(sent.headers) == ("attachment", f"east-1.{ends}")
        assert sent.headers["Cache-Control"] == "no-store"
        log = tmp_path / f"east.{ends}"
        log.write_bytes(sent.body)
        again = replayed(log, batches)
        assert [(change["at"], change["verdict"]) for change in again["history"]] == [
            (format_utc(change.at_us), change.verdict) for change in entry.judged.history
        ]
        assert again["verdict"] == "holding"


def test_the_sheet_is_a_page_on_its_own_without_script_in_the_units_that_were_chosen(
    guest: Guest, served: Served, guest_at: Callable[..., Guest]
) -> None:
    shown = guest.get("/batch/north-1/sheet")
    assert (shown.status, shown.headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert disposition(shown.headers)[0] == "inline"
    policy = shown.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; style-src 'unsafe-inline';")
    assert "script-src" not in policy
    assert policy.endswith("sandbox")
    assert "<title>north-1: batch sheet</title>" in shown.text
    assert "<script" not in shown.text
    assert re.search(r"1\.0\d\d", shown.words)
    in_plato = guest_at(served.url, {"lullwort-units": "gravity=plato&decimal=comma"}).get("/batch/north-1/sheet?save")
    assert disposition(in_plato.headers) == ("attachment", "north-1.html")
    assert re.search(r"\d,\d\d °P", in_plato.words)


def test_the_calendar_parses_and_the_record_is_the_batch_s(guest: Guest) -> None:
    sent = guest.get("/batch/east-1/calendar.ics")
    assert (sent.status, sent.headers["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert disposition(sent.headers) == ("attachment", "east-1.ics")
    events = Calendar.from_ical(sent.body).walk("VEVENT")
    assert events
    assert all("east-1" in str(event["SUMMARY"]) for event in events)
    record = guest.get("/batch/east-1/record.json")
    assert record.headers["Content-Type"] == "application/json"
    assert json.loads(record.body)["batch"] == "east-1"


def test_what_cannot_be_written_is_told_in_a_sentence(
    own_cellar: Path, served_with: Callable[..., Any], guest_at: Callable[[str], Guest]
) -> None:
    with open_book(own_cellar) as book:
        book.batches.put(Batch(vessel="cask", name="cask-1", pitched_us=0, packaged_us=1))
    with served_with(own_cellar) as served:
        guest = guest_at(served.url)
        nothing = guest.get("/batch/cask-1/readings.csv")
        assert nothing.status == 409
        assert "No reading of cask-1 is on record yet, so there is nothing to write." in nothing.words
        over = guest.get("/batch/cask-1/calendar.ics")
        assert (over.status, over.headers["Content-Type"]) == (409, "text/html; charset=utf-8")
        assert "Cask-1 is packaged: nothing of it is left to plan." in over.words
        assert guest.get("/batch/nobody/sheet").status == 404
        assert guest.get("/batch/%2E%2E%2Fetc/sheet").status == 404
    assert not own_cellar.with_name(f"{own_cellar.name}.card").exists()


def test_a_file_leaves_nothing_behind_when_it_is_fetched_nor_a_service_that_was_killed(
    own_cellar: Path, served_with: Callable[..., Any], guest_at: Callable[[str], Guest], comes_true: Callable[..., bool]
) -> None:
    room = own_cellar.with_name(f"{own_cellar.name}.card")
    (room / "left-over").mkdir(parents=True)
    (room / "left-over" / "log.csv").write_text("of a service that was killed")
    with served_with(own_cellar) as served:
        assert not room.exists()
        assert guest_at(served.url).get("/batch/south-1/readings.csv").status == 200
        assert comes_true(lambda: not any(room.iterdir()))  # once the last of it is sent, which is read before


def test_what_nobody_waits_for_any_longer_is_ended_and_only_so_many_wait(
    own_cellar: Path, held_up: Path, served_with: Callable[..., Any], guest_at: Callable[[str], Guest],
    running: Callable[[Path], list[int]], comes_true: Callable[..., bool],
) -> None:  # fmt: skip
    room = own_cellar.with_name(f"{own_cellar.name}.card")
    with served_with(own_cellar) as served:
        host, port = served.url.removeprefix("http://").split(":")
        waiting = [socket.create_connection((host, int(port)), timeout=20.0) for _ in range(10)]
        for one in waiting:
            one.sendall(f"GET /batch/south-1/sheet HTTP/1.1\r\nHost: {host}:{port}\r\n\r\n".encode())
        (refused,), _, _ = select.select(waiting, [], [], 20.0)  # one is being written, and eight wait
        answer = HTTPResponse(refused)
        answer.begin()
        assert answer.status == 503
        assert b"Try again in a minute." in answer.read()
        assert comes_true(lambda: len(running(own_cellar)) == 1)
        for one in waiting:
            one.close()
        assert comes_true(lambda: running(own_cellar) == [] and not any(room.iterdir()), 3.0)
        held_up.unlink()
        held_up.touch()
        assert guest_at(served.url).get("/batch/south-1/sheet").status == 200


def test_the_service_loads_nothing_that_writes_files() -> None:
    heavy = ("pandas", "pyarrow", "icalendar", "scipy")
    program = f"import sys; from lullwort.tend import facing; print([m for m in {heavy!r} if m in sys.modules])"
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=True)
    assert shown.stdout == "[]\n"
