"""A file that a command has written, sent to whoever asked for it, and then removed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from starlette.responses import FileResponse
from starlette.types import Receive, Scope, Send

__all__ = ["SHEET_POLICY", "FileKind", "SentFile"]

SHEET_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; sandbox"
)
"""Of a page that stands on its own: it has its style within, and no script of anybody would run in it [CSP3]."""


class FileKind(NamedTuple):
    """What a file is: its suffix, and its media type as the IANA has it registered."""

    suffix: str
    media: str


class SentFile(FileResponse):
    """Streams a file from the disk, and calls `then` whether or not it could be sent as a whole."""

    def __init__(self, path: Path, kind: FileKind, name: str, then: Callable[[], None], *, shown: bool = False) -> None:
        """
        Args:   name:  under which a browser keeps it, without suffix.
                shown: in the browser, and not kept as a file.
        """
        headers = {}
        if kind.media.startswith("text/html"):
            headers["Content-Security-Policy"] = SHEET_POLICY
        super().__init__(
            path, media_type=kind.media, filename=f"{name}{kind.suffix}", headers=headers, stat_result=path.stat(),
            content_disposition_type="inline" if shown else "attachment",
        )  # fmt: skip
        self._then = then

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """As every ASGI application is called."""
        try:
            await super().__call__(scope, receive, send)
        finally:
            self._then()
