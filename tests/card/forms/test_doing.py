"""Forms at a real socket: shown, refused, done once, and told once; each command is a process."""

from __future__ import annotations

import html
import re
import threading
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from http.client import HTTPMessage
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import pytest

from lullwort.card.commands.commands import BusyError, Commands, Ran
from lullwort.card.forms import doing
from lullwort.cellarbook import open_book
from lullwort.detector import Units

pytestmark = pytest.mark.usefixtures("unmeasured")
Served = Any  # the fixture's class lives in conftest.py


class Stays(urllib.request.HTTPRedirectHandler):
    """Goes nowhere by itself."""

    def redirect_request(self, *_: object, **__: object) -> None:
        return None


class Visitor:
    """A browser that keeps cookies and posts what a form holds."""

    def __init__(self, url: str) -> None:
        self.url = url
        self._open = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()), Stays()).open

    def get(self, path: str) -> tuple[int, str, HTTPMessage]:
        return self._ask(urllib.request.Request(f"{self.url}{path}"))

    def filled(self, path: str, **typed: str) -> dict[str, str]:
        _, shown, _ = self.get(path)
        unseen = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', shown)
        return {name: html.unescape(value) for name, value in unseen} | typed

    def send(self, path: str, entered: dict[str, str]) -> tuple[int, str, HTTPMessage]:
        headers = {"Origin": self.url, "Content-Type": "application/x-www-form-urlencoded"}
        return self._ask(
            urllib.request.Request(f"{self.url}{path}", urllib.parse.urlencode(entered).encode(), headers=headers)
        )

    def post(self, path: str, **typed: str) -> tuple[int, str, HTTPMessage]:
        return self.send(path, self.filled(path, **typed))

    def _ask(self, request: urllib.request.Request) -> tuple[int, str, HTTPMessage]:
        try:
            answer = self._open(request, timeout=30)
        except urllib.error.HTTPError as stopped:
            answer = stopped
        return answer.status, answer.read().decode(), answer.headers


@pytest.fixture
def served_own(own_cellar: Path, served_with: Callable[..., AbstractContextManager[Served]]) -> Iterator[Served]:
    with served_with(own_cellar) as at_work:
        yield at_work


def events(path: Path, name: str) -> list[str]:
    with open_book(path, create=False) as book:
        return [event.note for event in book.batches.get(name).events]


def with_samples(path: Path, name: str) -> list[float | None]:
    with open_book(path, create=False) as book:
        return [event.gravity for event in book.batches.get(name).events if event.kind == "sample"]


NOTE = "/batch/south-1/note"
PITCH_DAY = "2026-03-25"


def test_a_batch_is_opened_told_once_and_seen_on_its_page(served_own: Served) -> None:
    visitor = Visitor(served_own.url)
    status, _, headers = visitor.post("/vessel/loft/open", pitched="2026-06-01T10:00", **{"original-gravity": "1,061"})
    assert status == 303
    after = headers["Location"]
    assert re.fullmatch(r"/vessel/loft\?told=[\w-]{12}", after)
    assert visitor.get(after.partition("=")[0] + "=another")[1].count('id="told"') == 0
    assert Visitor(served_own.url).get(after)[1].count('id="told"') == 0
    status, shown, _ = visitor.get(after)
    assert status == 200
    assert "loft-2026-06-01" in shown
    assert re.search(r"<p><b>Opened\.</b> loft-2026-06-01: [^<]*original gravity 1\.061[^<]*<a href=\"\?\">", shown)
    assert 'id="told"' in shown
    assert 'id="told"' not in visitor.get(after)[1]


def test_a_link_begins_a_form_but_what_is_posted_counts(served_own: Served) -> None:
    visitor, path = Visitor(served_own.url), "/batch/south-1/note?kind=warm&at=2026-03-26T10:00:00Z"
    _, shown, _ = visitor.get(path)
    assert '<option value="warm" selected>' in shown
    assert 'value="2026-03-26T10:00"' in shown
    status, refused, _ = visitor.post(path, kind="moved", at="2026-03-27T11:00", words="x" * 5000)
    assert status == 422
    assert '<option value="moved" selected>' in refused
    assert 'value="2026-03-27T11:00"' in refused


