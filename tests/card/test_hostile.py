"""Whatever people and sensors wrote is shown as what it is, on every page there is, and is obeyed nowhere.

The pages are found by walking the card's addresses, so that a new one is held, too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from functools import partial
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import msgspec
import pytest
from starlette.applications import Starlette
from starlette.routing import Route

from lullwort.card import Desk, Guard, Tended, card_app
from lullwort.card.door.door import Door
from lullwort.card.door.safeheaders import content_policy
from lullwort.card.pages.assets import SCRIPT_PATH, STYLE_PATH
from lullwort.cellarbook import Intake, open_book
from lullwort.collector import HttpSettings
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.records import COMMON_UNITS, HOUR_US, Alert, Event, Instrument, SetAside
from lullwort.rehearsal import invent
from lullwort.settings import Settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

Ask = Callable[..., Any]  # the fixtures' functions and classes live in conftest.py
Served = Any

MARK = "zqx"
"""Stands in no word of ours. As an element, an attribute or a script it would mean that words were obeyed."""
NAME = f"\"'><{MARK} onclick={MARK}()><img src={MARK} onerror={MARK}()>&lt;{MARK}&gt;"
"""For what stands in an address, which has no slash."""
WORDS = (
    f"</title></style></textarea></svg>--><script>{MARK}()</script>{NAME}<svg onload={MARK}()><foreignObject>"
    f"<iframe srcdoc='<script>{MARK}()</script>'>javascript:{MARK}()\r\nSet-Cookie: {MARK}=1\r\n\x1b[2J\u202e"
)
STREAM = "/live"
"""Has no end, and is listened to for itself."""
HEADER = f"a\r\nSet-Cookie: {MARK}=1\r\n\r\n<{MARK}>"


@pytest.fixture(scope="module")
def hostile_cellar(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book in which every word is hostile: those that the commands would refuse as an id as well."""
    path = tmp_path_factory.mktemp("hostile") / "cellar.book"
    ale = invent("plain ale", 3)
    until_us = ale.batch.pitched_us + 40 * HOUR_US
    readings = [reading for reading in ale.readings if reading.at_us <= until_us]
    builder = BlockBuilder(COMMON_UNITS)
    for vessel in (NAME, HEADER, "no-batch" + NAME):
        for r in readings:
            gravity, temp_c = (float("nan") if v is None else v for v in (r.gravity, r.temperature_c))
            builder.add(f"{WORDS}{vessel}", vessel, r.at_us, [gravity, temp_c, *[float("nan")] * 3], 0)
    aside = [
        SetAside(WORDS, line, WORDS, WORDS, WORDS, f"{WORDS}\x00", vessel) for line, vessel in ((1, NAME), (2, ""))
    ]
    with open_book(path) as book:
        run = book.imports.begin(Intake("csv", WORDS, "00" * 32, WORDS, open_ended=True), 1)
        run.store(builder.build(), aside)
        run.commit()
        book.equipment.enter_instrument(Instrument(name=WORDS))
        for vessel in (NAME, HEADER):
            pitched_us = ale.batch.pitched_us
            events = (
                Event(at_us=pitched_us + HOUR_US, kind="remark", note=WORDS),
                Event(at_us=pitched_us + 2 * HOUR_US, kind="dry hop", note=WORDS),
                Event(at_us=pitched_us + 3 * HOUR_US, kind="sample", gravity=1.05, instrument=WORDS, note=WORDS),
            )
            batch = msgspec.structs.replace(ale.batch, vessel=vessel, name=vessel, recipe=WORDS, events=events)
            book.batches.put(batch)
        told = [
            Alert(kind=kind, about=NAME, on=True, at_us=until_us, vessel=NAME, batch=NAME, sensor=WORDS, title=WORDS,
                  says=WORDS)
            for kind in ("stalled", "sensor silent", "digest")
        ]  # fmt: skip
        book.outbox.put(told, ["push"], 0)
    return path


@pytest.fixture(scope="module")
def door(hostile_cellar: Path) -> Iterator[Door]:
    desk = Desk(partial(open_book, hostile_cellar, create=False), lambda: Tended({}, ""), lambda: 1_800_000_000_000_000)
    yield card_app(settings_of(hostile_cellar), desk)
    desk.close()


def settings_of(book: Path) -> Settings:
    return Settings(book=book, gravity="sg", temperature="C", zone="UTC", http=HttpSettings())


@pytest.fixture(scope="module")
def card(door: Door) -> Guard:
    return Guard(door, HttpSettings())


