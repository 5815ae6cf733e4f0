"""Forms and files as they are posted, through guard and door."""

from __future__ import annotations

import asyncio
import errno
import json
import re
from collections.abc import AsyncGenerator, Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from lullwort.card import Guard, Guesses
from lullwort.card.door.door import Door, visitor_of
from lullwort.card.door.posted import posted
from lullwort.card.door.seals import same_form
from lullwort.card.door.uploadroom import UploadRoom
from lullwort.card.mishaps import mishaps
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
    assert again != token  # the same under another mask
    assert same_form(again, token)
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
    monkeypatch.setattr("lullwort.card.door.uploadroom._ROOM_LEFT_BYTES", 1 << 60)
    answer = asked(app, "/form", "POST", *multipart(token, "x", b"x"), content_type=FILE, cookie=cookie)
    assert answer.status == 507
    assert "so that readings can still be kept" in answer.text


@pytest.mark.parametrize(
    ("number", "status", "says"),
    [
        (errno.ENOSPC, 507, "The disk is nearly full"), (errno.EDQUOT, 507, "The disk is nearly full"),
        (errno.EIO, 503, "does not take it"), (errno.ENAMETOOLONG, 503, "does not take it"),
    ],
)  # fmt: skip
def test_a_disk_that_fails_meanwhile_is_told_as_what_it_is(
    asked: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, status: int, says: str
) -> None:
    def failing(**_: object) -> None:
        raise OSError(number, "failing")

    app = served(tmp_path)
    cookie, token = known(asked, app)
    monkeypatch.setattr("lullwort.card.door.posted.SpooledTemporaryFile", failing)
    answer = asked(app, "/form", "POST", *multipart(token, "x", b"x"), content_type=FILE, cookie=cookie)
    assert answer.status == status
    assert says in answer.text
    assert ("nearly full" in answer.text) is (status == 507)


def test_files_that_come_at_once_share_the_room_that_there_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lullwort.card.door.uploadroom.shutil.disk_usage", lambda _: SimpleNamespace(free=300 << 20))
    room = UploadRoom(tmp_path)  # of 300 MiB 200 are left for readings
    first = room.begin(60 << 20)
    with pytest.raises(HTTPException) as refused:
        room.begin(60 << 20)
    assert refused.value.status_code == 507

    async def pieces(count: int) -> AsyncGenerator[bytes, None]:
        for _ in range(count):
            yield bytes(10 << 20)

    async def came(count: int) -> int:
        unstated = room.begin(0)
        try:
            return sum([len(piece) async for piece in unstated.counted(pieces(count))])
        finally:
            unstated.end()

    assert asyncio.run(came(4)) == 40 << 20
    with pytest.raises(HTTPException):
        asyncio.run(came(5))  # its length was not stated, and counts as it comes
    first.end()
    first.end()
    assert room.spoken_for == 0
    assert asyncio.run(came(10)) == 100 << 20


def test_what_a_request_took_of_the_room_is_given_back_however_it_ends(
    asked: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rooms = list[UploadRoom]()

    def made(folder: Path) -> UploadRoom:
        rooms.append(UploadRoom(folder))
        return rooms[-1]

    monkeypatch.setattr("lullwort.card.door.door.UploadRoom", made)
    app = served(tmp_path, upload_mib=1)
    cookie, token = known(asked, app)
    taken = {"content_type": FILE, "cookie": cookie}
    assert asked(app, "/form", "POST", *multipart(token, "x", b"x" * 900), **taken, content_length="1200").status == 200
    assert asked(app, "/form", "POST", *multipart("old", "x", b"x" * 900), **taken).status == 403
    assert asked(app, "/form", "POST", *multipart(token, "x", b"x" * 5_000_000), **taken).status == 413
    assert asked(app, "/form", "POST", b"--edge", **taken).status == 403
    assert [room.spoken_for for room in rooms] == [0]


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


@pytest.mark.parametrize("charset", ["utf-8", "utf-7", "idna", "punycode", "raw_unicode_escape", "utf-16", "x" * 500])
def test_names_and_values_are_read_as_utf_8_whatever_is_stated(asked: Ask, tmp_path: Path, charset: str) -> None:
    app = served(tmp_path)
    cookie, token = known(asked, app)
    body = b"".join(multipart(token, "\u00e9+AGEA-ud800", b"x")).replace(
        b"--edge--", b'--edge\r\nContent-Disposition: form-data; name="a"\r\n\r\n\\ud800 \xc3\xa9+AGEA-\r\n--edge--'
    )
    answer = asked(app, "/form", "POST", body, content_type=f"{FILE}; charset={charset}", cookie=cookie)
    assert json.loads(answer.text) == {
        "values": {"a": "\\ud800 \u00e9+AGEA-"}, "files": {"log": ["\u00e9+AGEA-ud800", 1, False, 0]}
    }  # fmt: skip


@pytest.mark.parametrize(
    ("media", "field"),
    [(FORM, b"a=%ED%A0%80"), (FORM, b"a=\xed\xa0\x80"),
     (FILE, b'--edge\r\nContent-Disposition: form-data; name="a"\r\n\r\n\xed\xa0\x80\r\n--edge--')],
)  # fmt: skip
def test_half_a_letter_comes_out_as_something_that_can_be_written(
    asked: Ask, tmp_path: Path, media: str, field: bytes
) -> None:
    app = served(tmp_path)
    cookie, token = known(asked, app)
    body = b"".join(multipart(token, "x", b"x")).replace(b"--edge--\r\n", field + b"\r\n")
    body = body if media == FILE else f"form-token={token}&".encode() + field
    answer = asked(app, "/form", "POST", body, content_type=media, cookie=cookie)
    assert answer.status == 200
    assert json.loads(answer.text)["values"]["a"].encode()


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