def test_a_form_that_is_sent_twice_is_done_once_and_says_so(own_cellar: Path, served_own: Served) -> None:
    visitor, came = Visitor(served_own.url), []
    entered = visitor.filled(NOTE, kind="remark", words="<i>'tapped' twice</i>")  # at no time: now, whenever that is
    twice = [threading.Thread(target=lambda: came.append(visitor.send(NOTE, entered))) for _ in range(2)]
    for one in twice:
        one.start()
    for one in twice:
        one.join()
    came.append(visitor.send(NOTE, entered))
    assert [status for status, _, _ in came] == [303, 303, 303]
    assert events(own_cellar, "south-1") == ["<i>'tapped' twice</i>"]
    shown = visitor.get(came[-1][2]["Location"])[1]
    assert "This had been sent already, and was done once." in shown
    assert "<i>" not in visitor.get(NOTE)[1]


def test_what_is_refused_comes_back_as_it_was_typed_with_the_reason_beside_it(served_own: Served) -> None:
    visitor = Visitor(served_own.url)
    words = '"><script>alert(1)</script>'
    status, shown, _ = visitor.post("/batch/south-1/sample", gravity="30", kind="sample", words=words)
    assert status == 422
    assert "<title>Not done: " in shown
    assert 'role="alert"' in shown
    assert re.search(
        r'id="f-gravity"[^>]* aria-describedby="f-gravity-hint f-gravity-wrong" aria-invalid="true"', shown
    )
    assert re.search(r'id="f-gravity"[^>]* value="30"', shown)
    assert re.search(r'id="f-gravity-wrong"><b>Look again:</b> It is &#x27;30&#x27;, expected a specific', shown)
    assert "<script>alert" not in shown
    assert f">{html.escape(words)}</textarea>" in shown


SAMPLE = "/batch/south-1/sample"


def test_a_sample_that_can_hardly_be_is_asked_about_before_it_is_stored(own_cellar: Path, served_own: Served) -> None:
    visitor, at = Visitor(served_own.url), "2026-03-26T01:00"
    entered = visitor.filled(SAMPLE, gravity="1.112", kind="sample", at=at)
    status, shown, _ = visitor.send(SAMPLE, entered)
    assert status == 422
    assert "<h2>Can that be?</h2>" in shown
    assert "above the original gravity of south-1" in shown
    assert "be taken back" not in shown
    insisting = re.search(r'<button type="submit" form="entry" name="insist" value="(\w{16})">Store it all', shown)
    assert insisting is not None
    assert with_samples(own_cellar, "south-1") == []
    # Whoever has changed it since insists on something else, and is asked anew.
    assert visitor.send(SAMPLE, entered | {"gravity": "1.113", "insist": insisting[1]})[0] == 422
    assert with_samples(own_cellar, "south-1") == []
    status, _, headers = visitor.send(SAMPLE, entered | {"insist": insisting[1]})
    assert status == 303
    assert with_samples(own_cellar, "south-1") == [1.112]
    told = visitor.get(headers["Location"])[1]
    assert "<p><b>Noted.</b> sample at Thu 26 Mar 2026 01:00 UTC noted for south-1" in told
    assert "It can be taken back in " in told


def test_a_box_that_is_not_ticked_does_not_hide_what_else_is_wrong(own_cellar: Path, served_own: Served) -> None:
    visitor = Visitor(served_own.url)
    path, wrong = "/batch/east-1/close", {"packaged": "2099-01-01T10:00", "moved": "100", "filled": "some"}
    status, shown, _ = visitor.post(path, **wrong)
    assert status == 422
    assert re.findall(r'id="f-([a-z]+)-wrong"', shown) == ["packaged", "moved", "filled", "known"]
    assert shown.count('<li><a href="#f-') == 4
    with open_book(own_cellar, create=False) as book:
        assert book.batches.get("east-1").packaged_us is None


def test_nothing_is_done_for_a_form_that_is_not_ours(own_cellar: Path, served_own: Served) -> None:
    visitor = Visitor(served_own.url)
    entered = visitor.filled(NOTE, kind="remark", words="forged")
    status, shown, _ = visitor.send(NOTE, entered | {"form-token": "00"})
    assert status == 403
    assert "forged" in shown  # as it was typed, to be sent again
    assert Visitor(served_own.url).send(NOTE, entered)[0] == 403
    assert events(own_cellar, "south-1") == []


