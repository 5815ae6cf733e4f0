"""Storing, counting, contradicting, withdrawing: what the book says about where its readings are from."""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.cellarbook import Intake, open_book
from lullwort.errors import RefusedError
from lullwort.records import HOUR_US, Reading, ReportedUnits, SetAside
from lullwort.science import from_sg
from lullwort.units import from_celsius

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)


def test_what_is_stored_comes_back_in_order_of_time(path: Path, shelf: Shelf) -> None:
    log = shelf.log(50)
    with open_book(path) as book:
        counts = shelf.store(book, "a", log[::-1])
        assert counts == (50, 50, 0, 0, 0)
        assert list(book.readings.of("north", *EVER)) == log
        assert list(book.readings.of("north", 10 * HOUR_US, 20 * HOUR_US)) == log[10:20]
        assert book.readings.vessels() == ["north"]


def test_values_that_were_not_given_stay_not_given(path: Path, shelf: Shelf) -> None:
    log = [Reading("a", "north", 1, None, 20.0), Reading("a", "north", 2, 1.05, None)]
    with open_book(path) as book:
        shelf.store(book, "a", log)
        assert list(book.readings.of("north", *EVER)) == log


def test_the_same_file_again_is_all_known_and_writes_nothing(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(50))
        before = shelf.everything(path)
        assert shelf.store(book, "a", shelf.log(50)) == (50, 0, 50, 0, 0)
    assert shelf.everything(path) == before


def test_rows_repeated_in_one_file_are_one_reading(path: Path, shelf: Shelf) -> None:
    log = shelf.log(10)
    with open_book(path) as book:
        assert shelf.store(book, "a", log + log[:4]) == (14, 10, 4, 0, 0)


def test_a_longer_export_of_the_same_log_adds_only_its_new_rows(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(50))
        assert shelf.store(book, "b", shelf.log(70)) == (70, 20, 50, 0, 0)
        assert len(list(book.readings.of("north", *EVER))) == 70


def test_withdrawing_one_import_leaves_what_another_also_said(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(50))
        shelf.store(book, "b", shelf.log(70))
        first = next(i for i in book.imports.all() if i.place == "a.csv")
        assert book.imports.withdraw(first.name, 9).withdrawn_us == 9
        assert len(list(book.readings.of("north", *EVER))) == 70
        second = next(i for i in book.imports.all() if i.place == "b.csv")
        book.imports.withdraw(second.name[:8], 9)
        assert list(book.readings.of("north", *EVER)) == []
        assert book.readings.vessels() == []


def test_a_withdrawn_file_stored_again_comes_back_and_is_counted_as_stored(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(50))
        book.imports.withdraw(book.imports.all()[0].name, 9)
        assert shelf.store(book, "a", shelf.log(50)) == (50, 50, 0, 0, 0)
        assert len(list(book.readings.of("north", *EVER))) == 50


def test_an_import_that_is_not_finished_counts_nothing(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(10))
        half = book.imports.begin(shelf.intake("b"), 1)
        half.store(shelf.block(shelf.log(30, gravity=1.060)), [SetAside("b.csv", 9, "gravity", "x", "a number", "x")])
        half.store(shelf.block(shelf.log(30, sensor="south")))
        half.commit()
        assert list(book.readings.of("north", *EVER)) == shelf.log(10)
        assert book.readings.vessels() == ["north"]
        assert (book.readings.conflicts("north", *EVER), book.readings.set_aside_count("north")) == (0, 0)
        listed = sorted((i.place, i.readings, i.in_use) for i in book.imports.all())
        assert listed == [("a.csv", 10, True), ("b.csv", 60, False)]
        # Nor does it take anything from what another import stores meanwhile.
        assert shelf.store(book, "c", shelf.log(30, gravity=1.060)[20:]) == (10, 10, 0, 0, 0)
        assert half.finish(2) == (61, 50, 10, 1, 10)
        assert book.readings.vessels() == ["north", "south"]


def test_an_open_ended_import_is_in_use_as_soon_as_it_is_on_disk(path: Path, shelf: Shelf) -> None:
    live = Intake("live", "the cellar", "c0ffee", open_ended=True)
    with open_book(path) as book, open_book(path) as other:
        run = book.imports.begin(live, 1)
        run.store(shelf.block(shelf.log(5)))
        assert list(other.readings.of("north", *EVER)) == []
        run.commit()
        assert list(other.readings.of("north", *EVER)) == shelf.log(5)
        with pytest.raises(ValueError, match="never finished"):
            run.finish(2)
    with open_book(path) as book:  # cut off, it simply goes on; what comes again is one
        run = book.imports.begin(live, 3)
        run.store(shelf.block(shelf.log(8)))
        run.commit()
        assert list(book.readings.of("north", *EVER)) == shelf.log(8)
        assert [(i.finished_us, i.in_use) for i in book.imports.all()] == [(None, True)]
        # It can be withdrawn like any other, and comes back when it is begun again.
        assert not book.imports.withdraw(run.name, 4).in_use
        assert book.readings.vessels() == []
        book.imports.begin(live, 5)
        assert book.readings.vessels() == ["north"]


