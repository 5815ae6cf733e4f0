"""What the card knows of a batch is what the commands say of it at that moment, and is made anew when it must be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
import numpy as np
import pytest

from lullwort.analysis import CourseReadings
from lullwort.card import Cellar, Tended
from lullwort.card.known.cellar import _MOST_OTHERS
from lullwort.card.known.facts import batch_facts
from lullwort.card.known.heldreadings import HeldReadings
from lullwort.card.vessels.overview import overview
from lullwort.cellarbook import Book, Intake, open_book
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.detector import Judged, Units
from lullwort.records import COMMON_UNITS, HOUR_US, Batch, Event, Reading, SetAside
from lullwort.standing import judge_book
from lullwort.tend.judging import Judging

MINUTE_US = 60_000_000
UNITS = Units(zone="UTC")


def told(judged: Judged, danger: bool) -> tuple[object, ...]:
    return judged.verdict, judged.history, judged.now.passed, danger, judged.used


class Kept(NamedTuple):
    """A cellar beside the service's own judging, which reads the book through a connection of its own."""

    book: Book
    judging: Judging
    cellar: Cellar
    now_us: list[int]

    def batch(self, name: str) -> Batch:
        return self.book.batches.get(name)

    def enter(self, batch: Batch) -> None:
        self.book.batches.put(batch, update=True)

    def said(self, name: str) -> tuple[object, ...]:
        facts = self.cellar.batch(name)
        assert facts is not None
        return told(facts.judged, facts.sheet.danger.any)

    def by_commands(self, name: str) -> tuple[object, ...]:
        """What `lullwort verdict` has in hand at this moment, with the danger that it tells."""
        batch, (now_us,) = self.batch(name), self.now_us
        (entry,) = judge_book(self.book, batch.vessel, None, now_us=now_us, only={name})
        judged = entry.judged
        assert judged is not None
        danger = batch_facts(self.book, batch, judged, now_us).sheet.danger.any
        return told(judged.told_by(now_us), danger)


@contextmanager
def kept(path: Path, at: str, after_min: int = 7) -> Iterator[Kept]:
    """All of it judged so many minutes after the newest reading of `at`, within the hour where none are named."""
    with open_book(path) as book, open_book(path) as own:
        now_us = [(own.newest_us(at) or 0) + after_min * MINUTE_US]
        judging = Judging(own, now_us[0])
        judging.judge(now_us[0])

        def tended() -> Tended:
            return Tended(judging.by_name(), "", judging.revision)

        yield Kept(book, judging, Cellar(book, tended, lambda: now_us[0]), now_us)


def closed(batch: Batch, now_us: int) -> Batch:
    return msgspec.structs.replace(batch, packaged_us=now_us)


def hopped(batch: Batch, now_us: int) -> Batch:
    hops = Event(at_us=now_us, kind="dry hop", note="Ella")
    return msgspec.structs.replace(batch, events=(*batch.events, hops))


def sampled(batch: Batch, now_us: int) -> Batch:
    drawn = Event(at_us=now_us, kind="sample", gravity=1.0302)
    return msgspec.structs.replace(batch, events=(*batch.events, drawn))


def edited(batch: Batch, _now_us: int) -> Batch:
    return msgspec.structs.replace(batch, expected_final_gravity=(1.001, 1.002))


@pytest.mark.parametrize("name", ["north-1", "south-1"], ids=["proved", "unproved"])
@pytest.mark.parametrize("entry", [closed, hopped, sampled, edited])
def test_what_was_entered_this_moment_is_on_the_page_as_the_commands_say_it(
    own_cellar: Path, name: str, entry: Callable[[Batch, int], Batch]
) -> None:
    # An hour after its newest reading the service, which has just begun, waits for those that are on their way.
    with kept(own_cellar, name.removesuffix("-1"), 7 if entry is closed else 70) as at_work:
        before = at_work.said(name)
        at_work.enter(entry(at_work.batch(name), at_work.now_us[0]))
        at_once = at_work.said(name)
        assert at_once == at_work.by_commands(name)
        at_work.judging.judge(at_work.now_us[0])  # the service has taken it up, and judges the hours that have closed
        assert at_work.said(name) == at_once
        if entry is closed:
            assert (before[0], at_once[0]) in {("ready", "packaged"), ("fermenting", "packaged")}
            assert at_once[3] == (name == "south-1")  # of what was not proved to have ended it warns


def imported(book: Book, readings: list[Reading]) -> None:
    """A log that is complete, as an import by hand."""
    builder = BlockBuilder(COMMON_UNITS)
    for r in readings:
        builder.add(r.sensor, r.vessel, r.at_us, [r.gravity or np.nan, np.nan, np.nan, np.nan, np.nan], 0)
    run = book.imports.begin(Intake("csv", "a.csv", "ab" * 32), 1)
    run.store(builder.build())
    run.finish(2)