@pytest.mark.parametrize(
    ("ran", "status", "says"),
    [
        (Ran(3, "", "lullwort: /there/cellar.book: the disk is full\n"), 503, "the disk is full"),
        (Ran(1, "", "Traceback (most recent call last):\n  secret\nKeyError: 1\n"), 503, "The command fell over."),
        (Ran(-9, "", ""), 503, "The command fell over."),
        (Ran(1, "", "lullwort: no batch was in vessel 'south' at that time\n"), 422, "No batch was in vessel"),
        (Ran(2, "", "Usage: x\n\nError: No such option '--x'.\n"), 422, "No such option"),
        (TimeoutError(), 503, "It took longer than 60 s and was ended."),
        (BusyError(), 503, "and nothing was done. Send it again in a minute."),
    ],
)
def test_however_a_command_ends_it_is_said(
    served_own: Served, monkeypatch: pytest.MonkeyPatch, ran: Ran | Exception, status: int, says: str
) -> None:
    async def run(*_: object, **__: object) -> Ran:
        if isinstance(ran, Exception):
            raise ran
        return ran

    monkeypatch.setattr(Commands, "run", run)
    visitor = Visitor(served_own.url)
    seen, shown, _ = visitor.post(NOTE, kind="rouse", words="kept")
    assert seen == status
    assert says in shown
    assert ">kept</textarea>" in shown
    assert "secret" not in shown


@pytest.mark.usefixtures("held_up")
def test_a_command_that_takes_too_long_is_ended(
    served_own: Served, own_cellar: Path, monkeypatch: pytest.MonkeyPatch, running: Callable[[Path], list[int]]
) -> None:
    monkeypatch.setattr(doing, "_WITHIN_S", 0.5)
    visitor, seen, came = Visitor(served_own.url), set[int](), []
    sent = threading.Thread(target=lambda: came.append(visitor.post(NOTE, kind="rouse")))
    sent.start()
    while sent.is_alive():
        seen.update(running(own_cellar))
        sent.join(0.01)
    ((status, shown, _),) = came
    assert status == 503
    assert "Look whether it was done" in shown
    assert len(seen) == 1  # it had begun, and would never have ended by itself
    assert running(own_cellar) == []
    assert events(own_cellar, "south-1") == []


def test_an_unproved_beer_is_closed_only_by_who_knows_and_the_danger_is_told_again(served_own: Served) -> None:
    visitor = Visitor(served_own.url)
    _, shown, _ = visitor.get("/batch/east-1/close")
    assert shown.index("Not yet") < shown.index("<form") < shown.index("Danger:") < shown.index('type="submit"')
    assert visitor.post("/batch/east-1/close")[0] == 422
    status, _, headers = visitor.post("/batch/east-1/close", packaged="2026-07-25T06:00", known="yes")
    assert status == 303
    _, told, _ = visitor.get(headers["Location"])
    assert '<p class="danger"><b>Danger:</b> It was not proved that this beer had ended (holding).' in told
    assert "Done" in told
    _, shown, _ = visitor.get("/batch/north-1/close")
    assert "Danger:" not in shown
    assert 'type="checkbox"' not in shown


def test_units_are_chosen_for_one_browser(own_cellar: Path, served_own: Served) -> None:
    visitor, other = Visitor(served_own.url), Visitor(served_own.url)
    chosen = {"gravity": "plato", "temperature": "F", "volume": "us-gal", "carbonation": "g/L", "pressure": "psi"}
    chosen |= {"weight": "oz", "decimal": "comma", "zone": "Europe/Berlin"}
    status, shown, _ = visitor.post("/units", **(chosen | {"zone": "europe berlin"}))
    assert status == 422
    assert "did you mean Europe/Berlin?" in shown
    status, _, headers = visitor.post("/units?from=/vessel/east", **chosen)
    assert (status, headers["Location"].partition("?")[0]) == (303, "/vessel/east")
    assert "HttpOnly" in headers["Set-Cookie"]
    shown = visitor.get("/vessel/east")[1]
    assert "°P" in shown
    assert "CEST" in shown
    assert "°P" not in other.get("/vessel/east")[1]
    original = re.search(r'id="f-original-gravity"[^>]* value="([^"]*)"', visitor.get("/batch/east-1/edit")[1])
    assert original is not None
    with open_book(own_cellar, create=False) as book:
        points = 1000.0 * ((book.batches.get("east-1").original_gravity or 0.0) - 1.0)
    assert original[1] == Units(gravity="plato", decimal="comma").level(points)
    assert visitor.post("/units?from=//elsewhere", **chosen)[2]["Location"].startswith("/?told=")


@pytest.mark.parametrize("path", ["/vessel/No%20vessel/open", "/batch/nobody/close", "/batch/south-1/note/remove"])
def test_a_form_for_what_is_not_there_is_not_found(served_own: Served, path: str) -> None:
    assert Visitor(served_own.url).get(path)[0] == 404