def test_contradicting_readings_are_all_kept_none_used_and_counted(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(10))
        assert shelf.store(book, "b", shelf.log(5, gravity=1.060)).conflicts == 5
        assert list(book.readings.of("north", *EVER)) == shelf.log(10)[5:]
        assert book.readings.conflicts("north", *EVER) == 5
        assert sum(i.readings for i in book.imports.all()) == 15
        wrong = next(i for i in book.imports.all() if i.place == "b.csv")
        book.imports.withdraw(wrong.name, 9)
        assert list(book.readings.of("north", *EVER)) == shelf.log(10)


def test_a_contradiction_within_one_file_is_one_too(path: Path, shelf: Shelf) -> None:
    log = shelf.log(3)
    other = Reading("north", "north", log[1].at_us, 1.111, 20.0)
    with open_book(path) as book:
        assert shelf.store(book, "a", [*log, other]).conflicts == 1
        assert list(book.readings.of("north", *EVER)) == [log[0], log[2]]


def test_the_same_file_in_another_unit_is_another_import(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", [Reading("s", "north", 1, 12.0, 68.0)], ReportedUnits("plato", "F"))
        (reading,) = book.readings.of("north", *EVER)
        assert reading.gravity == pytest.approx(1.0483, abs=0.0001)
        assert reading.temperature_c == pytest.approx(20.0)
        shelf.store(book, "a", [Reading("s", "north", 1, 12.0, 68.0)], ReportedUnits("plato"))
        assert list(book.readings.of("north", *EVER)) == []
        assert len(book.imports.all()) == 2


def test_the_same_log_written_in_other_units_says_nothing_new(path: Path, shelf: Shelf) -> None:
    log = [Reading("s", "north", h * HOUR_US, 1.05 - h / 7e3, 20.0 + h / 7) for h in range(50)]
    with open_book(path) as book:
        shelf.store(book, "a", log)
        for content, units in enumerate([ReportedUnits("plato", "F"), ReportedUnits("kg_m3", "K")]):
            # There through a conversion and text, and back when the book is read.
            turned = [
                Reading(
                    r.sensor, r.vessel, r.at_us,
                    float(f"{from_sg(r.gravity or 0.0, units.gravity):.12f}"),
                    float(f"{from_celsius(r.temperature_c or 0.0, units.temperature):.12f}"),
                )
                for r in log
            ]  # fmt: skip
            assert shelf.store(book, f"b{content}", turned, units) == (50, 0, 50, 0, 0)
        assert [r.at_us for r in book.readings.of("north", *EVER)] == [r.at_us for r in log]


def test_a_reading_is_put_together_from_what_two_imports_give(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", [Reading("s", "north", 1, 1.05, None), Reading("s", "north", 2, 1.05, None)])
        counts = shelf.store(book, "b", [Reading("s", "north", 1, None, 20.0), Reading("s", "north", 2, None, None)])
        assert counts == (2, 1, 1, 0, 0)
        expected = [Reading("s", "north", 1, 1.05, 20.0), Reading("s", "north", 2, 1.05, None)]
        assert list(book.readings.of("north", *EVER)) == expected
        # A third that contradicts one of the two takes the reading away as a whole.
        assert shelf.store(book, "c", [Reading("s", "north", 1, None, 21.0)]).conflicts == 1
        assert list(book.readings.of("north", *EVER)) == expected[1:]


def test_battery_in_volts_and_in_percent_cannot_contradict(path: Path, shelf: Shelf) -> None:
    log, percent = shelf.log(2), ReportedUnits(battery="%")
    with open_book(path) as book:
        shelf.store(book, "a", log, battery=[4.1, 4.0])
        assert shelf.store(book, "b", log, percent, battery=[97.0, 93.0]) == (2, 2, 0, 0, 0)
        assert shelf.store(book, "c", log, percent, battery=[97.0, 92.0]) == (2, 1, 1, 0, 1)
        assert list(book.readings.of("north", *EVER)) == log[:1]


def test_two_sensors_in_one_vessel_are_merged_by_time(path: Path, shelf: Shelf) -> None:
    log = [Reading(s, "north", h * HOUR_US, 1.05, 20.0) for h in range(5) for s in ("a", "b")]
    with open_book(path) as book:
        shelf.store(book, "a", log)
        assert list(book.readings.of("north", *EVER)) == log


def test_a_sensor_moved_to_another_vessel_gives_each_its_own(path: Path, shelf: Shelf) -> None:
    log = [Reading("a", "north" if h < 5 else "south", h * HOUR_US, 1.05, 20.0) for h in range(10)]
    with open_book(path) as book:
        shelf.store(book, "a", log)
        assert list(book.readings.of("north", *EVER)) == log[:5]
        assert list(book.readings.of("south", *EVER)) == log[5:]


def test_a_contradiction_is_counted_for_the_vessel_in_which_it_arose(path: Path, shelf: Shelf) -> None:
    log = [Reading("a", "north" if h < 5 else "south", h * HOUR_US, 1.05, 20.0) for h in range(10)]
    with open_book(path) as book:
        shelf.store(book, "a", log)
        shelf.store(book, "b", [Reading("a", "south", 7 * HOUR_US, 1.06, 20.0)])
        assert (book.readings.conflicts("north", *EVER), book.readings.conflicts("south", *EVER)) == (0, 1)
        # Both vessels lose a reading where the sensor is said to have been in both.
        shelf.store(book, "c", [Reading("a", "south", 2 * HOUR_US, 1.05, 20.0)])
        assert (book.readings.conflicts("north", *EVER), book.readings.conflicts("south", *EVER)) == (1, 2)


def test_one_large_block_lets_other_writers_in_between(
    path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    count = 120_000
    with open_book(path) as book, open_book(path, wait_s=0.0) as other:
        run = book.imports.begin(shelf.intake("a"), 1)
        commits: list[int] = []
        commit = run.commit

        def watched() -> None:
            commit()
            commits.append(other.imports.all()[0].readings)

        monkeypatch.setattr(run, "commit", watched)
        run.store(shelf.block(shelf.log(count)))
        assert run.finish(2) == (count, count, 0, 0, 0)
        assert commits == [50_000, 100_000, 120_000]


def test_one_file_stored_twice_at_once_is_counted_as_stored_once(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book, open_book(path) as other:
        runs = [b.imports.begin(shelf.intake("a"), 1) for b in (book, other)]
        for run in runs:
            run.store(shelf.block(shelf.log(50)))
        assert [run.finish(2) for run in runs] == [(50, 50, 0, 0, 0), (50, 0, 50, 0, 0)]


def test_rows_set_aside_are_kept_with_their_reason(path: Path, shelf: Shelf) -> None:
    row = SetAside("a.csv", 7, "gravity", "1,o5", "a number", "x;1,o5")
    with open_book(path) as book:
        run = book.imports.begin(shelf.intake("a"), 1)
        run.store(shelf.block(shelf.log(3)), [row])
        assert run.finish(2) == (4, 3, 0, 1, 0)
        assert book.imports.set_aside(run.name) == [row]
        assert book.readings.set_aside_count("north") == 1


def test_rows_set_aside_count_for_their_vessel_or_for_all_beside_them(path: Path, shelf: Shelf) -> None:
    rows = [
        SetAside("a.csv", 7, "gravity", "x", "a number", "x", vessel="north"),
        SetAside("a.csv", 8, "gravity", "x", "a number", "x", vessel="north"),
        SetAside("a.csv", 9, "gravity", "x", "a number", "x", vessel="west"),
        SetAside("a.csv", 10, "row", "x", "three fields", "x"),
    ]
    with open_book(path) as book:
        run = book.imports.begin(shelf.intake("a"), 1)
        run.store(shelf.block(shelf.log(3) + shelf.log(3, sensor="south")), rows)
        run.finish(2)
        shelf.store(book, "b", shelf.log(3, sensor="east"))
        counted = {vessel: book.readings.set_aside_count(vessel) for vessel in ("north", "south", "west", "east")}
        assert counted == {"north": 3, "south": 1, "west": 1, "east": 0}
        assert book.imports.set_aside(run.name) == rows
        book.imports.withdraw(run.name, 3)
        assert book.readings.set_aside_count("north") == 0


def test_rows_of_a_source_without_lines_are_told_apart_by_what_they_say(path: Path, shelf: Shelf) -> None:
    rows = [
        SetAside("live/north", 0, "gravity", "x", "a number", '{"gravity": "x"}'),
        SetAside("live/north", 0, "gravity", "y", "a number", '{"gravity": "y"}'),
        SetAside("live/south", 0, "gravity", "x", "a number", '{"gravity": "x"}'),
        SetAside("live/south", 0, "temperature", "x", "a number", '{"gravity": "x"}'),
    ]
    with open_book(path) as book:
        run = book.imports.begin(Intake("live", "live", "c0ffee", open_ended=True), 1)
        run.store(shelf.block([]), rows)
        run.store(shelf.block([]), rows[1:])
        run.commit()
        assert sorted(book.imports.set_aside(run.name), key=str) == sorted(rows, key=str)


def test_a_cut_off_file_that_was_moved_before_it_is_stored_again_sets_no_row_aside_twice(
    path: Path, shelf: Shelf
) -> None:
    with open_book(path) as book:
        for place in ("here/a.csv", "there/a.csv"):
            run = book.imports.begin(Intake("csv", place, "c0ffee"), 1)
            run.store(shelf.block(shelf.log(3)), [SetAside(place, 7, "gravity", "x", "a number", "x")])
            run.commit()
        run.finish(2)
        assert [row.place for row in book.imports.set_aside(run.name)] == ["here/a.csv"]


def test_a_run_of_nothing_but_bad_rows_is_stored_as_such(path: Path, shelf: Shelf) -> None:
    row = SetAside("a.csv", 2, "gravity", "x", "a number", "x")
    with open_book(path) as book:
        run = book.imports.begin(shelf.intake("a"), 1)
        run.store(shelf.block([]), [row])
        assert run.finish(2) == (1, 0, 0, 1, 0)
        assert book.readings.vessels() == []


def test_a_time_without_readings_between_others_is_empty(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        shelf.store(book, "a", shelf.log(2) + shelf.log(2, first=100))
        assert list(book.readings.of("north", 10 * HOUR_US, 20 * HOUR_US)) == []
        assert book.readings.conflicts("north", 10 * HOUR_US, 20 * HOUR_US) == 0


def test_names_of_imports_must_be_known_and_clear(path: Path, shelf: Shelf) -> None:
    with open_book(path) as book:
        for content in "abcdefghijklmnopq":  # 17 imports share a first hex digit somewhere
            shelf.store(book, content, shelf.log(1))
        digits = [i.name[0] for i in book.imports.all()]
        shared = next(d for d in digits if digits.count(d) > 1)
        with pytest.raises(RefusedError, match="fits several imports"):
            book.imports.withdraw(shared, 1)
        with pytest.raises(RefusedError, match="no import is called 'zz'"):
            book.imports.withdraw("zz", 1)
        with pytest.raises(RefusedError, match="no import is called ''"):
            book.imports.withdraw("", 1)


@pytest.mark.no_cover
@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32), cuts=st.lists(st.integers(1, 40), min_size=1, max_size=6))
def test_any_order_and_any_cutting_gives_the_same_readings(
    tmp_path_factory: pytest.TempPathFactory, shelf: Shelf, seed: int, cuts: list[int]
) -> None:
    random = Random(seed)
    log = shelf.log(60) + shelf.log(30, sensor="south") + shelf.log(4, first=20, gravity=1.06)
    shuffled = random.sample(log, len(log))
    plain, mixed = (tmp_path_factory.mktemp("books") / name for name in ("plain", "mixed"))
    with open_book(plain) as book:
        shelf.store(book, "a", log)
        expected = list(book.readings.of("north", *EVER)), list(book.readings.of("south", *EVER))
    with open_book(mixed) as book:
        content = 0
        while shuffled:
            size = cuts[content % len(cuts)]
            content += 1
            shelf.store(book, f"part{content}", shuffled[:size])
            shuffled = shuffled[size:]
        assert (list(book.readings.of("north", *EVER)), list(book.readings.of("south", *EVER))) == expected
    assert len(expected[0]) == 56, "four instants contradict each other"


def test_rows_that_contradict_each_other_in_one_file_are_all_counted_as_stored(path: Path, shelf: Shelf) -> None:
    twice = [Reading("north", "north", 1, 1.05, 20.0), Reading("north", "north", 1, 1.04, 20.0)]
    with open_book(path) as book:
        counts = shelf.store(book, "a", [*twice, *shelf.log(3, first=1), twice[0]])
        assert (counts.rows, counts.stored, counts.known, counts.conflicts) == (6, 5, 1, 1)
        again = shelf.store(book, "b", twice)
        assert (again.stored, again.known, again.conflicts) == (0, 2, 1)
