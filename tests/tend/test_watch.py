"""What is told of a cellar at a look, and once a day."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import msgspec
import numpy as np
import pytest

from lullwort.alerts import AlertSettings, Quiet
from lullwort.cellarbook import Book, Intake, open_book
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.detector import Judged, Units, judge
from lullwort.records import COMMON_UNITS, HOUR_US, Alert, SetAside, Subject, VesselReadings, parse_instant
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
    return CellarWatch(book, Judging(book, NOON_US), settings, Units(zone="UTC"), quiet, NOON_US, None)


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
    holding = judged_after(156)
    assert holding.verdict == "holding"
    assert 4 <= (holding.now.hours_to_go or 0) <= 40
    first, _ = digests(watch, [holding], {})
    assert "Nothing needed before Wed 4 Mar 2026 08:00 UTC." not in first
    assert "Nothing needed before" in first


def test_what_still_waits_for_somebody_is_said_instead(book: Book) -> None:
    watch = watch_of(book, AlertSettings(digest=8 * 60))
    tested = Alert(kind="test", about="", on=True, at_us=0, title="Lullwort: a test alert", says="")
    ready = judged_after(300)
    told = {one.subject: one for one in watch.look([ready], {}, NOON_US)}
    first, _ = digests(watch, [ready], {**told, tested.subject: tested})
    assert first == "plain-ale-1: ready\nStill so, and waiting for you:\nREADY TO PACKAGE: plain-ale-1"


def test_without_one_in_the_settings_there_is_no_digest(book: Book) -> None:
    watch = watch_of(book, AlertSettings())
    assert not [a for h in range(48) for a in watch.look([], {}, NOON_US + h * HOUR_US) if a.kind == "digest"]


def packaged(judged: Judged) -> Judged:
    closed = msgspec.structs.replace(judged.batch, packaged_us=judged.as_of_us - HOUR_US)
    return judge(closed, VesselReadings.of(invent("plain ale", 1).readings), as_of_us=judged.as_of_us)


def test_the_end_of_a_batch_is_no_news_and_the_digest_forgets_it(book: Book) -> None:
    watch = watch_of(book, AlertSettings(digest=8 * 60))
    ready = judged_after(300)
    told = {one.subject: one for one in watch.look([ready], {}, NOON_US) if one.kind == "ready"}
    stalled = Alert(
        kind="stalled", about=ready.batch.name, on=True, at_us=0, batch=ready.batch.name, title="s", says=""
    )
    first, _ = digests(watch, [packaged(ready)], {**told, stalled.subject: stalled})
    assert first == "No batch is open.\nNothing needed before Wed 4 Mar 2026 08:00 UTC."
    assert not [a for a in watch.look([packaged(ready)], told, NOON_US + 1) if a.kind in ("ready", "stalled")]


def test_a_reading_without_a_battery_says_nothing_of_it(book: Book) -> None:
    ale = invent("plain ale", 1)
    book.batches.put(ale.batch)
    run = book.imports.begin(Intake("broker", "here", "00" * 32, open_ended=True), NOON_US)
    builder = BlockBuilder(COMMON_UNITS)
    vessel = ale.batch.vessel
    for minute, volts in ((0, 3.1), (15, np.nan)):
        at_us = ale.batch.pitched_us + minute * 60_000_000
        builder.add(vessel, vessel, at_us, [1.05, 20.0, np.nan, volts, np.nan], 0)
    run.store(builder.build())
    run.commit()
    judging = Judging(book, NOON_US)
    judging.judge(NOON_US)
    watch = CellarWatch(book, judging, AlertSettings(), Units(), Quiet(None, ZoneInfo("UTC")), NOON_US, None)
    assert ("battery low", vessel) in {alert.subject for alert in watch.look([], {}, NOON_US)}


def test_a_clock_that_was_set_is_told_once_and_until_it_is_on_record(book: Book) -> None:
    watch = watch_of(book, AlertSettings())
    watch.clock_set(72 * HOUR_US, NOON_US)
    (told,) = watch.look([], {}, NOON_US)
    assert (told.kind, told.on) == ("clock set", True)
    assert "It was set forward by 3 days and shows Mon 2 Mar 2026 12:00 UTC now." in told.says
    assert watch.look([], {}, NOON_US) == [told]  # it could not be put away
    assert watch.look([], {told.subject: told}, NOON_US) == []


def test_what_was_told_of_a_sensors_clock_stands_over_a_new_start(book: Book) -> None:
    ale = invent("plain ale", 1)
    book.batches.put(ale.batch)
    vessel, now_us = ale.batch.vessel, ale.batch.pitched_us + HOUR_US
    run = book.imports.begin(Intake("broker", "here", "00" * 32, open_ended=True), now_us)
    builder = BlockBuilder(COMMON_UNITS)
    builder.add(vessel, vessel, ale.batch.pitched_us, [1.05, 20.0, np.nan, np.nan, np.nan], 0)
    block = builder.build()
    run.store(block)
    run.commit()
    judging = Judging(book, now_us)
    judging.judge(now_us)
    watch = CellarWatch(book, judging, AlertSettings(), Units(), Quiet(None, ZoneInfo("UTC")), now_us, None)
    wrong = Alert(kind="sensor clock", about=vessel, on=True, at_us=0, sensor=vessel, title="w", says="")
    assert watch.look([], {wrong.subject: wrong}, now_us) == []
    watch.hear([block], [], ale.batch.pitched_us + 60_000_000)  # in time
    (over,) = watch.look([], {wrong.subject: wrong}, now_us + 60_000_000)
    assert (over.subject, over.on) == (wrong.subject, False)


def test_a_batch_from_whose_vessel_nothing_comes_or_nothing_usable_is_told(book: Book) -> None:
    batch = invent("plain ale", 1).batch
    book.batches.put(batch)
    start_us = batch.pitched_us
    judging = Judging(book, start_us)
    judging.judge(start_us)
    watch = CellarWatch(book, judging, AlertSettings(), Units(), Quiet(None, ZoneInfo("UTC")), start_us, None)
    assert watch.look([], {}, start_us + HOUR_US) == []
    watch.hear([], [SetAside("a/b", 0, "gravity", "x", "a number", "x", batch.vessel)] * 2, start_us + HOUR_US)
    (told,) = watch.look([], {}, start_us + 3 * HOUR_US)
    assert told.title == f"Nothing is heard from {batch.vessel}"
    assert "Since then 2 messages came without a reading that can be used; the last: a/b: gravity is 'x'" in told.says
