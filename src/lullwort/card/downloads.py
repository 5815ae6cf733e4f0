"""What goes out as files: the sheet of a batch, its calendar, its readings and its record.

Each is made by the command that makes it at a terminal, in a process and a folder of its own.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import NamedTuple

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from lullwort.card.cellar import Cellar
from lullwort.card.commands import Commands, Ran
from lullwort.card.desk import Desk
from lullwort.card.filenames import safe_name
from lullwort.card.page import page
from lullwort.card.sent import FileKind, SentFile
from lullwort.card.workroom import Workroom
from lullwort.exporting import escaped
from lullwort.records import Batch
from lullwort.settings import Settings
from lullwort.standing import owned_span

__all__ = ["Downloads"]

_WITHIN_S = 120.0
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
        try:
            path = folder / f"out{kind.suffix}"
            words = (
                ("sheet", f"--html={path}", "--", name) if end == "sheet" else ("export", f"--batch={name}", str(path))
            )
            ran = await self._commands.run(*words, within_s=_WITHIN_S, shown=self._chosen(request))
            if not path.exists():
                self._workroom.remove(folder)
                return _refused(about.batch, *_why(ran))
            shown = end == "sheet" and "save" not in request.query_params
            return SentFile(path, kind, safe_name(name, "batch"), lambda: self._workroom.remove(folder), shown=shown)
        except TimeoutError:
            self._workroom.remove(folder)
            return _refused(
                about.batch, "It took too long to write, and was given up. Try again when less is going on.", 503
            )
        except BaseException:
            self._workroom.remove(folder)
            raise


def _about(cellar: Cellar, name: str) -> _About | None:
    batches = cellar.book.batches.all()
    batch = next((one for one in batches if one.name == name), None)
    if batch is None:
        return None
    span = owned_span(batch, [one for one in batches if one.vessel == batch.vessel])
    return _About(batch, any(len(block) for block in cellar.book.readings.reports(batch.vessel, *span)))


def _why(ran: Ran) -> tuple[str, int]:
    """Why there is no file, and the status of the answer."""
    _, ours, says = f"\n{ran.err}".rpartition("\nlullwort: ")
    if ran.code == 1 and ours:
        return f"{says.strip()[:1].upper()}{says.strip()[1:]}.", 409
    return "It could not be written: something that it needs failed. What the service logs may tell more.", 503


def _refused(batch: Batch, says: str, status: int) -> Response:
    name = escaped(batch.name)
    body = [
        f"<h1>No file of {name}</h1>",
        f'<p class="wrong" role="alert">{escaped(says)}</p>',
        f'<p class="way"><a href="/batch/{name}">Back to {name}</a></p>',
    ]
    return HTMLResponse(page(f"No file of {batch.name}", body), status, {"Cache-Control": "no-store"})
