"""What is new is told to those who follow a page, and a page that is as before costs next to nothing."""

from __future__ import annotations

import asyncio
import contextlib
import gzip
import http.client
import json
import re
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

import msgspec
import pytest

from lullwort.card import News
from lullwort.card.known.facts import batch_facts
from lullwort.card.live.livestream import MOST_OF_ONE, MOST_STREAMS
from lullwort.card.vessels.vesselpage import vessel_page
from lullwort.cellarbook import open_book
from lullwort.records import HOUR_US, Reading

Followed = Any  # the fixtures' classes live in conftest.py
Served = Any


class Event(NamedTuple):
    """One event of a stream [WHATWG HTML, section 9.2.6], with the last id that the stream named."""

    name: str
    data: str
    id: str


class Line:
    """A stream as a browser reads it, which has been here before; one of its own unless its cookie is given."""

    def __init__(self, url: str, path: str = "/live", **headers: str) -> None:
        self.connection = http.client.HTTPConnection(url.removeprefix("http://"), timeout=10.0)
        given = {"Cookie": headers.get("Cookie") or cookie_at(url), **headers}
        self.connection.request("GET", path, headers={name.replace("_", "-"): value for name, value in given.items()})
        self.answer = self.connection.getresponse()
        self.id, self.retry_ms = "", ""

    def event(self) -> Event | None:
        """The next one; None where the stream ends."""
        name = ""
        data: list[str] = []
        while line := self.answer.readline().decode():
            field, _, value = line.rstrip("\n").partition(":")
            value = value.removeprefix(" ")
            if line == "\n" and data:
                return Event(name, "\n".join(data), self.id)
            if field == "event":
                name = value
            elif field == "data":
                data.append(value)
            elif field == "id":
                self.id = value
            elif field == "retry":
                self.retry_ms = value
        return None

    def close(self) -> None:
        self.answer.close()
        self.connection.close()


@contextmanager
def following(url: str, path: str = "/live", **headers: str) -> Iterator[Line]:
    line = Line(url, path, **headers)
    try:
        yield line
    finally:
        line.close()


class Got(NamedTuple):
    """An answer."""

    status: int
    headers: http.client.HTTPMessage
    said: bytes


def got(url: str, path: str, **headers: str) -> Got:
    connection = http.client.HTTPConnection(url.removeprefix("http://"), timeout=10.0)
    connection.request("GET", path, headers={name.replace("_", "-"): value for name, value in headers.items()})
    answer = connection.getresponse()
    said = answer.read()
    connection.close()
    return Got(answer.status, answer.headers, said)


def cookie_at(url: str) -> str:
    """Of a browser that was not here before."""
    return str(got(url, "/live").headers["Set-Cookie"]).partition(";")[0]


def test_who_comes_is_told_at_once_and_then_of_what_is_new_in_his_vessel(followed: Followed) -> None:
    with following(followed.url, "/live?vessel=north") as north, following(followed.url) as all_of_them:
        assert north.answer.headers["Content-Type"].startswith("text/event-stream")  # [WHATWG HTML, section 9.2.5]
        first = north.event()
        assert first is not None
        assert (first.name, north.retry_ms) == ("changed", "2000")
        assert json.loads(first.data)["now"] == followed.now_us() // 1000
        assert all_of_them.event() is not None
        followed.tell("south")
        assert all_of_them.event() is not None
        followed.tell("north")
        second = north.event()
        assert second is not None
        run, _, number = second.id.rpartition("-")
        assert first.id.startswith(run)
        assert int(number) == int(first.id.rpartition("-")[2]) + 2  # that of south was not told here


def test_who_comes_back_is_told_only_if_something_was_new_meanwhile(followed: Followed) -> None:
    with following(followed.url, "/live?vessel=north") as line:
        before = line.event()
    assert before is not None
    with following(followed.url, "/live?vessel=north", Last_Event_ID=before.id) as line:
        followed.tell("south")
        followed.tell("north")
        again = line.event()
    assert again is not None
    assert again.id != before.id  # the first that he hears is of what came after he was back
    with following(followed.url, "/live?vessel=north", Last_Event_ID=before.id) as line:
        assert line.event() == again
    with following(followed.url, "/live?vessel=north", Last_Event_ID="of another run-7") as line:
        assert line.event() == again


def test_a_burst_is_one_event_a_second(followed: Followed) -> None:
    with following(followed.url) as line:
        assert line.event()
        began = time.monotonic()
        for _ in range(500):
            followed.tell("north")
        heard = 0
        while not line.id.endswith("-500"):
            assert line.event()
            heard += 1
        assert heard <= 2
        assert time.monotonic() - began > 0.8  # a second after the event before


def test_streams_end_when_the_service_stops(followed: Followed) -> None:
    with following(followed.url) as line:
        assert line.event()
        began = time.monotonic()
        stopping = threading.Thread(target=followed.stop)
        stopping.start()
        assert line.event() is None
        assert time.monotonic() - began < 1.0
        stopping.join()


