"""What stands before everything that is asked for over HTTP."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from starlette.types import ASGIApp

from lullwort.card import Desk, Guard, Tended, card_app
from lullwort.card.door.safeheaders import content_policy
from lullwort.card.pages.untilstyled import UNTIL_STYLED
from lullwort.cellarbook import open_book
from lullwort.collector import HttpSettings
from lullwort.errors import BookBusyError
from lullwort.settings import Settings

Ask = Callable[..., Any]  # the fixture's function lives in conftest.py

MEDIA = "application/x-www-form-urlencoded"


def guarded(book: Path, **http: Any) -> tuple[ASGIApp, Desk]:
    chosen = HttpSettings(**http)
    desk = Desk(partial(open_book, book, create=False), lambda: Tended({}, ""), lambda: 2_000_000_000_000_000)
    settings = Settings(book=book, gravity="sg", temperature="C", zone="UTC", http=chosen)
    return Guard(card_app(settings, desk), chosen, ("/readings",)), desk


@pytest.fixture(scope="module")
def app(kept_cellar: Path) -> Iterator[ASGIApp]:
    app, desk = guarded(kept_cellar, names=("cellar.lan",), upload_mib=1)
    yield app
    desk.close()


def refusal(answer: Any) -> str:
    (says,) = re.findall(r'<p class="refused" role="alert">(.*?)</p>', answer.text)
    assert answer.text.startswith("<!DOCTYPE html>")
    assert '<main id="card"' in answer.text
    return str(says)


def test_a_name_that_is_not_ours_is_refused_with_the_key_that_lets_it_in(asked: Ask, app: ASGIApp) -> None:
    answer = asked(app, "/", host="elsewhere.example:8137")
    assert answer.status == 421  # Misdirected Request [RFC 9110 15.5.20]
    assert "under [http]: names = [&quot;elsewhere.example&quot;]" in refusal(answer)
    assert asked(app, "/", host="cellar.lan:8137").status == 200
    assert asked(app, "/", host="").status == 200  # no browser
    assert "<script>" not in asked(app, "/", host="<script>x</script>").text


def test_where_no_token_is_asked_for_readings_too_come_only_by_our_own_names(asked: Ask, app: ASGIApp) -> None:
    answer = asked(app, "/readings", "POST", b"[]", host="elsewhere.example")
    assert answer.status == 421
    assert answer.headers["content-type"] == "application/json"


@pytest.mark.parametrize(
    ("told", "done"),
    [
        ({"origin": "http://localhost:8137"}, True),
        ({"origin": "http://localhost:8137", "sec_fetch_site": "same-origin"}, True),
        ({}, True),  # no browser; its form token is looked at
        ({"origin": "http://localhost:9999"}, False),
        ({"origin": "https://elsewhere.example"}, False),
        ({"origin": "null"}, False),
        ({"origin": "http://localhost:8137", "sec_fetch_site": "cross-site"}, False),
        ({"origin": "null", "host": ""}, False),
        ({"origin": "http://", "host": ""}, False),
        ({"origin": "http://localhost:8137", "host": ""}, False),
        ({"sec_fetch_site": "same-site"}, False),
        ({"sec_fetch_site": "cross-site", "sec_fetch_mode": "navigate"}, False),
    ],
)
def test_only_our_own_pages_change_something(asked: Ask, app: ASGIApp, told: dict[str, str], done: bool) -> None:
    status = asked(app, "/nothing", "POST", b"a=b", content_type=MEDIA, **told).status
    assert status == (404 if done else 403)


def test_other_pages_may_lead_here_but_not_load_anything_of_ours(asked: Ask, app: ASGIApp) -> None:
    def followed(dest: str, site: str = "cross-site") -> int:
        told = {"sec_fetch_site": site, "sec_fetch_mode": "navigate", "sec_fetch_dest": dest}
        return int(asked(app, "/", **told).status)

    assert followed("document") == 200
    for framed in ("iframe", "frame", "object", "embed", "fencedframe", ""):
        assert followed(framed) == 403
    assert followed("iframe", site="same-site") == 403
    assert followed("iframe", site="same-origin") == 200
    assert asked(app, "/", sec_fetch_site="cross-site", sec_fetch_mode="no-cors").status == 403
    assert asked(app, "/", sec_fetch_site="same-site", sec_fetch_mode="cors").status == 403
    assert asked(app, "/", sec_fetch_site="none", sec_fetch_mode="navigate").status == 200


def test_what_is_too_long_is_refused_whether_it_says_so_or_not(asked: Ask, app: ASGIApp) -> None:
    assert asked(app, "/" + "a" * 3000).status == 414
    assert asked(app, "/?" + "a" * 3000).status == 414
    assert asked(app, "/", x="a" * 20_000).status == 431
    form = b"a=" + b"b" * 300_000
    assert asked(app, "/units", "POST", form, content_type=MEDIA, content_length=str(len(form))).status == 413
    file = asked(app, "/units", "POST", content_type="multipart/form-data; boundary=x", content_length="9" * 12)
    assert file.status == 413
    assert refusal(file).startswith("A file may be 1 MiB long; [http] of the settings has upload_mib for that.")


ALWAYS = {
    "content-security-policy": content_policy(UNTIL_STYLED),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


@pytest.mark.parametrize(
    ("path", "told", "status"),
    [
        ("/", {}, 200), ("/vessel/north", {}, 200), ("/nothing", {}, 404), ("/", {"host": "elsewhere.example"}, 421),
        ("/" + "a" * 3000, {}, 414), ("/", {"sec_fetch_site": "cross-site"}, 403),
        ("/readings", {"sec_fetch_site": "cross-site"}, 403),
    ],
)  # fmt: skip
def test_safe_headers_go_with_every_answer(
    asked: Ask, app: ASGIApp, path: str, told: dict[str, str], status: int
) -> None:
    answer = asked(app, path, **told)
    assert answer.status == status
    assert {name: answer.headers.get(name) for name in ALWAYS} == ALWAYS
    assert "geolocation=()" in answer.headers["permissions-policy"]
    assert answer.headers["cache-control"] == "no-store"


def test_the_policy_of_pages_lets_in_nothing_but_the_cards_own(asked: Ask, app: ASGIApp) -> None:
    policy = asked(app, "/").headers["content-security-policy"]
    rules = {name: allowed for name, _, allowed in (rule.strip().partition(" ") for rule in policy.split(";"))}
    style = rules.pop("style-src").split()
    assert rules == {
        "default-src": "'none'", "script-src": "'self'", "img-src": "'self'", "connect-src": "'self'",
        "form-action": "'self'", "base-uri": "'none'", "frame-ancestors": "'none'",
    }  # fmt: skip
    assert style[0] == "'self'"
    assert all(each.startswith("'sha256-") for each in style[1:])


def test_a_policy_names_the_style_of_a_page_by_its_hash() -> None:
    # Worked example of the standard [CSP3, usage of hashes]: the sha256 of `alert('Hello, world.');`.
    assert "style-src 'self' 'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng=';" in content_policy(
        "alert('Hello, world.');"
    )


def test_a_page_that_is_not_there_says_what_helps(asked: Ask, app: ASGIApp) -> None:
    assert "may be called otherwise" in refusal(asked(app, "/vessel/nobody"))
    assert "for looking, or for sending" in refusal(asked(app, "/", "PUT"))


@pytest.fixture
def failing(kept_cellar: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[Exception], ASGIApp]]:
    """An application whose desk answers each question with this error."""
    app, desk = guarded(kept_cellar)

    def with_error(error: Exception) -> ASGIApp:
        def answer(_: object) -> None:
            raise error

        monkeypatch.setattr(desk, "_answer", answer)
        return app

    yield with_error
    desk.close()


def test_a_book_that_fails_is_told_as_such_and_asked_again_later(
    asked: Ask, failing: Callable[[Exception], ASGIApp]
) -> None:
    answer = asked(failing(BookBusyError("another process holds <it> too long.")), "/")
    assert answer.status == 503
    assert int(answer.headers["retry-after"]) > 0
    assert "another process holds &lt;it&gt; too long." in refusal(answer)


def test_what_nobody_foresaw_is_a_page_too_and_tells_no_secrets(
    asked: Ask, failing: Callable[[Exception], ASGIApp]
) -> None:
    app = failing(RuntimeError("a secret"))

    async def kept(scope: Any, receive: Any, send: Any) -> None:
        with pytest.raises(RuntimeError):  # it goes on to the server, whose log has it
            await app(scope, receive, send)

    answer = asked(kept, "/")
    assert answer.status == 500
    assert "secret" not in answer.text
    assert "service&#x27;s log" in refusal(answer)
    assert answer.headers["content-security-policy"] == content_policy(UNTIL_STYLED)
