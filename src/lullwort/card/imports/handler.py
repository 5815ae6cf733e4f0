"""The addresses of an import: a file is handed in, looked at, stored, and taken back."""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from lullwort.card.commands.commands import BusyError, Commands, Ran
from lullwort.card.commands.said import faults_of, in_words, own_sentence
from lullwort.card.door.posted import posted
from lullwort.card.door.uploadroom import disk_fault
from lullwort.card.door.visitor import visitor_of
from lullwort.card.files.filenames import safe_name
from lullwort.card.files.workroom import Workroom
from lullwort.card.imports.drypage import dry_run_page
from lullwort.card.imports.pages import (
    choose_page,
    gone_page,
    refused_page,
    stored_page,
    waiting_page,
    withdraw_page,
    withdrawn_page,
)
from lullwort.card.imports.stating import assumed_zone, column_fields, options_of, refused, stating_fields, zone_doubt
from lullwort.card.imports.uploads import MOST_HELD, TooManyHeldError, Upload, Uploads
from lullwort.card.known.cellar import Cellar
from lullwort.card.known.desk import Desk
from lullwort.card.pages.fields import Field
from lullwort.card.pages.page import page
from lullwort.cellarbook import Imported
from lullwort.collector import SENML_SUFFIXES, HttpSettings
from lullwort.errors import RefusedError
from lullwort.settings import Settings

__all__ = ["Imports"]

_FILE = Field("file", "File", required=True, kind="file")
_KNOWN = "Say how this file is written, if you know it"
_PATIENCE_S = 2.0
"""So long an answer waits for what is under way; most files are read before one could look."""
_LOOK_AGAIN_S = 3
_CHECK_WITHIN_S, _STORE_WITHIN_S, _WITHDRAW_WITHIN_S = 600.0, 3600.0, 120.0
_LISTED = 15
MOST_MEMORY_MIB = 1024
"""[MiB] that reading one file may take. A CSV of 54 MiB takes 490, SenML 11 times its length, and one of which every
record has to be set aside 170 times that."""
_MOST_JSON_BYTES = 64 << 20
"""Of SenML, which is read as a whole: 64 MiB of ordinary records take 780 MiB of that memory, measured."""
_NO_WORD = (
    f"It ended without a word. Most likely it takes more memory than the {MOST_MEMORY_MIB} MiB that one file is given, "
    "or than there is: hand it in in parts."
)