def test_a_log_that_was_imported_this_moment_counts_before_the_service_has_taken_it_up(own_cellar: Path) -> None:
    with kept(own_cellar, "south") as at_work:
        before = at_work.said("south-1")
        pitched_us = at_work.batch("south-1").pitched_us
        between = [Reading("other", "south", pitched_us + n * HOUR_US + 90_000_000, 1.049, None) for n in range(20)]
        imported(at_work.book, between)
        at_once = at_work.said("south-1")
        assert at_once == at_work.by_commands("south-1") != before
        at_work.judging.judge(at_work.now_us[0])
        assert at_work.said("south-1") == at_once


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Batches of which the facts have been made, each time that they were."""
    names: list[str] = []

    def counted(book: Book, batch: Batch, judged: Judged | None, now_us: int) -> Any:
        names.append(batch.name)
        return batch_facts(book, batch, judged, now_us)

    monkeypatch.setattr("lullwort.card.known.cellar.batch_facts", counted)
    return names


def test_an_entry_makes_the_facts_of_its_own_batch_anew_and_of_no_other(own_cellar: Path, made: list[str]) -> None:
    with kept(own_cellar, "south") as at_work:
        at_work.cellar.vessels()
        assert len(made) == len(set(made)) == 7
        made.clear()
        at_work.enter(hopped(at_work.batch("south-1"), at_work.now_us[0]))
        at_work.cellar.vessels()
        at_work.judging.judge(at_work.now_us[0])
        at_work.cellar.vessels()
        assert set(made) == {"south-1"}


def test_of_more_vessels_than_are_held_beside_each_is_made_once_whoever_looks(tmp_path: Path, made: list[str]) -> None:
    names = [f"v{nth}" for nth in range(_MOST_OTHERS + 30)]
    at_us = 1_772_442_000_000_000
    with open_book(tmp_path / "cellar.book") as book:
        for nth, name in enumerate(names):
            packaged_us = at_us + 40 * HOUR_US if nth % 2 else None
            book.batches.put(Batch(vessel=name, name=f"{name}-1", pitched_us=at_us, packaged_us=packaged_us))
        cellar = Cellar(book, lambda: Tended({}, ""), lambda: at_us + 60 * HOUR_US)
        while cellar.make_ahead():
            pass
        assert sorted(made) == sorted(f"{name}-1" for name in names)
        made.clear()
        for _ in range(2):
            overview(cellar.vessels(), UNITS, cellar.now_us())
        assert not cellar.make_ahead()
        for name in names:
            assert cellar.vessel(name) is not None
        assert made == []


def test_rows_set_aside_and_what_is_dated_ahead_show_when_their_time_comes(own_cellar: Path, made: list[str]) -> None:
    with kept(own_cellar, "north") as at_work:
        facts = at_work.cellar.batch("north-1")
        assert facts is not None
        aside = SetAside("live", 7, "gravity", "wild", "a gravity", "f1 wild", "north")
        run = at_work.book.imports.begin(Intake("broker", "elsewhere", "cd" * 32, open_ended=True), 1)
        run.store(BlockBuilder(COMMON_UNITS).build(), [aside])
        run.commit()
        more = at_work.cellar.batch("north-1")
        assert more is not None
        assert more.set_aside == facts.set_aside + 1
        ahead_us = at_work.now_us[0] + 10 * MINUTE_US
        at_work.enter(hopped(at_work.batch("north-1"), ahead_us))
        at_work.judging.judge(at_work.now_us[0])
        before = at_work.cellar.batch("north-1")
        assert before is not None
        assert ahead_us not in {event.at_us for event in before.sheet.batch.events}
        made.clear()
        at_work.now_us[0] = ahead_us + MINUTE_US
        then = at_work.cellar.batch("north-1")
        assert made == ["north-1"]
        assert then is not None
        assert ahead_us in {event.at_us for event in then.sheet.batch.events}
        assert at_work.said("north-1") == at_work.by_commands("north-1")


def test_what_was_never_measured_is_judged_anew_the_less_often_the_older_it_is(tmp_path: Path, made: list[str]) -> None:
    pitched_us = 1_772_442_000_000_000
    now_us = [pitched_us + 48 * HOUR_US]
    with open_book(tmp_path / "cellar.book") as book:
        book.batches.put(Batch(vessel="v", name="v-1", pitched_us=pitched_us, original_gravity=1.05))
        cellar = Cellar(book, lambda: Tended({}, ""), lambda: now_us[0])

        def made_in(hours: int) -> int:
            made.clear()
            for _ in range(hours):
                now_us[0] += HOUR_US
                cellar.batch("v-1")
            return len(made)

        assert made_in(24) == 24
        now_us[0] += 10_000 * HOUR_US
        assert made_in(48) <= 3  # it costs a second for each four years of age


def test_readings_one_by_one_are_held_of_as_many_batches_as_there_is_room_for(known_cellar: Cellar) -> None:
    def readings(count: int) -> CourseReadings:
        floats = np.zeros(count, np.float32)
        return CourseReadings(np.zeros(count, np.int64), floats, floats, np.zeros(count, np.int8))

    held = HeldReadings(most_bytes=17 * 100)
    for nth in range(4):
        held.put(f"{nth}", readings(30))
    assert [held.get(f"{nth}") is not None for nth in range(4)] == [False, True, True, True]
    held.put("3", readings(60))
    assert [held.get(f"{nth}") is not None for nth in range(1, 4)] == [False, True, True]
    held.put("large", readings(101))
    assert held._bytes == 0
    known_cellar._each.most_bytes = 1
    facts = known_cellar.batch("north-1")
    assert facts is not None
    assert len(facts.each.at_us) > 1000  # held or not, who looks at its curve is shown them
    assert known_cellar._each._bytes == 0


@pytest.fixture
def known_cellar(kept_cellar: Path) -> Iterator[Cellar]:
    with open_book(kept_cellar, create=False) as book:
        newest_us = book.newest_us("north") or 0
        yield Cellar(book, lambda: Tended({}, ""), lambda: newest_us)
