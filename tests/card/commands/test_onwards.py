"""What is kept for the page that comes next."""

from __future__ import annotations

import asyncio

import pytest

from lullwort.card.commands.onwards import OnceOnly, Told


def test_a_note_is_shown_once_to_its_visitor_alone_and_the_oldest_go() -> None:
    told = Told()
    called = told.keep("ann", "<p>done</p>")
    assert told.take("bob", called) == ""
    assert told.take("ann", called) == "<p>done</p>"
    assert told.take("ann", called) == ""
    first = told.keep("ann", "first")
    for _ in range(200):
        last = told.keep("ann", "more")
    assert told.take("ann", first) == ""
    assert told.take("ann", last) == "more"


def test_the_same_thing_is_done_once_until_ten_minutes_have_gone() -> None:
    now, done = [0.0], []
    once: OnceOnly[int] = OnceOnly(lambda came: came > 0, clock=lambda: now[0])

    async def work() -> int:
        await asyncio.sleep(0)
        done.append(1)
        return len(done)

    async def asked() -> None:
        assert sorted(await asyncio.gather(once.do("a", work), once.do("a", work))) == [(1, False), (1, True)]
        assert await once.do("a", work) == (1, True)
        assert await once.do("b", work) == (2, False)
        now[0] = 601.0
        assert await once.do("a", work) == (3, False)

    asyncio.run(asked())


def test_what_came_to_nothing_may_be_asked_for_again() -> None:
    once: OnceOnly[int] = OnceOnly(lambda came: came > 0)
    came = iter([0, 0, 5])

    async def work() -> int:
        return next(came)

    async def fails() -> int:
        raise OSError("gone")

    async def asked() -> None:
        assert await once.do("a", work) == (0, False)
        assert await once.do("a", work) == (0, False)
        assert await once.do("a", work) == (5, False)
        for _ in range(2):
            with pytest.raises(OSError, match="gone"):
                await once.do("b", fails)

    asyncio.run(asked())


def test_who_goes_away_does_not_stop_what_was_begun() -> None:
    once: OnceOnly[int] = OnceOnly(lambda came: came > 0)

    async def asked() -> None:
        gate = asyncio.Event()

        async def work() -> int:
            await gate.wait()
            return 7

        first = asyncio.ensure_future(once.do("a", work))
        await asyncio.sleep(0)
        first.cancel()
        await asyncio.sleep(0)
        gate.set()
        assert await once.do("a", work) == (7, True)

    asyncio.run(asked())