class Imports:
    """Looks at files and stores them by `lullwort backfill`, one at a time; who leaves meanwhile stops nothing."""

    def __init__(
        self, settings: Settings, desk: Desk, workroom: Workroom, chosen: Callable[[Request], Settings]
    ) -> None:
        """
        Args:   chosen: the settings of whoever asks.
        """
        self._settings, self._desk, self._chosen = settings, desk, chosen
        self._most_mib = (settings.http or HttpSettings()).upload_mib
        self._uploads = Uploads(workroom, 2 * self._most_mib << 20)
        # A log of years is stored for minutes: what others look at, or enter, does not wait for it.
        self._checking = Commands(settings.book, most_mib=MOST_MEMORY_MIB)
        self._storing = Commands(settings.book, most_mib=MOST_MEMORY_MIB)
        self._withdrawing = Commands(settings.book)
        for commands in (self._checking, self._storing, self._withdrawing):
            desk.at_close(commands.end)

    def routes(self) -> list[Route]:
        """The addresses."""
        return [
            Route("/import", self._choose, methods=["GET", "POST"]),
            Route("/import/withdraw/{name}", self._withdraw, methods=["GET", "POST"]),
            Route("/import/{called}", self._look, methods=["GET", "POST"]),
            Route("/import/{called}/store/{check}", self._store, methods=["POST"]),
        ]

    # -- a file is handed in ---------------------------------------------------------------------------------------

    async def _choose(self, request: Request) -> Response:
        if request.method != "POST":
            return await self._chooser(request, {}, {})
        form = await posted(request)
        file, stated = form.files.get("file"), form.values
        fields = self._fields()
        faults = self._unfit(file) or refused(fields, stated)
        if faults or file is None:
            return await self._chooser(request, stated, faults)
        try:
            upload = await self._uploads.take(file)
        except TooManyHeldError:
            busy = f"{MOST_HELD} files are being read or stored just now: wait for one, and choose this again."
            return await self._chooser(request, stated, {"": busy}, 503)
        except OSError as exc:
            raise disk_fault(exc) from exc
        self._begin_check(upload, {field.name: stated.get(field.name, "") for field in fields})
        return await self._soon(upload)

    def _unfit(self, file: UploadFile | None) -> dict[str, str]:
        if file is None or (not file.filename and not file.size):
            return {"file": "No file was chosen."}
        name, size = safe_name(file.filename or "", "log"), file.size or 0
        if not size:
            return {"file": f"{name} is empty. Was it still being written when it was chosen?"}
        if size > self._most_mib << 20:
            return {"file": f"{name} is longer than the {self._most_mib} MiB that are taken here."}
        if size > _MOST_JSON_BYTES and Path(name).suffix.lower() in SENML_SUFFIXES:
            most = _MOST_JSON_BYTES >> 20
            return {"file": f"{name} is longer than the {most} MiB that are taken of JSON. Hand it in in parts."}
        return {}

    async def _chooser(
        self, request: Request, stated: Mapping[str, str], faults: Mapping[str, str], status: int = 422
    ) -> Response:
        past = await self._desk.ask(lambda cellar: cellar.book.imports.recent(_LISTED))
        units, token = self._chosen(request).units, visitor_of(request).form_token
        fields = (_FILE, *(field._replace(group=_KNOWN) for field in self._fields()))
        body = choose_page(fields, stated, faults, past, self._most_mib, token, units)
        return _answer("Import a log", body, status if faults else 200)

    def _fields(self, upload: Upload | None = None) -> tuple[Field, ...]:
        columns: Sequence[str] = [] if upload is None or upload.checked is None else upload.checked["columns"]
        return (*stating_fields(self._settings.mappings), *column_fields(columns))

    # -- it is looked at -------------------------------------------------------------------------------------------

    async def _look(self, request: Request) -> Response:
        stated = (await posted(request)).values if request.method == "POST" else None
        upload = self._uploads.find(request.path_params["called"])
        if upload is None:
            return await self._gone(request)
        if stated is None:
            return self._shown(request, upload)
        if upload.busy or upload.stored is not None:
            return _on_to(upload)
        fields = self._fields(upload)
        faults = refused(fields, stated)
        if faults:
            return self._refused(request, upload, stated, faults)
        self._begin_check(upload, {field.name: stated.get(field.name, "") for field in fields})
        return await self._soon(upload)

    async def _gone(self, request: Request) -> Response:
        past = await self._desk.ask(lambda cellar: cellar.book.imports.recent(_LISTED))
        return _answer("Gone", gone_page((one for one in past if one.unfinished), self._chosen(request).units), 404)

    def _shown(self, request: Request, upload: Upload) -> Response:
        """What there is of it now."""
        if upload.busy:
            return _answer(upload.name, waiting_page(upload.name, upload.doing, _address(upload)), again=True)
        if upload.stored is not None:
            return _answer(f"{upload.name} is stored", stored_page(upload.name, upload.stored))
        if upload.checked is None or upload.faults:
            return self._refused(request, upload, upload.stated, upload.faults)
        addresses = (_address(upload), f"{_address(upload)}/store/{upload.checks}")
        token, units = visitor_of(request).form_token, self._chosen(request).units
        body = dry_run_page(upload.name, upload.checked, self._fields(upload), upload.stated, addresses, token, units)
        return _answer(f"{upload.name}: how it would be read", body)

    def _refused(
        self, request: Request, upload: Upload, stated: Mapping[str, str], faults: Mapping[str, str]
    ) -> Response:
        token, fields = visitor_of(request).form_token, self._fields(upload)
        return _answer(upload.name, refused_page(upload.name, fields, stated, faults, _address(upload), token), 422)

    def _begin_check(self, upload: Upload, stated: Mapping[str, str]) -> None:
        upload.stated, upload.checks, upload.faults = stated, upload.checks + 1, {}
        words = ("backfill", "--dry-run", "--json", *options_of(stated), "--", upload.name)

        async def check() -> None:
            found = await self._document(self._checking, upload, words, _CHECK_WITHIN_S)
            upload.checked = found or upload.checked
            if found is not None:
                self._doubt_zone(upload, found)

        self._begin(upload, "It is being read to see what it holds; nothing is stored yet.", check())

    def _doubt_zone(self, upload: Upload, found: dict[str, Any]) -> None:
        """Nobody has said of this log in which zone its times are: that of the settings is asked about, filled in."""
        zone = assumed_zone(found, upload.stated, self._settings.mappings)
        if zone:
            found["doubts"] = [*found["doubts"], zone_doubt(found, zone)]
            found["assumed_zone"] = zone
            upload.stated = {**upload.stated, "zone": zone}

    # -- it is stored ----------------------------------------------------------------------------------------------

    async def _store(self, request: Request) -> Response:
        await posted(request)
        upload = self._uploads.find(request.path_params["called"])
        if upload is None:
            return await self._gone(request)
        shown = request.path_params["check"] == f"{upload.checks}" and not upload.faults
        settled = upload.checked is not None and not upload.checked["doubts"]
        if not upload.busy and upload.stored is None and shown and settled:
            words = (
                "backfill",
                "--store-only",
                "--json",
                "--as-proposed",
                *options_of(upload.stated),
                "--",
                upload.name,
            )

            async def store() -> None:
                upload.stored = await self._document(self._storing, upload, words, _STORE_WITHIN_S)
                if upload.stored is not None:
                    self._uploads.let_go(upload)

            self._begin(upload, "It is being stored.", store())
        return await self._soon(upload)  # which shows anew how it would be read, where that is not what was meant

    async def _document(
        self, commands: Commands, upload: Upload, words: Sequence[str], within_s: float
    ) -> dict[str, Any] | None:
        """What the command tells of the file; None where it was refused, and why is in `faults`."""
        try:
            ran = await commands.run(*words, within_s=within_s, patient=True, folder=upload.folder)
        except TimeoutError:
            late = f"It took longer than {within_s / 60.0:.0f} minutes and was given up. Hand it in in parts."
            upload.faults = {"": late}
            return None
        except (BusyError, OSError, ValueError):
            upload.faults = {"": "It could not be looked at: the service lacks what it needs. Try again in a minute."}
            return None
        if ran.code in (0, 1) and ran.out.startswith("{"):
            (found,) = json.loads(ran.out)["files"]
            return dict(found)
        if ran.code not in (0, 1, 2, 3):  # where memory ends, not everything has words for it
            upload.faults = {"": _NO_WORD}
            return None
        upload.faults = _faults(_shortly(ran), self._fields(upload), upload.name)
        meant = _ENCODING.search(ran.err)
        if meant is not None and "encoding" in upload.faults:
            upload.stated = {**upload.stated, "encoding": meant[1]}
        return None

    def _begin(self, upload: Upload, doing: str, work: Any) -> None:
        upload.doing = doing
        upload.work = asyncio.get_running_loop().create_task(work)

    async def _soon(self, upload: Upload) -> Response:
        """On to the page of the file, as soon as there is something to see, and before anybody loses patience."""
        if upload.work is not None:
            await asyncio.wait([upload.work], timeout=_PATIENCE_S)
        return _on_to(upload)

    # -- an import is taken back -----------------------------------------------------------------------------------

    async def _withdraw(self, request: Request) -> Response:
        name = request.path_params["name"]
        given = await posted(request) if request.method == "POST" else None
        one = await self._desk.ask(lambda cellar: _import_of(cellar, name))
        if one is None or one.live:
            raise HTTPException(404, "There is no such import.")
        token, chosen = visitor_of(request).form_token, self._chosen(request)
        if given is None or not one.in_use:
            return _answer(f"Take {one.place} back?", withdraw_page(one, token, chosen.units, {}))
        faults: Mapping[str, str]
        try:
            ran = await self._withdrawing.run("withdraw", one.name, within_s=_WITHDRAW_WITHIN_S, shown=chosen)
        except BusyError:
            faults = {"": "Others are being taken back just now, so this one was not. Try again in a minute."}
        except TimeoutError:
            faults = {"": "It took too long. Look in the list whether it was taken back."}
        else:
            if ran.done:
                __line, *said = filter(None, map(str.strip, ran.out.splitlines()))
                body = withdrawn_page(one, said)
                return _answer(f"{one.place} is taken back", body)
            faults = faults_of(ran, ())
        return _answer(f"Take {one.place} back?", withdraw_page(one, token, chosen.units, faults), 503)


