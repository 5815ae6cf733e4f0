"""What goes out as files: the sheet of a batch, its calendar, its readings and its record.

Each is made by the command that makes it at a terminal, in a process and a folder of its own.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from typing import NamedTuple

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from lullwort.card.commands.commands import BusyError, Commands, Ran
from lullwort.card.commands.said import own_sentence
from lullwort.card.files.asker import while_there
from lullwort.card.files.filenames import safe_name
from lullwort.card.files.sent import FileKind, SentFile
from lullwort.card.files.workroom import Workroom
from lullwort.card.known.cellar import Cellar
from lullwort.card.known.desk import Desk
from lullwort.card.pages.markup import batch_path
from lullwort.card.pages.page import page
from lullwort.exporting import escaped
from lullwort.records import Batch
from lullwort.settings import Settings
from lullwort.standing import owned_span

__all__ = ["Downloads"]

_WITHIN_S = 120.0
_LATE = "It took too long to write, and was given up. Try again when less is going on."
_BUSY = "So many files are being written just now that this one was not begun. Try again in a minute."
_AGAIN = {"Retry-After": "60"}
_OF_READINGS = (".csv", ".parquet")

KINDS = {
    "sheet": FileKind(".html", "text/html; charset=utf-8"),
    "calendar.ics": FileKind(".ics", "text/calendar; charset=utf-8"),
    "readings.csv": FileKind(".csv", "text/csv; charset=utf-8"),
    "readings.parquet": FileKind(".parquet", "application/vnd.apache.parquet"),
    "record.json": FileKind(".json", "application/json"),
}
"""By the end of the address. [RFC5545, RFC7111, RFC8259; of Parquet the entry in the registry of the IANA.]"""


class _About(NamedTuple):
    """The batch that is asked for, and whether any reading of it is on record."""

    batch: Batch
    readings: bool


class Downloads:
    """Answers for the files of every batch."""

    def __init__(
        self, desk: Desk, commands: Commands, workroom: Workroom, chosen: Callable[[Request], Settings]
    ) -> None:
        """
        Args:   commands: runs those that only read, beside those that write.
                chosen: the settings of whoever asks.
        """
        self._desk, self._commands, self._workroom, self._chosen = desk, commands, workroom, chosen

    def routes(self) -> list[Route]:
        """The addresses."""
        return [Route(f"/batch/{{batch}}/{end}", self._answer(end)) for end in KINDS]

    def _answer(self, end: str) -> Callable[[Request], Awaitable[Response]]:
        async def answer(request: Request) -> Response:
            return await self._sent(request, end)

        return answer

    async def _sent(self, request: Request, end: str) -> Response:
        kind, name = KINDS[end], request.path_params["batch"]
        about = await self._desk.ask(lambda cellar: _about(cellar, name))
        if about is None:
            raise HTTPException(404)
        if kind.suffix in _OF_READINGS and not about.readings:
            return _refused(about.batch, f"No reading of {name} is on record yet, so there is nothing to write.", 409)
        folder = self._workroom.folder()
        given_on = False
        try:
            path = folder / f"out{kind.suffix}"
            words = (
                ("sheet", f"--html={path}", "--", name) if end == "sheet" else ("export", f"--batch={name}", str(path))
            )
            work = self._commands.run(*words, within_s=_WITHIN_S, shown=self._chosen(request))
            ran = await while_there(request, work)
            if not path.exists():
                return _refused(about.batch, *_why(ran))
            shown = end == "sheet" and "save" not in request.query_params
            sent = SentFile(path, kind, safe_name(name, "batch"), lambda: self._workroom.remove(folder), shown=shown)
            given_on = True  # which removes it once it is sent
            return sent
        except (BusyError, TimeoutError) as exc:
            return _refused(about.batch, _BUSY if isinstance(exc, BusyError) else _LATE, 503, _AGAIN)
        finally:
            if not given_on:
                self._workroom.remove(folder)


def _about(cellar: Cellar, name: str) -> _About | None:
    batches = cellar.book.batches.all()
    batch = next((one for one in batches if one.name == name), None)
    if batch is None:
        return None
    span = owned_span(batch, [one for one in batches if one.vessel == batch.vessel])
    return _About(batch, any(len(block) for block in cellar.book.readings.reports(batch.vessel, *span)))


def _why(ran: Ran) -> tuple[str, int]:
    """Why there is no file, and the status of the answer."""
    says = own_sentence(ran.err)
    if ran.code == 1 and says:
        return f"{says[:1].upper()}{says[1:]}.", 409
    return "It could not be written: something that it needs failed. What the service logs may tell more.", 503


def _refused(batch: Batch, says: str, status: int, headers: Mapping[str, str] | None = None) -> Response:
    name = escaped(batch.name)
    body = [
        f"<h1>No file of {name}</h1>",
        f'<p class="wrong" role="alert">{escaped(says)}</p>',
        f'<p class="way"><a href="{batch_path(batch.name)}">Back to {name}</a></p>',
    ]
    return HTMLResponse(page(f"No file of {batch.name}", body), status, headers)
