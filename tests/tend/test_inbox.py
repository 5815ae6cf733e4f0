"""The queue between the sources and the keeper."""

from __future__ import annotations

import threading
import time

from lullwort.collector import Arrival, Packet
from lullwort.tend import Inbox


def arrival(nth: int, size: int = 0) -> Arrival:
    return Arrival(Packet("broker", "t", b"." * size, nth), lambda _outcome: None)


def test_what_is_put_in_comes_out_in_order_and_no_more_than_asked_for() -> None:
    inbox = Inbox(10)
    assert [inbox.put(arrival(nth)) for nth in range(5)] == [True] * 5
    assert [one.packet.received_us for one in inbox.take(3)] == [0, 1, 2]
    assert len(inbox) == 2
    assert [one.packet.received_us for one in inbox.take(3)] == [3, 4]
    assert inbox.take(3) == []


def test_a_full_one_refuses_at_once_or_after_a_while() -> None:
    inbox = Inbox(2)
    assert [inbox.put(arrival(nth)) for nth in range(3)] == [True, True, False]
    began = time.monotonic()
    assert not inbox.put(arrival(3), 0.1)
    assert time.monotonic() - began >= 0.1


def test_it_is_bounded_by_bytes_too_but_takes_any_one_message() -> None:
    inbox = Inbox(100, limit_bytes=1000)
    assert [inbox.put(arrival(nth, 400)) for nth in range(3)] == [True, True, False]
    assert len(inbox.take(1)) == 1
    assert inbox.put(arrival(3, 600))
    assert len(inbox.take(9)) == 2
    assert inbox.put(arrival(4, 5000))
    assert not inbox.put(arrival(5, 1))


def test_many_threads_that_wait_for_room_lose_nothing() -> None:
    inbox = Inbox(7)
    taken: list[int] = []

    def fill(first: int) -> None:
        for nth in range(first, first + 500):
            while not inbox.put(arrival(nth), 0.05):
                pass

    threads = [threading.Thread(target=fill, args=(first,)) for first in range(0, 2000, 500)]
    for thread in threads:
        thread.start()
    give_up = time.monotonic() + 20.0
    while len(taken) < 2000 and time.monotonic() < give_up:
        taken += [one.packet.received_us for one in inbox.take(5, 0.05)]
    for thread in threads:
        thread.join()
    assert sorted(taken) == list(range(2000))
    for first in range(0, 2000, 500):  # each thread's own in its order
        assert [nth for nth in taken if first <= nth < first + 500] == list(range(first, first + 500))