_MOST_SAID = 2000
"""[characters] of why a file was refused, for what is quoted of it may be endless."""


def _shortly(ran: Ran) -> Ran:
    says = own_sentence(ran.err)
    return ran._replace(err=f"lullwort: {says}"[:_MOST_SAID] if says else ran.err[:_MOST_SAID])


_ENCODING = re.compile(r"--encoding (windows-1252|utf-16)")


def _faults(ran: Ran, fields: Sequence[Field], name: str) -> dict[str, str]:
    """As `faults_of`; but where the file `name` itself cannot be read nothing that the card needs has failed, and the
    sentence keeps its subject."""
    says = own_sentence(ran.err)
    if ran.code != _FILE_FAILED or not says.startswith(f"{name}: "):
        return faults_of(ran, fields)
    meant = _ENCODING.search(says)
    if meant is None:
        return {"": in_words(f"{name} {says[len(name) + 2 :]}", fields)}
    tried = "UTF-8" if meant[1] == "windows-1252" else "the encoding that was tried"
    called = next(dict(field.choices)[meant[1]] for field in fields if field.name == "encoding").partition(" (")[0]
    return {
        "encoding": f"{name} is not text in {tried}. {called} is filled in here: read it again so, and look whether "
        "its letters come out right."
    }


_FILE_FAILED = 3


def _import_of(cellar: Cellar, name: str) -> Imported | None:
    try:
        return cellar.book.imports.get(name)
    except RefusedError:
        return None


def _address(upload: Upload) -> str:
    return f"/import/{upload.called}"


def _on_to(upload: Upload) -> Response:
    return RedirectResponse(_address(upload), 303)


def _answer(title: str, body: Sequence[str], status: int = 200, *, again: bool = False) -> Response:
    """A page. Args: again: whether the browser asks for it again by itself [HTML, the `Refresh` header]."""
    headers = {"Refresh": f"{_LOOK_AGAIN_S}"} if again else {}
    return HTMLResponse(page(title, body, here="/import"), status, headers)
