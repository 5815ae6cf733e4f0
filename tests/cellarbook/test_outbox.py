"""The outbox: each change is kept once, reaches each target in its turn, and waits as long as it must."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.cellarbook import Book, Delivery, DeliveryState, Posted, open_book
from lullwort.errors import BookDamagedError, RefusedError
from lullwort.records import Alert

READY = Alert(
    kind="ready", about="north-12", on=True, at_us=100, batch="north-12", vessel="north", urgent=True,
    title="north-12 is ready", says="It may be packaged.", data={"points_left": 0.2, "since": None},
)  # fmt: skip
NO_LONGER = msgspec.structs.replace(READY, on=False, at_us=110, title="north-12 is not ready")
SILENT = Alert(kind="sensor silent", about="s1", on=True, at_us=50, sensor="s1", title="Silent", says="No word.")


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    with open_book(path) as book:
        yield book


def due(book: Book, now_us: int) -> list[tuple[Alert, str]]:
    return [(delivery.alert, delivery.target) for delivery in book.outbox.due(now_us, 99)]


def test_what_is_put_in_is_due_at_every_target_once_its_time_has_come(book: Book) -> None:
    assert book.outbox.put([READY], ["push", "web", "push"], 200) == 1
    assert book.outbox.due(199, 9) == []
    assert book.outbox.due(200, 9) == [Delivery(READY, "push", 0, 200), Delivery(READY, "web", 0, 200)]
    assert book.outbox.due(200, 1) == [Delivery(READY, "push", 0, 200)]
    assert (book.outbox.next_due_us(), book.outbox.oldest_waiting_us()) == (200, 200)


def test_an_alert_is_still_there_after_the_book_is_opened_again(path: Path) -> None:
    with open_book(path) as book:
        book.outbox.put([READY], ["push"], 200)
    with open_book(path) as book:
        assert due(book, 200) == [(READY, "push")]
        assert book.outbox.standing() == {READY.subject: READY}


def test_the_newest_alert_of_a_subject_is_not_put_in_again_whatever_its_words(book: Book) -> None:
    book.outbox.put([READY], ["push"], 200)
    assert book.outbox.put([msgspec.structs.replace(READY, says="In other words.")], ["push", "web"], 300) == 0
    assert due(book, 300) == [(READY, "push")]


def test_all_that_waits_can_be_had_tried_at_once_whatever_the_clock_said(book: Book) -> None:
    book.outbox.put([READY], ["push", "web"], 200)
    book.outbox.delivered(READY, "web", 210)
    book.outbox.failed(READY, "push", "down", 10**15)
    assert book.outbox.due(300, 9) == []
    book.outbox.hasten(300)
    assert book.outbox.due(300, 9) == [Delivery(READY, "push", 1, 200)]


def test_standing_is_the_last_put_in_of_each_subject_even_if_it_is_dated_earlier(book: Book) -> None:
    book.outbox.put([READY, SILENT], [], 200)
    earlier = msgspec.structs.replace(NO_LONGER, at_us=90)  # a late reading takes it back as of an earlier hour
    book.outbox.put([earlier], [], 300)
    assert book.outbox.standing() == {READY.subject: earlier, SILENT.subject: SILENT}


def test_what_was_taken_back_and_is_so_again_since_the_same_hour_is_told_again(book: Book) -> None:
    for now, alert in enumerate([READY, NO_LONGER, READY, NO_LONGER, READY]):
        assert book.outbox.put([alert], ["push"], now) == 1
    told = []
    while found := book.outbox.due(9, 9):
        ((alert, target, _, _),) = found
        told.append(alert.on)
        book.outbox.delivered(alert, target, 9)
    assert told == [True, False, True, False, True]
    assert book.outbox.standing() == {READY.subject: READY}


def test_delivered_is_never_due_again(book: Book) -> None:
    book.outbox.put([READY], ["push", "web"], 200)
    book.outbox.delivered(READY, "push", 210)
    assert due(book, 999) == [(READY, "web")]
    book.outbox.delivered(READY, "web", 220)
    assert (due(book, 999), book.outbox.next_due_us(), book.outbox.oldest_waiting_us()) == ([], None, None)


def test_a_failed_try_is_counted_and_due_again_at_its_time(book: Book) -> None:
    book.outbox.put([READY], ["push"], 200)
    book.outbox.failed(READY, "push", "no network", 500)
    assert book.outbox.due(499, 9) == []
    assert book.outbox.due(500, 9) == [Delivery(READY, "push", 1, 200)]
    assert (book.outbox.next_due_us(), book.outbox.oldest_waiting_us()) == (500, 200)


def test_given_up_is_not_due_any_more_and_lets_the_next_go(book: Book) -> None:
    book.outbox.put([READY], ["push"], 200)
    book.outbox.put([NO_LONGER], ["push"], 201)
    book.outbox.failed(READY, "push", "refused", None)
    assert due(book, 999) == [(NO_LONGER, "push")]


def test_of_one_subject_a_target_gets_the_next_only_after_the_one_before(book: Book) -> None:
    book.outbox.put([READY], ["push", "web"], 200)
    book.outbox.put([NO_LONGER, SILENT], ["push", "web"], 201)
    book.outbox.failed(READY, "push", "no network", 900)
    book.outbox.delivered(READY, "web", 202)
    assert due(book, 300) == [(NO_LONGER, "web"), (SILENT, "push"), (SILENT, "web")]
    book.outbox.delivered(NO_LONGER, "push", 300)  # not in its turn
    for target in ("push", "web"):
        book.outbox.delivered(SILENT, target, 301)
    book.outbox.delivered(NO_LONGER, "web", 302)
    assert (due(book, 899), book.outbox.next_due_us()) == ([], 900)
    assert due(book, 900) == [(READY, "push")]
    book.outbox.delivered(READY, "push", 900)
    assert due(book, 900) == [(NO_LONGER, "push")]


def test_news_of_a_subject_takes_along_what_still_waits_of_it(book: Book) -> None:
    book.outbox.put([READY], ["push"], 200)
    book.outbox.failed(READY, "push", "no network", 9000)
    book.outbox.put([SILENT], ["push"], 8000)  # of another subject
    book.outbox.put([NO_LONGER], ["push"], 300)
    assert due(book, 300) == [(READY, "push")]


def test_urgent_ones_go_first(book: Book) -> None:
    book.outbox.put([SILENT], ["push"], 200)
    book.outbox.put([READY], ["push"], 300)
    assert due(book, 300) == [(READY, "push"), (SILENT, "push")]


def test_what_waits_for_a_target_that_is_gone_is_given_up(book: Book) -> None:
    book.outbox.put([READY, SILENT], ["push", "gone"], 200)
    book.outbox.delivered(SILENT, "gone", 201)
    assert book.outbox.forget_targets(["push", "web"]) == 1
    assert due(book, 999) == [(READY, "push"), (SILENT, "push")]
    assert book.outbox.forget_targets(["push"]) == 0


def test_recent_tells_how_far_each_has_come_newest_first(book: Book) -> None:
    book.outbox.put([SILENT], [], 200)
    book.outbox.put([READY], ["push", "web", "gone"], 201)
    book.outbox.failed(READY, "web", "no network", 300)
    book.outbox.delivered(READY, "push", 250)
    book.outbox.forget_targets(["push", "web"])
    states = (
        DeliveryState("gone", 0, None, None, "no longer among the targets"),
        DeliveryState("push", 1, None, 250, ""),
        DeliveryState("web", 1, 300, None, "no network"),
    )
    ready, silent = book.outbox.recent(9)
    assert (ready, silent) == (Posted(READY, states, ready.name), Posted(SILENT, (), silent.name))
    assert book.outbox.recent(1) == [ready]


def test_an_alert_that_was_seen_is_so_from_then_on_and_nothing_else_is_changed(book: Book) -> None:
    book.outbox.put([READY, SILENT], ["push"], 200)
    name = book.outbox.recent(9)[1].name
    assert [one.seen_us for one in book.outbox.standing_on()] == [None, None]
    assert book.outbox.see(name[:6].upper(), 300).seen_us == 300
    assert book.outbox.see(name, 400).seen_us == 300
    assert [(one.alert, one.seen_us) for one in book.outbox.standing_on()] == [(SILENT, None), (READY, 300)]
    assert book.outbox.standing() == {READY.subject: READY, SILENT.subject: SILENT}
    assert due(book, 999) == [(READY, "push"), (SILENT, "push")]


def test_what_is_so_again_is_another_alert_which_nobody_has_seen(book: Book) -> None:
    book.outbox.put([READY], [], 200)
    first = book.outbox.see(book.outbox.recent(1)[0].name, 201)
    book.outbox.put([NO_LONGER], [], 202)
    assert book.outbox.standing_on() == []
    book.outbox.put([READY], [], 203)
    ((alert, _, name, seen_us),) = book.outbox.standing_on()
    assert (alert, name == first.name, seen_us) == (READY, False, None)
    assert [one.seen_us for one in book.outbox.recent(9)] == [None, None, 201]


def test_what_happened_once_does_not_stand(book: Book) -> None:
    once = msgspec.structs.replace(SILENT, kind="digest", about="")
    book.outbox.put([once], [], 200)
    assert (book.outbox.standing_on(), [one.alert for one in book.outbox.recent(9)]) == ([], [once])


@pytest.mark.parametrize(("name", "says"), [("", "no alert is called ''"), ("zz", "no alert"), ("%", "no alert")])
def test_an_alert_that_nobody_knows_cannot_be_seen(book: Book, name: str, says: str) -> None:
    book.outbox.put([READY, SILENT], [], 200)
    with pytest.raises(RefusedError, match=says):
        book.outbox.see(name, 300)


def test_a_name_that_fits_several_alerts_asks_for_more_digits(book: Book) -> None:
    book.outbox.put([msgspec.structs.replace(SILENT, about=f"s{n}") for n in range(20)], [], 200)
    first_digits = [one.name[0] for one in book.outbox.recent(99)]
    twice = max(first_digits, key=first_digits.count)  # of 20, two begin with the same of 16 digits
    with pytest.raises(RefusedError, match="fits several alerts"):
        book.outbox.see(twice, 300)


def test_alerts_put_in_together_are_kept_together_or_not_at_all(book: Book) -> None:
    broken = msgspec.structs.replace(SILENT, data={"value": object()})
    with pytest.raises(TypeError):
        book.outbox.put([READY, broken], ["push"], 200)
    assert (book.outbox.standing(), due(book, 999)) == ({}, [])


def test_an_alert_that_cannot_be_understood_is_damage(book: Book, path: Path) -> None:
    book.outbox.put([READY], ["push"], 200)
    connection = sqlite3.connect(path)
    connection.execute("UPDATE alert SET entered = '{}'")
    connection.commit()
    connection.close()
    with pytest.raises(BookDamagedError, match=r"cellar\.book: the cellar book is damaged"):
        book.outbox.standing()


@pytest.mark.no_cover
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_every_target_hears_every_change_of_a_subject_in_order_whatever_fails(
    tmp_path_factory: pytest.TempPathFactory, data: Any
) -> None:
    targets, subjects = ["push", "web"], ["a", "b"]
    put: dict[str, list[Alert]] = {about: [] for about in subjects}
    heard: dict[tuple[str, str], list[Alert]] = {(about, to): [] for about in subjects for to in targets}
    now = 0
    with open_book(tmp_path_factory.mktemp("outbox") / "cellar.book") as book:
        for step in data.draw(st.lists(st.sampled_from(["put", "try", "try", "wait"]), max_size=30)):
            if step == "put":
                about = data.draw(st.sampled_from(subjects))
                alert = msgspec.structs.replace(
                    SILENT, about=about, on=not (put[about] and put[about][-1].on), at_us=data.draw(st.integers(0, 2)),
                    urgent=data.draw(st.booleans()),
                )  # fmt: skip
                assert book.outbox.put([alert], targets, now + data.draw(st.integers(0, 5))) == 1
                put[about].append(alert)
            elif step == "try":
                for delivery in book.outbox.due(now, data.draw(st.integers(1, 3))):
                    if data.draw(st.booleans()):
                        heard[delivery.alert.about, delivery.target].append(delivery.alert)
                        book.outbox.delivered(delivery.alert, delivery.target, now)
                    else:
                        later = now + data.draw(st.integers(1, 9))
                        book.outbox.failed(delivery.alert, delivery.target, "no network", later)
            else:
                now += data.draw(st.integers(1, 5))
            for (about, _), alerts in heard.items():
                assert alerts == put[about][: len(alerts)]
        while (due_us := book.outbox.next_due_us()) is not None:
            found = book.outbox.due(due_us, 99)
            assert found, "what is said to be due is due"
            for delivery in found:
                heard[delivery.alert.about, delivery.target].append(delivery.alert)
                book.outbox.delivered(delivery.alert, delivery.target, due_us)
        assert book.outbox.standing() == {alerts[-1].subject: alerts[-1] for alerts in put.values() if alerts}
    assert all(alerts == put[about] for (about, _), alerts in heard.items())
