"""Who is let in, how long, and how one leaves: the door and the guard as they stand before the card."""

from __future__ import annotations

import asyncio
import logging
import re
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from lullwort.card import Desk, Guard, Guesses, Tended, card_app
from lullwort.card.door.door import Door
from lullwort.cellarbook import open_book
from lullwort.collector import HttpSettings
from lullwort.errors import SourceError
from lullwort.settings import Settings

Ask = Callable[..., Any]  # the fixture's function lives in conftest.py

TOKEN = "correct-horse battery/&?"
BEYOND = "192.0.2.1"


@pytest.fixture
def token_file(tmp_path: Path) -> Path:
    path = tmp_path / "token"
    path.write_text(f"{TOKEN}\n")
    return path


@pytest.fixture(scope="module")
def desk(kept_cellar: Path) -> Iterator[Desk]:
    desk = Desk(partial(open_book, kept_cellar, create=False), lambda: Tended({}, ""), lambda: 2_000_000_000_000_000)
    yield desk
    desk.close()


@pytest.fixture
def card(kept_cellar: Path, token_file: Path, desk: Desk) -> Callable[..., ASGIApp]:
    """Makes the guarded card of the cellar anew, as a start of the service does."""

    def made(*, guesses: Guesses | None = None, **http: Any) -> ASGIApp:
        chosen = HttpSettings(**({"token_file": token_file} | http))
        settings = Settings(book=kept_cellar, gravity="sg", temperature="C", zone="UTC", http=chosen)
        return Guard(card_app(settings, desk, guesses), chosen, ("/readings",))

    return made


def entered(asked: Ask, app: ASGIApp, token: str = TOKEN, to: str = "", **headers: str) -> Any:
    form = urlencode({"token": token, "to": to}).encode()
    urlencoded = "application/x-www-form-urlencoded"
    return asked(app, "/enter", "POST", form, content_type=urlencoded, origin="http://localhost:8137", **headers)


def cookie_of(answer: Any) -> str:
    (cookie,) = answer.cookies
    return str(cookie.partition(";")[0])


def test_a_link_with_the_token_lets_a_browser_in_and_leaves_no_token_in_its_address(
    asked: Ask, card: Callable[..., ASGIApp]
) -> None:
    answer = asked(
        card(),
        f"/enter?token={quote(TOKEN, safe='')}",
        sec_fetch_site="cross-site",
        sec_fetch_mode="navigate",
        sec_fetch_dest="document",
    )
    assert (answer.status, answer.headers["location"]) == (303, "/")
    (cookie,) = answer.cookies
    assert {"HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=7776000"} <= set(cookie.split("; "))
    assert "Secure" not in cookie
    assert TOKEN not in cookie
    assert "horse" not in cookie
    # After a restart of the service:
    assert asked(card(), "/vessel/north", cookie=cookie_of(answer)).status == 200


def test_under_tls_the_cookie_goes_over_tls_only_and_is_set_by_this_host_alone(
    asked: Ask, card: Callable[..., ASGIApp]
) -> None:
    app = card()
    answer = asked(app, "/enter?token=correct-horse%20battery/%26%3F", scheme="https")
    (cookie,) = answer.cookies
    assert cookie.startswith("__Host-lullwort-8137=")
    assert "Secure" in cookie.split("; ")
    assert asked(app, "/", scheme="https", cookie=cookie_of(answer)).status == 200


def test_typed_in_it_leads_on_to_where_one_was_going(asked: Ask, card: Callable[..., ASGIApp]) -> None:
    app = card()
    refused = asked(app, "/vessel/north")
    assert (refused.status, refused.headers["www-authenticate"]) == (401, "Bearer")
    assert 'name="to" value="/vessel/north"' in refused.text
    assert 'type="password"' in refused.text
    answer = entered(asked, app, to="/vessel/north")
    assert (answer.status, answer.headers["location"]) == (303, "/vessel/north")
    assert asked(app, "/vessel/north", cookie=cookie_of(answer)).status == 200


@pytest.mark.parametrize(
    "to",
    [
        "//elsewhere.example/",
        "https://elsewhere.example",
        "/\\elsewhere.example",
        "/a\r\nX: 1",
        "javascript:1",
        "x",
        "",
    ],
)
def test_it_leads_nowhere_else(asked: Ask, card: Callable[..., ASGIApp], to: str) -> None:
    assert entered(asked, card(), to=to).headers["location"] == "/"


