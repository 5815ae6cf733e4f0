"""The card is loaded when somebody first looks, and once."""

from __future__ import annotations

import asyncio
import subprocess
import sys

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lullwort.card import OnDemand


def test_those_who_come_while_it_is_loaded_wait_for_one_loading() -> None:
    loaded: list[int] = []
    served: list[int] = []

    async def app(_scope: Scope, _receive: Receive, _send: Send) -> None:
        served.append(len(loaded))

    def load() -> ASGIApp:
        loaded.append(1)
        return app

    async def receive() -> Message:
        raise AssertionError

    async def send(_: Message) -> None:
        raise AssertionError

    async def asked() -> None:
        card = OnDemand(load)
        assert loaded == []
        await asyncio.gather(*(card({"type": "http"}, receive, send) for _ in range(3)))

    asyncio.run(asked())
    assert served == [1, 1, 1]


def test_a_service_that_nobody_looks_at_has_loaded_no_pages(unmeasured: None) -> None:  # noqa: ARG001
    code = (
        "import sys, lullwort.tend.facing, lullwort.card as card; card.Guard, card.Desk, card.Ahead, card.News\n"
        "print(*(name for name in ('app', 'page', 'cellar', 'facts') if f'lullwort.card.{name}' in sys.modules))\n"
        "print(*(name for name in ('forecast', 'exporting') if f'lullwort.{name}' in sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert run.stdout.split() == []