def addresses(door: Door, method: str, name: str) -> list[str]:
    """All there are for this method, each made for things of this name."""
    made, app = [], door.app
    while not isinstance(app, Starlette):  # something stands between the two
        app = next(part for part in vars(app).values() if callable(part))
    for route in app.routes:
        assert isinstance(route, Route), f"{route} has to be walked, too"
        if method in (route.methods or ()) and not route.path.startswith(("/assets/", STREAM)):
            made.append(re.sub(r"\{[a-z_]+(:[a-z]+)?\}", quote(name, safe=""), route.path))
    return made


@pytest.fixture(scope="module")
def pages(asked: Ask, card: Guard, door: Door) -> list[str]:
    """Addresses of the card's own pages of hostile things; the others are files, and what stands for itself."""
    answers = {path: asked(card, path) for path in addresses(door, "GET", NAME)}
    return [path for path, answer in answers.items() if answer.status == 200 and STYLE_PATH in answer.text]


class Obeyed(HTMLParser):
    """What of a page a browser would obey, though it is not ours."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.styles: list[str] = []
        self._in_style = False

    def handle_endtag(self, tag: str) -> None:
        self._in_style = self._in_style and tag != "style"

    def handle_data(self, data: str) -> None:
        if self._in_style:
            self.styles.append(data)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._in_style = tag == "style"
        own = {"script": SCRIPT_PATH, "link": STYLE_PATH}
        told = dict(attrs)
        if MARK in tag or tag in ("iframe", "object", "embed", "base", "foreignobject", "img"):
            self.found.append(tag)
        if tag == "script" and told.get("src") != own["script"]:
            self.found.append(f"{tag} {told}")
        for name, value in attrs:
            elsewhere = name in ("href", "src", "action", "formaction", "xlink:href") and value is not None
            if MARK in name or name.startswith("on") or name in ("style", "srcdoc"):
                self.found.append(f"{tag} {name}")
            elif elsewhere and value is not None and not re.match(r"/(?!/)|#|\?|$", value):
                self.found.append(f"{tag} {name}={value}")


def obeyed(answer: Any) -> list[str]:
    """What is wrong with an answer: in its headers, or if it is a page, in that."""
    found = [f"{name}: {value}" for name, value in answer.headers.items() if re.search(r"[\x00-\x1f\x7f]", value)]
    found += [cookie for cookie in answer.cookies if f"{MARK}=" in cookie]
    if "html" in answer.headers.get("content-type", "") or "svg" in answer.headers.get("content-type", ""):
        parser = Obeyed()
        parser.feed(answer.text)
        found += parser.found
        # A page for itself brings its style: nobody's words stand in that, and it may run no script at all.
        policy = answer.headers["content-security-policy"]
        barren = policy.startswith("default-src 'none'") and "script-src" not in policy
        allowed = [each for each in parser.styles if MARK not in each and (barren or policy == content_policy(each))]
        found += parser.styles if allowed != parser.styles else []
        found += ["a control character"] if re.search("[\x00-\x08\x0b-\x1f\u202e]", answer.text) else []
    if answer.headers.get("x-content-type-options") != "nosniff":
        found.append("its type may be guessed")
    return found


def test_the_cellar_is_as_hostile_as_it_is_meant_to_be(asked: Ask, card: Guard) -> None:
    for path in ("/", f"/vessel/{quote(NAME)}", f"/batch/{quote(NAME)}", f"/vessel/{quote(HEADER)}"):
        answer = asked(card, path)
        assert answer.status == 200, path
        assert f"&lt;{MARK}" in answer.text
    parser = Obeyed()
    parser.feed(WORDS + "<a href='//elsewhere.example'></a>")
    assert {MARK, "img", "iframe", f"{MARK} onclick", "svg onload", "a href=//elsewhere.example"} <= set(parser.found)


@pytest.mark.no_cover
@pytest.mark.parametrize(
    "name", [NAME, HEADER, f"no-batch{NAME}", "nobody" + NAME, "..", "%2e%2e%2fcellar.book", "a\x00b", "\udcff"]
)
def test_no_page_obeys_what_somebody_wrote(asked: Ask, card: Guard, door: Door, name: str) -> None:
    name = name.encode(errors="replace").decode()
    for path in addresses(door, "GET", name):
        answer = asked(card, path)
        assert answer.status < 500, path
        assert obeyed(answer) == [], path


VALUES = (NAME, "\x00", "9" * 400, "-1", "nan", "1e999", "\ud7ff\ufffe", "../" * 60 + "etc/passwd", HEADER)
KEYS = ("from", "to", "container", "told", "units", "kind", "at", "page", "q")


@pytest.mark.no_cover
@pytest.mark.parametrize("shift", [0, 4, 7])
def test_no_page_breaks_over_what_stands_behind_its_question_mark(
    asked: Ask, card: Guard, pages: list[str], shift: int
) -> None:
    values = VALUES[shift:] + VALUES[:shift]
    query = "&".join(f"{key}={quote(value)}" for key, value in zip(KEYS, values, strict=True))
    for path in pages:
        answer = asked(card, f"{path}?{query}")
        assert answer.status < 500, path
        assert obeyed(answer) == [], path


def test_a_stream_repeats_nothing_that_it_was_asked_with(asked: Ask, card: Guard) -> None:
    (known,) = asked(card, "/nothing").cookies
    address, cookie = f"{STREAM}?vessel={quote(NAME)}&from={quote(HEADER)}", known.partition(";")[0]
    answer = asked(card, address, cookie=cookie, last_event_id=NAME)
    assert answer.status == 200
    assert "event: changed" in answer.text
    assert obeyed(answer) == []
    assert MARK not in answer.text


def test_every_page_warns_where_others_on_the_network_can_read_along(asked: Ask, door: Door, pages: list[str]) -> None:
    card = Guard(door, HttpSettings(host="0.0.0.0"))
    assert [path for path in pages if "Without TLS:" not in asked(card, path).text] == []


def test_no_page_breaks_over_headers_and_cookies(asked: Ask, card: Guard) -> None:
    told = [
        {"cookie": f"lullwort-8137={NAME}; units={NAME}; a=\xff\x7f"}, {"accept_language": NAME},
        {"range": "bytes=9-1,-"},
        {"if_none_match": NAME}, {"if_modified_since": NAME}, {"accept_encoding": NAME}, {"last_event_id": "9" * 4000},
        {"x_forwarded_host": "elsewhere.example", "x_forwarded_for": NAME, "forwarded": f"host={NAME}"},
    ]  # fmt: skip
    for path in ("/", f"/vessel/{quote(NAME)}", f"/batch/{quote(NAME)}"):
        for each in told:
            answer = asked(card, path, **each)
            assert answer.status < 500, each
            assert obeyed(answer) == [], each
            assert "elsewhere.example" not in answer.text


@pytest.mark.parametrize("name", [NAME, "north"])
def test_nothing_is_done_without_the_token_of_the_form_or_from_another_page(
    asked: Ask, card: Guard, door: Door, name: str
) -> None:
    form = {"content_type": "application/x-www-form-urlencoded"}
    file = {"content_type": "multipart/form-data; boundary=x"}
    for path in [*addresses(door, "POST", name), "/leave", "/enter"]:
        known = {"cookie": asked(card, "/nothing").cookies[0].partition(";")[0]}
        for told, body in ((form, b"form-token=x&vessel=a&note=b"), (form, b""), (file, b"--x--\r\n")):
            answer = asked(card, path, "POST", body, **told, **known)
            away = (answer.status, answer.headers.get("location")) == (
                303,
                "/",
            )  # from the door: nobody is to be let in
            assert away or answer.status in (400, 403, 404), (path, answer.status, answer.text)
            assert asked(card, path, "POST", body, **told, **known, origin="http://elsewhere.example").status == 403


@pytest.mark.parametrize(
    "path",
    [
        "/assets/../door.py", "/assets/%2e%2e/door.py", "/assets/..%2f..%2fsettings.py", "/assets//etc/passwd",
        "/assets/card.css",
        "/assets/%00", "//etc/passwd", "/../../etc/passwd", "/vessel/../../etc/passwd", "/assets/..\\door.py",
        "/.", "/%ff%fe",
    ],
)  # fmt: skip
def test_no_file_is_read_but_style_and_script(asked: Ask, card: Guard, path: str) -> None:
    assert asked(card, path).status == 404


@pytest.mark.no_cover
def test_in_a_real_browser_nothing_of_it_runs_and_nothing_is_asked_of_anybody_else(
    pages: list[str],
    hostile_cellar: Path,
    browser: Browser,
    served_with: Callable[..., AbstractContextManager[Served]],
) -> None:
    assert len(pages) >= 3
    wrong: list[str] = []
    requests: list[str] = []
    with served_with(hostile_cellar) as served:
        page = browser.new_page(viewport={"width": 360, "height": 740})
        page.on("dialog", lambda dialog: dialog.dismiss())
        page.on("dialog", lambda dialog: wrong.append(dialog.message))
        page.on("console", lambda said: wrong.append(said.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("request", lambda asks: requests.append(asks.url))
        page.add_init_script(f"window.{MARK} = () => console.error('obeyed')")
        for nth, path in enumerate(pages):
            page.set_viewport_size({"width": (360, 1280)[nth % 2], "height": 740})
            page.goto(f"{served.url}{path}", wait_until="load")
            assert page.locator(MARK).count() == 0
            page.evaluate("() => new Promise(done => requestAnimationFrame(() => setTimeout(done, 0)))")
        page.close()
    assert wrong == []
    assert [url for url in requests if not url.startswith((f"{served.url}/", "data:"))] == []