def test_without_the_token_nothing_is_shown_but_the_way_in(asked: Ask, card: Callable[..., ASGIApp]) -> None:
    app = card()
    for path in ("/", "/vessel/north", "/batch/north-1", "/nothing", "/live", "/units"):
        for method in ("GET", "HEAD", "POST", "PUT", "DELETE"):
            answer = asked(app, path, method)
            assert answer.status == 401, (method, path)
            assert "north" not in answer.text.replace('value="/vessel/north"', "").replace('value="/batch/north-1"', "")
            assert not answer.cookies
    (style,) = re.findall(r'href="(/assets/[^"]+css)"', asked(app, "/").text)
    assert asked(app, style).status == 200
    assert asked(app, "/assets/../door.py").status == 401


def test_a_wrong_token_is_told_and_a_pass_of_another_token_is_none(
    asked: Ask, card: Callable[..., ASGIApp], token_file: Path
) -> None:
    app = card()
    answer = entered(asked, app, "wrong")
    assert answer.status == 403
    assert "That is not the token" in answer.text
    assert "wrong" not in re.sub(r'(class|id|aria-describedby)="[^"]*"', "", answer.text)
    assert entered(asked, app, "").status == 422
    cookie = cookie_of(entered(asked, app))
    token_file.write_text("another")
    assert asked(card(), "/", cookie=cookie).status == 401


URLENCODED = "application/x-www-form-urlencoded"


@pytest.mark.parametrize(
    ("media", "body"),
    [
        (URLENCODED, b"&".join(b"a%d=b" % nth for nth in range(70))), (URLENCODED, b"token=" + b"b" * 4000 + b"\xff"),
        ("multipart/form-data; boundary=edge", b"--edge\r\n\r\nx"), ("multipart/form-data", b""), ("", b"token=x"),
        ("application/json", b"{}"), (f"{URLENCODED}; charset=utf-7", b"\x00" * 50 + b"&" * 100),
    ],
)  # fmt: skip
def test_what_is_no_form_is_a_page_at_the_door_too(
    asked: Ask, card: Callable[..., ASGIApp], media: str, body: bytes
) -> None:
    answer = asked(card(), "/enter", "POST", body, content_type=media, origin="http://localhost:8137")
    assert answer.status in (400, 403, 422)  # 403 and 422: a form in which there is no token, or a wrong one
    assert (answer.status == 400) is not (media.startswith(URLENCODED) and b"a1=" not in body)
    assert answer.text.startswith("<!DOCTYPE html>")


def test_twelve_fields_are_a_form_and_seventy_are_none(asked: Ask, card: Callable[..., ASGIApp]) -> None:
    for fields, status in ((12, 303), (70, 400)):
        body = "&".join([urlencode({"token": TOKEN}), *(f"a{nth}=b" for nth in range(fields - 1))]).encode()
        assert asked(card(), "/enter", "POST", body, content_type=URLENCODED).status == status


def test_who_writes_the_way_in_otherwise_is_no_less_bounded(asked: Ask, card: Callable[..., ASGIApp]) -> None:
    app, body = card(), b"token=" + b"x" * 10_000
    for path in ("/enter", "/%65nter"):
        assert asked(app, path, "POST", body, content_type=URLENCODED, content_length="10006").status == 413
    for path in ("/enter%3Fx", "/enter%23", "/enter/"):
        assert asked(app, path, "POST", body, content_type=URLENCODED, content_length="10006").status == 401
    assert 'name="to" value="/vessel/a%20b%3Fc"' in asked(app, "/vessel/a%20b%3Fc").text


def test_a_browser_that_goes_away_at_the_door_is_no_error(card: Callable[..., ASGIApp]) -> None:
    sent: list[Any] = []
    scope = {
        "type": "http", "method": "POST", "path": "/enter", "raw_path": b"/enter", "query_string": b"",
        "scheme": "http", "root_path": "", "headers": [(b"content-type", URLENCODED.encode())], "client": None,
        "server": None,
    }  # fmt: skip

    async def receive() -> Any:
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message.get("status"))

    async def ask() -> None:
        await card()(scope, receive, send)

    asyncio.run(ask())
    assert sent[0] == 408


