"""Forms and files as they are posted, through guard and door."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from lullwort.card import Guard, Guesses
from lullwort.card.door import Door, visitor_of
from lullwort.card.mishaps import mishaps
from lullwort.card.posted import posted
from lullwort.collector import HttpSettings

Ask = Callable[..., Any]  # the fixture's function lives in conftest.py

FORM = "application/x-www-form-urlencoded"
FILE = "multipart/form-data; boundary=edge"
OWN = "http://localhost:8137"


def served(uploads: Path, **http: Any) -> ASGIApp:
    async def shown(request: Request) -> Response:
        return JSONResponse(visitor_of(request).form_token)

    async def taken(request: Request) -> Response:
        form = await posted(request)
        files = {}
        for name, file in form.files.items():
            on_disk = bool(getattr(file.file, "_rolled", False))
            files[name] = [file.filename, len(await file.read()), on_disk, len(list(uploads.iterdir()))]
        return JSONResponse({"values": form.values, "files": files})

    routes = [Route("/form", shown), Route("/form", taken, methods=["POST"])]
    app = Starlette(routes=routes, exception_handlers=mishaps())
    return Guard(Door(app, None, 8137, Guesses(), uploads), HttpSettings(**http))


def known(asked: Ask, app: ASGIApp) -> tuple[str, str]:
    """Cookie and form token of a browser."""
    first = asked(app, "/form")
    return first.cookies[0].partition(";")[0], first.text.strip('"')


def multipart(token: str, name: str, content: bytes) -> list[bytes]:
    head = f'--edge\r\nContent-Disposition: form-data; name="form-token"\r\n\r\n{token}\r\n'
    head += f'--edge\r\nContent-Disposition: form-data; name="log"; filename="{name}"\r\n\r\n'
    parts = [content[at : at + 65_536] for at in range(0, len(content), 65_536)]
    return [head.encode(), *parts, b"\r\n--edge--\r\n"]


def test_a_form_with_its_token_is_taken_also_after_a_change_of_settings(asked: Ask, tmp_path: Path) -> None:
    app = served(tmp_path)
    cookie, token = known(asked, app)
    for door in (app, served(tmp_path)):
        answer = asked(
            door, "/form", "POST", f"form-token={token}&a=+1+&a=2&b=%00".encode(), content_type=FORM, cookie=cookie
        )
        assert answer.text == '{"values":{"a":"2","b":"\\u0000"},"files":{}}'


def test_what_was_typed_into_a_form_that_is_too_old_is_kept_and_can_be_sent_again(asked: Ask, tmp_path: Path) -> None:
    app = served(tmp_path)
    cookie, token = known(asked, app)
    body = b"form-token=old&note=%3Cscript%3Ealert(1)%3C%2Fscript%3E&%22%3E%3Cb%3E=x"
    answer = asked(app, "/form", "POST", body, content_type=FORM, cookie=cookie, origin=OWN)
    assert answer.status == 403
    assert "nothing was done" in answer.text
    assert 'value="&lt;script&gt;alert(1)&lt;/script&gt;"' in answer.text
    assert "<script>alert" not in answer.text
    assert '"><b>' not in answer.text
    (again,) = re.findall(r'name="form-token" value="([^"]+)"', answer.text)
    assert again == token
    sent = asked(
        app, "/form", "POST", f"form-token={again}&note=x".encode(), content_type=FORM, cookie=cookie, origin=OWN
    )
    assert sent.status == 200


def test_what_no_page_of_ours_sent_is_not_offered_again(asked: Ask, tmp_path: Path) -> None:
    app = served(tmp_path)
    cookie, token = known(asked, app)
    _, of_another = known(asked, app)
    for given in ("", of_another, token[:-1], token.upper() + "x", "%E2%82%AC"):
        body = f"form-token={given}&note=x".encode()
        answer = asked(app, "/form", "POST", body, content_type=FORM, cookie=cookie)
        assert answer.status == 403
        assert "<form" not in answer.text
    assert asked(app, "/form", "POST", f"form-token={token}".encode(), content_type=FORM).status == 403


def test_a_file_goes_to_the_disk_as_it_comes_and_is_gone_with_the_request(asked: Ask, tmp_path: Path) -> None:
    app = served(tmp_path, upload_mib=3)
    cookie, token = known(asked, app)
    for length, on_disk in ((1000, "false"), (2_500_000, "true")):
        answer = asked(
            app, "/form", "POST", *multipart(token, "../../etc/x\\y", b"x" * length), content_type=FILE, cookie=cookie
        )
        assert answer.text == f'{{"values":{{}},"files":{{"log":["../../etc/x\\\\y",{length},{on_disk},0]}}}}'
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_too_long_is_told_before_all_of_it_is_there(asked: Ask, tmp_path: Path) -> None:
    app = served(tmp_path, upload_mib=1)
    cookie, token = known(asked, app)
    parts = multipart(token, "x", b"x" * 5_000_000)
    answer = asked(app, "/form", "POST", *parts, content_type=FILE, cookie=cookie)
    assert answer.status == 413
    assert "A file may be 1 MiB long" in answer.text


def test_a_file_for_which_there_is_no_room_is_refused(
    asked: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = served(tmp_path)
    cookie, token = known(asked, app)
    monkeypatch.setattr("lullwort.card.uploadroom._ROOM_LEFT_BYTES", 1 << 60)
    answer = asked(app, "/form", "POST", *multipart(token, "x", b"x"), content_type=FILE, cookie=cookie)
    assert answer.status == 507
    assert "so that readings can still be kept" in answer.text


def test_a_disk_that_fills_up_meanwhile_is_told(asked: Ask, tmp_path: Path) -> None:
    app = served(tmp_path / "gone")
    cookie, token = known(asked, app)
    answer = asked(app, "/form", "POST", *multipart(token, "x", b"x"), content_type=FILE, cookie=cookie)
    assert answer.status == 507


@pytest.mark.parametrize(
    ("media", "body"),
    [
        ("text/plain", b"a=b"), ("", b"a=b"), ("multipart/form-data", b"--edge"), (FILE, b"--other\r\n\r\nx"),
        (FILE, b"\x00" * 99),
        (FORM, b"&".join(b"a%d=b" % nth for nth in range(70))), (FORM, b"a=" + b"b" * 20_000),
        (FILE, b'--edge\r\nContent-Disposition: form-data; name="a"\r\n\r\nb\r\n' * 70 + b"--edge--\r\n"),
        (FILE, b'--edge\r\nContent-Disposition: form-data\r\n\r\nb\r\n--edge--\r\n'),
    ],
)  # fmt: skip
def test_what_is_no_form_is_refused(asked: Ask, tmp_path: Path, media: str, body: bytes) -> None:
    app = served(tmp_path)
    cookie, _ = known(asked, app)
    assert asked(app, "/form", "POST", body, content_type=media, cookie=cookie).status in (400, 403)


def test_a_browser_that_goes_away_while_it_sends_is_no_error(tmp_path: Path) -> None:
    app, sent = served(tmp_path), []

    async def receive() -> dict[str, Any]:
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message.get("status"))

    scope = {
        "type": "http", "method": "POST", "path": "/form", "raw_path": b"/form", "query_string": b"", "scheme": "http",
        "root_path": "", "headers": [(b"content-type", FORM.encode())], "client": None, "server": None,
    }  # fmt: skip

    async def ask() -> None:
        await app(scope, receive, send)

    asyncio.run(ask())
    assert sent[0] == 408
