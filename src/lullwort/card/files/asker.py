"""Whoever asks for a page: what is made for him alone is not made on once he is gone."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from typing import Any, TypeVar

from starlette.requests import ClientDisconnect, Request

__all__ = ["while_there"]

Made = TypeVar("Made")


async def while_there(request: Request, work: Coroutine[Any, Any, Made]) -> Made:
    """What comes of `work`, which is cancelled, and has ended, where it is not waited for any longer.

    Raises: ClientDisconnect where the browser goes away first; what `work` raises.
    """
    doing, left = asyncio.ensure_future(work), asyncio.ensure_future(_left(request))
    try:
        await asyncio.wait((doing, left), return_when=asyncio.FIRST_COMPLETED)
        if not doing.done():
            raise ClientDisconnect
        return doing.result()
    finally:
        doing.cancel()
        left.cancel()
        await asyncio.gather(doing, left, return_exceptions=True)


async def _left(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        pass  # of a body, which nobody asked for
