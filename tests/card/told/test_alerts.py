"""Alerts at the card: what stands, how far each has come, and that somebody has seen it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from lullwort.card.commands.commands import BusyError, Commands
from lullwort.cellarbook import open_book
from lullwort.records import Alert

pytestmark = pytest.mark.usefixtures("unmeasured")

Guest = Any  # the classes of these fixtures live in conftest.py
HOSTILE = "<b onclick=alert(1)>attic</b>"
STALLED = Alert(
    kind="stalled", about="attic-1", on=True, at_us=1_700_000_000_000_000, vessel="attic", batch="attic-1",
    title=f"{HOSTILE} has stalled", says="It stopped at 1.025.\nRouse the yeast.",
)  # fmt: skip
READY = Alert(
    kind="ready", about="north-1", on=True, at_us=1_700_000_100_000_000, vessel="north", batch="north-1", urgent=True,
    title="READY TO PACKAGE: north-1", says="It may be packaged.",
)  # fmt: skip
DIGEST = Alert(
    kind="digest", about="", on=True, at_us=1_700_000_200_000_000, title="The cellar today", says="All is well."
)


@pytest.fixture
def told(own_cellar: Path) -> Path:
    """A book with two alerts that stand: one delivered to one of two, and one whose ways out failed."""
    with open_book(own_cellar) as book:
        book.outbox.put([STALLED, READY], ["push", "webhook"], 1_700_000_300_000_000)
        book.outbox.put([DIGEST], [], 1_700_000_300_000_000)
        book.outbox.delivered(READY, "push", 1_700_000_400_000_000)
        book.outbox.failed(READY, "webhook", "the webhook answered 500", 1_700_000_500_000_000)
        book.outbox.failed(STALLED, "push", "no address can be read", None)
    return own_cellar


@pytest.fixture
def guest(told: Path, served_with: Callable[..., Any], guest_at: Callable[[str], Guest]) -> Iterator[Guest]:
    with served_with(told) as served:
        yield guest_at(served.url)


def test_an_alert_that_was_seen_stands_on_but_stands_out_no_longer(guest: Guest, told: Path) -> None:
    before = guest.get("/alerts")
    standing, _, lately = before.words.partition("Lately")
    assert "Urgent: READY TO PACKAGE: north-1" in standing
    assert "Told by push Tue 14 Nov 2023 22:20 UTC" in standing
    assert "Not told to the webhook yet: the webhook answered 500; next try" in standing
    assert "Not told by push, and given up: no address can be read" in standing
    assert "It is delivered all the same" in standing
    assert HOSTILE in standing
    assert "<b onclick" not in before.text
    assert "The cellar today" in lately
    assert "Shown here only." in lately
    assert "Shown here only: no alert leaves this machine. To be told elsewhere, set push_file" in standing
    assert "READY TO PACKAGE" in guest.get("/").words or "ready since" in guest.get("/").words
    with open_book(told) as book:
        name = next(one.name for one in book.outbox.standing_on() if one.alert == READY)
        due = len(book.outbox.due(1_800_000_000_000_000, 9))
    guest.get("/alerts")
    after = guest.post(f"/alerts/{name}/seen")
    assert (after.status, after.path) == (200, "/alerts")
    assert f"/alerts/{name}/seen" not in after.text
    assert after.words.index(HOSTILE) < after.words.index("READY TO PACKAGE: north-1")  # what asks comes first
    assert "Urgent" not in after.words
    with open_book(told) as book:
        seen = next(one for one in book.outbox.standing_on() if one.alert == READY)
        assert seen.seen_us is not None
        assert len(book.outbox.due(1_800_000_000_000_000, 9)) == due
    page = guest.get("/vessel/north")
    assert "Still so: READY TO PACKAGE: north-1 , seen" in page.words
    assert "Say that you have seen it" not in page.words
    assert "Say that you have seen it" in guest.get("/vessel/attic").words
    overview = guest.get("/").words
    assert "Still so: ready, seen" in overview
    assert "Alert: stalled since" in overview
    with open_book(told) as book:  # taken back, and so again: that is another one
        book.outbox.put([msgspec.structs.replace(READY, on=False, at_us=READY.at_us + 1)], [], 1)
        book.outbox.put([READY], [], 2)
    assert "Urgent: READY TO PACKAGE: north-1" in guest.get("/alerts").words


def test_so_much_is_entered_that_this_has_to_wait(guest: Guest, monkeypatch: pytest.MonkeyPatch) -> None:
    async def busy(*_words: str, **_how: object) -> None:
        raise BusyError

    monkeypatch.setattr(Commands, "run", busy)
    guest.get("/import")
    page = guest.post("/alerts/0123456789/seen")
    assert (page.status, "<h1>Not just now</h1>" in page.text) == (503, True)
    assert "Too much is being entered just now: try again in a minute." in page.words


def test_what_cannot_be_seen_is_told(guest: Guest) -> None:
    guest.get("/alerts")
    assert guest.post("/alerts/0000000000/seen").status == 404
    assert guest.post("/alerts/--help/seen").status == 404
    assert guest.post("/alerts/0000000000/seen", token="somebody else's").status == 403
    assert guest.get("/alerts/0000000000/seen").status == 405
