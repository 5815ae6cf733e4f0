"""The keeper with a real book and a clock that is set: what is told and kept over weeks, in no time."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import msgspec
import pytest

from lullwort.alerts import AlertSettings, Quiet
from lullwort.cellarbook import Book, open_book
from lullwort.collector import Arrival, BrokerSettings, Outcome, Packet, TopicSettings, checked_form
from lullwort.detector import Units
from lullwort.errors import BookError
from lullwort.records import HOUR_US, Event, parse_instant
from lullwort.rehearsal import invent
from lullwort.settings import Settings
from lullwort.tend import BoardClock, CellarWatch, Inbox, Judging, Keeper, Routes, Storing

MINUTE_US = 60_000_000
BEGAN_US = parse_instant("2026-03-02T09:00:00Z")
EVER = (-(2**62), 2**62)


class Time:
    """What the machine shows, and how much time has passed."""

    def __init__(self, shown_us: int = BEGAN_US) -> None:
        self.shown_us = self.passed_us = shown_us

    def pass_by(self, us: int) -> None:
        self.shown_us += us
        self.passed_us += us


class Kept:
    """A keeper, started anew as often as wanted, and what senders are answered."""

    def __init__(self, book: Book, time: Time) -> None:
        self.book, self.time = book, time
        self.outcomes: list[Outcome] = []
        self.start()

    def start(self, seen_us: int | None = None) -> None:
        now_us = self.time.shown_us
        self.inbox = Inbox(2000)
        judging = Judging(self.book, now_us)
        watch = CellarWatch(
            self.book, judging, AlertSettings(), Units(zone="UTC"), Quiet(None, ZoneInfo("UTC")), now_us, seen_us
        )
        clock = BoardClock(lambda: self.time.shown_us, lambda: self.time.passed_us)
        broker = BrokerSettings(topics=(*BrokerSettings().topics, TopicSettings("cellar/{sensor}", "jar")))
        jar = checked_form("form.jar", {"read": "json", "fields": {"time": "/t", "gravity": "/sg"}, "times": "iso"})
        routes = Routes.of(
            Settings(book=Path("x"), gravity="sg", temperature="C", zone="UTC", broker=broker, forms={"jar": jar})
        )
        self.keeper = Keeper(
            self.book, Storing(self.book, routes), judging, watch, lambda: ["push"], self.inbox, threading.Event(),
            clock, lambda _: None, lambda: None,
        )  # fmt: skip

    def send(self, at_us: int, sensor: str = "f1", received_us: int | None = None) -> None:
        reading = {"bn": f"{sensor}:", "bt": at_us / 1e6, "n": "gravity", "u": "/", "v": 1.05}
        payload = json.dumps([reading, {"n": "temperature", "u": "Cel", "v": 20.0}]).encode()
        packet = Packet("broker", f"lullwort/readings/{sensor}", payload, received_us or self.time.shown_us)
        self.inbox.put(Arrival(packet, self.outcomes.append))

    def round(self) -> None:
        self.keeper.round(self.inbox.take(1000))

    def go(self, minutes: int, *, sending: bool = False) -> None:
        for _ in range(minutes // 5):
            self.time.pass_by(5 * MINUTE_US)
            if sending:
                self.send(self.time.shown_us)
            self.round()

    def told(self) -> list[tuple[str, str, bool]]:
        recent = [one.alert for one in reversed(self.book.outbox.recent(1000))]
        return [(alert.kind, alert.about, alert.on) for alert in recent]


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    with open_book(tmp_path / "cellar.book") as book:
        batch = invent("plain ale", 1).batch
        book.batches.put(msgspec.structs.replace(batch, vessel="f1", name="b1", pitched_us=BEGAN_US))
        yield Kept(book, Time())


def stored(kept: Kept) -> int:
    return sum(1 for _ in kept.book.readings.of("f1", *EVER))


def test_a_silence_that_was_told_goes_on_over_a_new_start_until_the_sensor_speaks(kept: Kept) -> None:
    kept.go(120, sending=True)
    kept.go(300)
    assert kept.told() == [("sensor silent", "f1", True)]
    kept.start()
    kept.go(60)
    assert kept.told() == [("sensor silent", "f1", True)]
    kept.go(10, sending=True)
    assert kept.told()[1:] == [("sensor silent", "f1", False)]


def test_a_vessel_that_was_never_heard_is_not_heard_because_of_a_new_start(kept: Kept) -> None:
    kept.go(150)
    kept.start()
    kept.go(150)
    assert kept.told() == [("sensor silent", "f1", True)]


def test_a_new_batch_in_a_used_vessel_is_given_its_two_hours(kept: Kept) -> None:
    kept.go(60, sending=True)
    kept.go(120)
    again = msgspec.structs.replace(invent("plain ale", 1).batch, vessel="f1", name="b2", pitched_us=kept.time.shown_us)
    kept.book.batches.put(again)
    kept.go(100)
    assert kept.told() == []
    kept.go(60)
    assert kept.told() == [("sensor silent", "f1", True)]


def test_one_reading_dated_ahead_makes_nobody_silent_afterwards(kept: Kept) -> None:
    kept.go(60, sending=True)
    kept.send(kept.time.shown_us + 20 * HOUR_US)
    kept.go(720, sending=True)
    assert [one for one in kept.told() if one[0] == "sensor silent"] == []
    assert all(judged.as_of_us <= kept.time.shown_us for judged in kept.keeper.judging.now())


@pytest.mark.no_cover
@pytest.mark.parametrize("started_anew", [False, True])
@pytest.mark.parametrize("count", [50, 2500])
def test_what_came_while_the_clock_was_behind_is_taken_when_it_is_set(
    kept: Kept, started_anew: bool, count: int
) -> None:
    right_us = kept.time.shown_us
    kept.time.shown_us -= 240 * HOUR_US
    kept.start()
    for nth in range(count):
        kept.send(right_us - nth * MINUTE_US)
        if nth % 500 == 499:
            kept.round()
    kept.round()
    assert stored(kept) == 0
    if started_anew:
        kept.start()
        kept.round()
    kept.time.shown_us += 240 * HOUR_US
    kept.round()
    assert (stored(kept), len(kept.outcomes)) == (count, count)
    assert [one.set_aside for one in kept.book.imports.all()] == [0]
    assert [kind for kind, _, _ in kept.told()].count("clock set") == 1


def test_what_came_just_before_the_clock_was_set_is_taken_within_the_hour(kept: Kept) -> None:
    right_us = kept.time.shown_us
    kept.time.shown_us -= 240 * HOUR_US
    kept.start()
    kept.send(right_us)
    kept.time.shown_us += 240 * HOUR_US
    kept.round()
    kept.go(65)
    assert stored(kept) == 1


def test_a_board_that_woke_at_its_last_shutdown_tells_the_gap_when_its_clock_is_set(kept: Kept) -> None:
    kept.start(seen_us=kept.time.shown_us)
    kept.go(10, sending=True)
    assert kept.told() == []
    kept.time.shown_us += 10 * HOUR_US
    kept.go(10, sending=True)
    assert [kind for kind, _, _ in kept.told()] == ["clock set", "gap in the service"]


def test_a_clock_that_shows_less_than_at_the_last_sign_of_life_is_told_once(kept: Kept) -> None:
    kept.start(seen_us=kept.time.shown_us + 24 * HOUR_US)
    kept.go(100, sending=True)
    assert [kind for kind, _, _ in kept.told()] == ["clock set"]


def test_a_clock_that_was_never_set_takes_nothing(tmp_path: Path) -> None:
    with open_book(tmp_path / "cellar.book") as book:
        kept = Kept(book, Time(0))
        kept.send(BEGAN_US, received_us=20 * 60_000_000)
        threading.Timer(1.5, kept.keeper.stop.set).start()
        kept.keeper.run()
        assert (kept.outcomes, book.imports.all()) == ([], [])
        assert "shows a time that is past" in kept.keeper.failing


def test_what_was_handed_over_is_settled_whatever_else_cannot_be_done(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise BookError("the disk is full")

    monkeypatch.setattr(Storing, "take_again", fails)
    kept.send(kept.time.shown_us)
    with pytest.raises(BookError):
        kept.round()
    assert [outcome.stored for outcome in kept.outcomes] == [1]
    monkeypatch.undo()
    kept.round()
    assert kept.keeper.reading_us == {"f1": BEGAN_US}  # judging and watch are told of it later


@pytest.mark.parametrize(
    "payload",
    [
        b'[{"bn":"f1:","bt":"2026-02-30","n":"gravity","u":"/","v":1.05}]',
        b'{"t": "2026-02-30 10:00", "sg": 1.05}',
    ],
    ids=["SenML", "JSON"],
)
def test_a_time_that_is_none_stays_set_aside(kept: Kept, payload: bytes) -> None:
    kept.inbox.put(Arrival(Packet("broker", "cellar/f1", payload, kept.time.shown_us), kept.outcomes.append))
    kept.round()
    (name,) = [one.name for one in kept.book.imports.all()]
    before = kept.book.imports.set_aside(name)
    assert before
    kept.go(130)
    assert kept.book.imports.set_aside(name) == before


def test_a_message_that_is_not_kept_as_a_whole_stays_set_aside_as_it_was(kept: Kept) -> None:
    right_us = kept.time.shown_us
    kept.time.shown_us -= 240 * HOUR_US
    kept.start()
    records = [
        {"bn": "f1:", "bt": (right_us - nth * MINUTE_US) / 1e6, "n": "gravity", "u": "/", "v": 1.05}
        for nth in range(200)
    ]
    packet = Packet("broker", "lullwort/readings/f1", json.dumps(records).encode(), kept.time.shown_us)
    kept.inbox.put(Arrival(packet, kept.outcomes.append))
    kept.round()
    (name,) = [one.name for one in kept.book.imports.all()]
    before = kept.book.imports.set_aside(name)
    assert len(before) == 200
    kept.time.shown_us += 240 * HOUR_US
    kept.round()
    assert kept.book.imports.set_aside(name) == before


def test_what_is_new_of_which_vessel_is_told_after_it_is_on_record(kept: Kept, tmp_path: Path) -> None:
    news: list[frozenset[str]] = []
    kept.keeper.on_news = news.append
    kept.round()
    news.clear()
    kept.round()
    assert news == []  # nothing came, and no hour has closed
    kept.send(kept.time.shown_us + MINUTE_US)
    kept.keeper.on_news = lambda vessels: news.append(vessels) if stored(kept) else None
    kept.round()
    assert news == [frozenset({"f1"})]
    news.clear()
    kept.go(120)
    assert set().union(*news) == {"f1"}  # by its hours, though nothing more was sent
    news.clear()
    with open_book(tmp_path / "cellar.book") as other:  # somebody notes something at a terminal
        rouse = Event(at_us=kept.time.shown_us, kind="rouse")
        other.batches.put(msgspec.structs.replace(other.batches.get("b1"), events=(rouse,)), update=True)
    kept.round()
    assert "" in news[0]
    news.clear()
    kept.go(300)
    assert kept.told() == [("sensor silent", "f1", True)]
    assert all(vessels == {"f1"} for vessels in news)


def test_that_the_book_begins_to_fail_is_told_and_that_it_does_so_no_longer(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    news: list[tuple[frozenset[str], str]] = []
    kept.keeper.on_news = lambda vessels: news.append((vessels, kept.keeper.failing))
    real = kept.keeper.storing.take
    left = [2]

    def full(arrivals: list[Arrival], now_us: int) -> object:
        left[0] -= 1
        if left[0] < 0:
            kept.keeper.stop.set()
            return real(arrivals, now_us)
        kept.send(kept.time.shown_us)
        raise BookError("the disk is full")

    monkeypatch.setattr(kept.keeper.storing, "take", full)
    monkeypatch.setattr("lullwort.tend.keeper._LONGEST_PAUSE_S", 0.01)
    kept.send(kept.time.shown_us)
    kept.keeper.run()
    of_all = [failing for vessels, failing in news if "" in vessels]
    assert of_all == ["the disk is full", ""]  # once each