def test_the_log_has_who_begins_to_wait_and_no_token(
    asked: Ask, card: Callable[..., ASGIApp], caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A service that another test has had in this process says it once a minute.
    monkeypatch.setattr(logging.getLogger("lullwort.guesses"), "filters", [])
    app = card()
    for nth in range(8):
        entered(asked, app, f"guess {nth}", client=BEYOND)
    (record,) = [one for one in caplog.records if one.name == "lullwort.guesses"]
    assert (record.levelname, record.__dict__["address"]) == ("WARNING", BEYOND)
    assert "guess " not in str(record.__dict__)


def test_who_guesses_waits_and_nobody_else(asked: Ask, card: Callable[..., ASGIApp]) -> None:
    app = card()
    cookie = cookie_of(entered(asked, app, client=BEYOND))
    for nth in range(8):
        entered(asked, app, f"guess {nth}", client=BEYOND)
    late = entered(asked, app, TOKEN, client=BEYOND)
    assert late.status == 429
    assert int(late.headers["retry-after"]) > 0
    assert "try again in" in late.text
    assert asked(app, "/", cookie=cookie, client=BEYOND).status == 200
    assert entered(asked, app, TOKEN, client="192.0.2.9").status == 303


def test_without_a_token_all_is_open_and_a_browser_is_known_again(asked: Ask, card: Callable[..., ASGIApp]) -> None:
    app = card(token_file=None)
    first = asked(app, "/")
    assert first.status == 200
    assert "HttpOnly" in first.cookies[0]
    again = asked(app, "/", cookie=cookie_of(first))
    assert (again.status, again.cookies) == (200, [])
    assert asked(card(token_file=None), "/", cookie=cookie_of(first)).cookies == []  # settings taken up anew
    assert asked(app, "/enter").headers["location"] == "/"
    assert "Leave" not in first.text


def test_one_leaves_by_a_form_and_is_asked_again(asked: Ask, card: Callable[..., ASGIApp]) -> None:
    app = card()
    cookie = cookie_of(entered(asked, app))
    assert 'href="/leave"' in asked(app, "/", cookie=cookie).text
    form = asked(app, "/leave", cookie=cookie)
    (token,) = re.findall(r'name="form-token" value="([^"]+)"', form.text)
    urlencoded = "application/x-www-form-urlencoded"
    assert asked(app, "/leave", "POST", b"form-token=none", cookie=cookie, content_type=urlencoded).status == 403
    left = asked(app, "/leave", "POST", f"form-token={token}".encode(), cookie=cookie, content_type=urlencoded)
    assert left.status == 303
    assert "Max-Age=0" in left.cookies[0]
    assert asked(app, "/leave").headers["location"] == "/"


def test_a_pass_is_renewed_long_before_it_ends(asked: Ask) -> None:
    now = [1_772_442_000.0]

    async def fine(_: Request) -> Response:
        return PlainTextResponse("fine")

    app = Door(Starlette(routes=[Route("/", fine)]), "t", 8137, Guesses(), Path("/"), lambda: now[0])
    cookie = cookie_of(asked(app, "/enter?token=t"))
    now[0] += 6 * 86_400
    assert asked(app, "/", cookie=cookie).cookies == []
    now[0] += 2 * 86_400
    renewed = cookie_of(asked(app, "/", cookie=cookie))
    now[0] += 89 * 86_400
    assert asked(app, "/", cookie=cookie).status == 401
    assert asked(app, "/", cookie=renewed).status == 200


@pytest.mark.parametrize(
    "cookie", ["x", "lullwort-8137", "lullwort-8137=", "lullwort-8137=a.b.c; lullwort-8137=..", "=;=;", "\x7f\xff"]
)
def test_a_cookie_that_is_none_lets_nobody_in_and_breaks_nothing(
    asked: Ask, card: Callable[..., ASGIApp], cookie: str
) -> None:
    assert asked(card(), "/", cookie=cookie).status == 401
    assert asked(card(token_file=None), "/", cookie=cookie).status == 200


def test_whoever_is_beyond_this_machine_is_warned_on_every_page_where_there_is_no_tls(
    asked: Ask, card: Callable[..., ASGIApp]
) -> None:
    app = card(host="0.0.0.0")
    assert "Without TLS:" in asked(app, "/enter").text
    cookie = cookie_of(entered(asked, app))
    assert "Without TLS:" in asked(app, "/vessel/north", cookie=cookie).text
    assert "Without TLS:" in asked(app, "/nothing", cookie=cookie).text
    sealed = card(host="0.0.0.0", certificate_file=Path("c"), key_file=Path("k"))
    assert "Without TLS:" not in asked(sealed, "/enter").text
    assert "Without TLS:" not in asked(card(), "/enter").text


def test_a_token_that_cannot_be_read_is_told_at_the_start(card: Callable[..., ASGIApp], tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="the token cannot be read"):
        card(token_file=tmp_path / "none")


def test_what_is_no_request_over_http_goes_by_unseen(card: Callable[..., ASGIApp]) -> None:
    sent: list[Any] = []

    async def receive() -> Any:
        return {"type": "lifespan.startup"} if not sent else {"type": "lifespan.shutdown"}

    async def send(message: Any) -> None:
        sent.append(message["type"])

    async def begin() -> None:
        await card()({"type": "lifespan", "state": {}}, receive, send)

    asyncio.run(begin())
    assert sent == ["lifespan.startup.complete", "lifespan.shutdown.complete"]