def test_more_pages_than_can_be_followed_are_told_so(followed: Followed) -> None:
    lines = [Line(followed.url) for _ in range(MOST_STREAMS)]
    assert all(line.event() for line in lines)
    assert not [thread for thread in threading.enumerate() if "stream" in thread.name]
    refused = got(followed.url, "/live", Cookie=cookie_at(followed.url))
    assert (refused.status, refused.headers["Retry-After"]) == (503, "30")
    assert b"followed live already" in refused.said
    assert got(followed.url, "/").status == 200
    lines.pop().close()
    for line in (*lines, line_once_there_is_room(followed.url)):
        line.close()


def test_of_many_who_ask_at_once_no_more_are_promised_news_than_there_is_room_for(followed: Followed) -> None:
    cookies = [cookie_at(followed.url) for _ in range(60)]
    port = int(followed.url.rpartition(":")[2])
    with contextlib.ExitStack() as wires:
        asking = [wires.enter_context(socket.create_connection(("127.0.0.1", port), 10.0)) for _ in range(60)]
        for wire, cookie in zip(asking, cookies, strict=True):
            wire.sendall(f"GET /live HTTP/1.1\r\nHost: localhost\r\nCookie: {cookie}\r\n\r\n".encode())
        answers = [wire.recv(12) for wire in asking]
    assert (answers.count(b"HTTP/1.1 200"), answers.count(b"HTTP/1.1 503")) == (MOST_STREAMS, 60 - MOST_STREAMS)
    # Who went away before he was told anything is not counted for ever.
    line_once_there_is_room(followed.url).close()


def test_one_browser_is_given_no_more_streams_than_leave_it_a_connection(followed: Followed) -> None:
    # Chromium keeps six connections to one host; while all of them stay, the next window loads nothing.
    assert MOST_OF_ONE <= 6 - 2
    unknown = got(followed.url, "/live")
    # All windows of one whose cookie does not hold, or who keeps none, would be browsers of their own.
    assert (unknown.status, unknown.said) == (204, b"")
    one, other = cookie_at(followed.url), cookie_at(followed.url)
    with contextlib.ExitStack() as stack:
        lines = [stack.enter_context(following(followed.url, Cookie=one)) for _ in range(MOST_OF_ONE)]
        assert all(line.event() for line in lines)
        refused = got(followed.url, "/live", Cookie=one)
        assert (refused.status, refused.said) == (204, b"")  # comes back no more by itself [WHATWG HTML, section 9.2]
        with following(followed.url, Cookie=other) as line:
            assert line.event()
        lines.pop().close()
        line_once_there_is_room(followed.url, Cookie=one).close()


@pytest.mark.parametrize(
    "path", ["/vessel/a%0d%0aX:y", "/%0a", "/enter%0a", "/readings/", "/vessel/%00", "//", "/health/x"]
)
def test_an_address_that_nothing_has_is_a_page_however_it_is_written(served: Served, path: str) -> None:
    answer = got(served.url, path)
    assert answer.status == 404
    assert b'<main id="card"' in answer.said
    assert answer.headers["Content-Security-Policy"]
    assert answer.headers["X"] is None


def line_once_there_is_room(url: str, **headers: str) -> Line:
    give_up = time.monotonic() + 10.0
    while (line := Line(url, **headers)).answer.status != 200:
        line.close()
        assert time.monotonic() < give_up
        time.sleep(0.02)
    return line


