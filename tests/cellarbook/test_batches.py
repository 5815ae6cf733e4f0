from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from lullwort.cellarbook import open_book
from lullwort.errors import RefusedError
from lullwort.records import Batch, BottleLot, Event, PackagingDay

BATCH = Batch(
    vessel="north", name="north-12", pitched_us=1000, original_gravity=1.052, expected_final_gravity=(1.010, 1.014),
    events=(Event(at_us=5000, kind="dry hop"), Event(at_us=6000, kind="addition", points=6.0)),
)  # fmt: skip


def test_a_batch_comes_back_with_its_events(path: Path) -> None:
    with open_book(path) as book:
        assert book.batches.put(BATCH)
    with open_book(path) as book:
        assert book.batches.get("north-12") == BATCH
        assert book.batches.all("north") == [BATCH]
        assert book.batches.all("south") == []


def test_the_same_entry_again_changes_nothing(path: Path) -> None:
    with open_book(path) as book:
        assert book.batches.put(BATCH)
        assert not book.batches.put(BATCH)


def test_a_contradiction_is_refused_by_field_and_update_overrules(path: Path) -> None:
    other = msgspec.structs.replace(BATCH, original_gravity=1.060)
    with open_book(path) as book:
        book.batches.put(BATCH)
        with pytest.raises(RefusedError, match=r"original_gravity is 1\.052 on record, 1\.06 now"):
            book.batches.put(other)
        assert book.batches.get("north-12") == BATCH
        assert book.batches.put(other, update=True)
        assert book.batches.get("north-12") == other


def test_events_are_added_once_and_taken_back(path: Path) -> None:
    event = Event(at_us=7000, kind="rouse", note="gently")
    with open_book(path) as book:
        book.batches.put(BATCH)
        assert book.batches.add_event("north-12", event)
        assert not book.batches.add_event("north-12", event)
        assert not book.batches.add_event("north-12", msgspec.structs.replace(event, note="in other words"))
        assert book.batches.get("north-12").events == (*BATCH.events, event)
        book.batches.remove_event("north-12", event)
        assert book.batches.get("north-12") == BATCH
        with pytest.raises(RefusedError, match="no such event"):
            book.batches.remove_event("north-12", event)


def test_two_remarks_of_one_moment_are_two(path: Path) -> None:
    first, second = (Event(at_us=7000, kind="remark", note=words) for words in ("dry", "a little sulphur"))
    with open_book(path) as book:
        book.batches.put(BATCH)
        assert book.batches.add_event("north-12", first)
        assert book.batches.add_event("north-12", second)
        assert not book.batches.add_event("north-12", first)
        assert set(book.batches.get("north-12").events[2:]) == {first, second}
        assert not book.batches.put(msgspec.structs.replace(BATCH, events=(*BATCH.events, second)))
        book.batches.remove_event("north-12", first)
        assert book.batches.get("north-12").events[2:] == (second,)


CHOICES = PackagingDay(target_g_l=4.7, container="keg", bottles=(BottleLot(0.5, 24),))
DEEDS = msgspec.structs.replace(CHOICES, moved_l=17.0, sugar="sucrose", primed_g=118.0, filled=(BottleLot(0.5, 30),))


@pytest.mark.parametrize("update", [False, True])
def test_what_a_file_leaves_out_of_packaging_day_stays_on_record(path: Path, update: bool) -> None:
    done = msgspec.structs.replace(BATCH, packaging_day=DEEDS)
    with open_book(path) as book:
        book.batches.put(done)
        for written in (PackagingDay(), CHOICES, PackagingDay(sugar="sucrose"), DEEDS):
            file = msgspec.structs.replace(BATCH, packaging_day=written)
            assert not book.batches.put(file, update=update)
            assert book.batches.get("north-12") == done


def test_what_a_file_says_otherwise_of_packaging_day_is_refused_key_by_key(path: Path) -> None:
    other = msgspec.structs.replace(BATCH, packaging_day=PackagingDay(target_g_l=5.0, filled=(BottleLot(0.33, 40),)))
    with open_book(path) as book:
        book.batches.put(msgspec.structs.replace(BATCH, packaging_day=CHOICES))
        with pytest.raises(RefusedError) as error:
            book.batches.put(other)
        assert "target_g_l is 4.7 on record, 5.0 now; filled is not given on record, (" in str(error.value)
        assert "container" not in str(error.value)
        assert book.batches.put(other, update=True)
        kept = book.batches.get("north-12").packaging_day
        assert kept == msgspec.structs.replace(CHOICES, target_g_l=5.0, filled=(BottleLot(0.33, 40),))


def test_a_whole_entry_takes_back_what_it_leaves_out_of_packaging_day(path: Path) -> None:
    with open_book(path) as book:
        book.batches.put(msgspec.structs.replace(BATCH, packaging_day=DEEDS))
        assert book.batches.put(BATCH, update=True, whole=True)
        assert book.batches.get("north-12") == BATCH


def test_batches_are_listed_by_pitch_and_unknown_ones_refused(path: Path) -> None:
    earlier = Batch(vessel="south", name="a-later-name", pitched_us=500)
    with open_book(path) as book:
        book.batches.put(BATCH)
        book.batches.put(earlier)
        assert [b.name for b in book.batches.all()] == ["a-later-name", "north-12"]
        with pytest.raises(RefusedError, match="no batch is called 'west'"):
            book.batches.get("west")
        with pytest.raises(RefusedError, match="no batch is called 'west'"):
            book.batches.add_event("west", BATCH.events[0])


def test_two_batches_are_not_pitched_into_one_vessel_at_one_moment(path: Path) -> None:
    twin = Batch(vessel="north", name="twin", pitched_us=1000)
    with open_book(path) as book:
        book.batches.put(BATCH)
        with pytest.raises(RefusedError, match="at that very moment"):
            book.batches.put(twin)
