"""What is told of a cellar at a look, and once a day."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from lullwort.alerts import AlertSettings, Quiet
from lullwort.cellarbook import Book, open_book
from lullwort.detector import Judged, Units, judge
from lullwort.records import HOUR_US, Alert, Subject, VesselReadings, parse_instant
from lullwort.rehearsal import invent
from lullwort.tend import CellarWatch, Judging

NOON_US = parse_instant("2026-03-02T12:00:00Z")
EIGHT_US = parse_instant("2026-03-03T08:00:00Z")


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(tmp_path / "cellar.book") as book:
        yield book


def watch_of(book: Book, settings: AlertSettings) -> CellarWatch:
    quiet = Quiet(None, ZoneInfo("UTC"))
    return CellarWatch(book, Judging(book, NOON_US), settings, Units(zone="UTC"), quiet, NOON_US, 0)


def judged_after(hours: int) -> Judged:
    ale = invent("plain ale", 1)
    until_us = ale.batch.pitched_us + hours * HOUR_US
    return judge(ale.batch, VesselReadings.of([r for r in ale.readings if r.at_us < until_us]), as_of_us=until_us)


def digests(watch: CellarWatch, judged: list[Judged], standing: dict[Subject, Alert]) -> list[str]:
    """What is told once a day over two days, looked at every hour."""
    told = []
    for hour in range(48):
        now_us = NOON_US + hour * HOUR_US
        told += [(now_us, one.says) for one in watch.look(judged, standing, now_us) if one.kind == "digest"]
    assert [at_us for at_us, _ in told] == [EIGHT_US, EIGHT_US + 24 * HOUR_US]
    return [says for _, says in told]


def test_the_digest_comes_once_a_day_and_says_until_when_nothing_is_needed(book: Book) -> None:
    watch = watch_of(book, AlertSettings(digest=8 * 60))
    first, _ = digests(watch, [judged_after(40)], {})
    assert first == "plain-ale-1: fermenting\nNothing needed before Wed 4 Mar 2026 08:00 UTC."


def test_a_beer_that_may_be_ready_sooner_is_needed_sooner(book: Book) -> None:
    watch = watch_of(book, AlertSettings(digest=8 * 60))
    holding = judged_after(140)
    assert holding.verdict == "holding"
    assert 4 <= (holding.now.hours_to_go or 0) <= 40
    first, _ = digests(watch, [holding], {})
    assert "Nothing needed before Wed 4 Mar 2026 08:00 UTC." not in first
    assert "Nothing needed before" in first


def test_what_still_waits_for_somebody_is_said_instead(book: Book) -> None:
    watch = watch_of(book, AlertSettings(digest=8 * 60))
    stalled = Alert(kind="stalled", about="b", on=True, at_us=0, batch="b", title="b has stalled", says="")
    tested = Alert(kind="test", about="", on=True, at_us=0, title="Lullwort: a test alert", says="")
    first, _ = digests(watch, [], {stalled.subject: stalled, tested.subject: tested})
    assert first == "No batch is open.\nStill so, and waiting for you:\nb has stalled"


def test_without_one_in_the_settings_there_is_no_digest(book: Book) -> None:
    watch = watch_of(book, AlertSettings())
    assert not [a for h in range(48) for a in watch.look([], {}, NOON_US + h * HOUR_US) if a.kind == "digest"]