def test_a_line_over_which_nothing_is_new_shows_that_it_is_alive(
    followed: Followed, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lullwort.card.live.livestream._SIGN_EVERY_S", 0.05)
    with following(followed.url) as line:
        assert line.event()
        there = line.event()
    assert there is not None
    assert there.name == "here"


def test_news_from_another_thread_wakes_who_waits() -> None:
    news = News()

    async def waited() -> list[bool]:
        before = news.number("north")
        threading.Timer(0.05, news.tell, [["south"]]).start()
        threading.Timer(0.1, news.tell, [["north"]]).start()
        woken = await news.more(before, "north", 10.0)
        nothing = await news.more(news.number("north"), "north", 0.01)
        threading.Timer(0.05, news.close).start()
        over = await news.more(news.number("north"), "north", 10.0)
        await news.pause(10.0)
        return [woken, nothing, over, news.over]

    assert asyncio.run(asyncio.wait_for(waited(), 5.0)) == [True, False, False, True]


def test_names_that_somebody_makes_up_do_not_fill_the_memory() -> None:
    news = News()
    for nth in range(3000):
        news.tell([f"made up {nth}"])
    assert len(news._of) == 1000
    assert news.number("made up 2999") == 3000


# -- the page that is asked for anew -----------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/", "/vessel/south", "/batch/south-1"])
def test_a_page_that_says_the_same_is_not_sent_again(followed: Followed, path: str) -> None:
    page = got(followed.url, path)
    assert f'data-tag="{page.headers["ETag"][3:-1]}"'.encode() in page.said
    again = got(followed.url, path, If_None_Match=page.headers["ETag"])
    assert (again.status, again.said) == (304, b"")
    assert again.headers["ETag"] == page.headers["ETag"]  # [RFC 9110, section 15.4.5]
    at_us = followed.now_us() + 3 * 60_000_000
    followed.now_us = lambda: at_us
    later = got(followed.url, path, If_None_Match=page.headers["ETag"])
    assert later.status == 304  # it says the same three minutes later, however old it is
    assert page.headers["Cache-Control"] == "no-store"


def test_a_page_that_says_something_else_is(followed: Followed) -> None:
    page = got(followed.url, "/vessel/south")
    with open_book(followed.book) as book:
        batch = book.batches.get("south-1")
        book.batches.put(msgspec.structs.replace(batch, packaged_us=followed.now_us() - 60_000_000), update=True)
    again = got(followed.url, "/vessel/south", If_None_Match=page.headers["ETag"])
    assert again.status == 200
    assert again.headers["ETag"] != page.headers["ETag"]
    assert b"packaged" in again.said


def test_what_the_service_fails_of_is_on_every_page(followed: Followed) -> None:
    page = got(followed.url, "/")
    followed.keeper.failing = "no room <left> on the disk"
    failing = got(followed.url, "/", If_None_Match=page.headers["ETag"])
    assert b"no room &lt;left&gt; on the disk" in failing.said
    followed.keeper.failing = ""
    assert got(followed.url, "/").headers["ETag"] == page.headers["ETag"]


def test_without_script_a_page_says_how_old_it_is_and_can_be_loaded_anew(served: Served) -> None:
    said = got(served.url, "/vessel/north").said.decode()
    assert ">As of <time datetime=" in said
    assert '<a href="/vessel/north">Reload</a>' in said


def test_twenty_who_look_cost_one_rendering(followed: Followed, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []

    def counted(*args: Any, **named: Any) -> Any:
        made.append("south")
        return vessel_page(*args, **named)

    monkeypatch.setattr("lullwort.card.app.vessel_page", counted)
    for _ in range(20):
        assert got(followed.url, "/vessel/south").status == 200
    assert made == ["south"]


# -- compressed --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/", "/vessel/north", "/nothing"])
def test_text_is_sent_compressed_to_who_takes_it(served: Served, path: str) -> None:
    plain, packed = got(served.url, path), got(served.url, path, Accept_Encoding="gzip")
    if len(plain.said) > 600:
        assert packed.headers["Content-Encoding"] == "gzip"
        assert gzip.decompress(packed.said) == plain.said
        assert "Accept-Encoding" in packed.headers["Vary"]
    assert "Content-Encoding" not in plain.headers


@pytest.mark.no_cover
def test_a_first_visit_to_a_fortnight_at_five_minutes_is_less_than_60_kb(followed: Followed) -> None:
    with open_book(followed.book) as book:
        (batch,) = book.batches.all("north")
        ten_minutes = list(book.readings.of("north", batch.pitched_us, 2**62))
    assert ten_minutes[-1].at_us - ten_minutes[0].at_us > 13.9 * 24 * HOUR_US
    between = [msgspec.structs.replace(each, at_us=each.at_us + 300_000_000) for each in ten_minutes]
    followed.heard(between)
    page = got(followed.url, "/vessel/north", Accept_Encoding="gzip")
    assert page.status == 200
    text = gzip.decompress(page.said).decode()
    assert 'data-plot="' in text
    assets = set(re.findall(r'"(/assets/[^"]+)"', text))
    assert {each.rpartition(".")[2] for each in assets} == {"css", "js", "svg"}
    sent = [page, *(got(followed.url, each, Accept_Encoding="gzip") for each in sorted(assets))]
    assert sum(len(each.said) + len(str(each.headers)) for each in sent) < 60_000


@pytest.mark.parametrize("path", ["/live", "/health", "/metrics"])
def test_the_stream_and_what_programs_ask_are_not(followed: Followed, path: str) -> None:
    with following(followed.url, path, Accept_Encoding="gzip") as line:
        assert line.answer.status == 200
        assert "Content-Encoding" not in line.answer.headers


# -- before anybody asks -----------------------------------------------------------------------------------------------


def test_facts_are_made_before_anybody_asks(followed: Followed, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []

    def counted(book: Any, batch: Any, judged: Any, now_us: int) -> Any:
        made.append(batch.name)
        return batch_facts(book, batch, judged, now_us)

    monkeypatch.setattr("lullwort.card.known.cellar.batch_facts", counted)
    monkeypatch.setattr("lullwort.card.known.ahead._QUIET_S", 0.05)
    monkeypatch.setattr("lullwort.card.known.ahead._REST", 0.0)
    followed.judge()
    assert got(followed.url, "/units").status == 200  # before anybody looked at all nothing is
    with open_book(followed.book) as book:
        newest_us = book.newest_us("south")
        youngest = sorted(batch.name for batch in book.batches.all())
    assert newest_us is not None

    def come_to_be_made() -> list[str]:
        give_up = time.monotonic() + 10.0
        while len(made) < len(youngest) and time.monotonic() < give_up:
            time.sleep(0.02)
        return sorted(made)

    assert come_to_be_made() == youngest
    made.clear()
    followed.heard([Reading("south", "south", newest_us + 1_000_000, 1.02, 20.0)])
    assert come_to_be_made() == youngest
    made.clear()
    assert got(followed.url, "/vessel/south").status == 200
    assert made == []
