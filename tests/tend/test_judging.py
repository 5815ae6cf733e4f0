"""Batches judged while their readings come in, against the same judged at once."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from lullwort.analysis import calibrate
from lullwort.cellarbook import Book, Intake, open_book
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.detector import judge
from lullwort.records import (
    COMMON_UNITS,
    HOUR_US,
    Block,
    CalibrationPoint,
    Event,
    Reading,
    SensorTraits,
    VesselReadings,
)
from lullwort.rehearsal import Invented, invent
from lullwort.tend import Judging, VesselClock

MINUTE_US = 60_000_000
LIVE = Intake("broker", "somewhere", "00" * 32, open_ended=True)


def block_of(readings: list[Reading]) -> Block:
    builder = BlockBuilder(COMMON_UNITS)
    for r in readings:
        values = [np.nan if r.gravity is None else r.gravity, np.nan if r.temperature_c is None else r.temperature_c]
        inclination = np.nan if r.inclination is None else r.inclination
        builder.add(r.sensor, r.vessel, r.at_us, [*values, inclination, np.nan, np.nan], 0)
    return builder.build()


def arrive(book: Book, judging: Judging, readings: list[Reading], now_us: int) -> None:
    run = book.imports.begin(LIVE, now_us)
    block = block_of(readings)
    run.store(block)
    run.commit()
    judging.take([block], now_us)


@pytest.fixture(scope="module")
def ale() -> Invented:
    return invent("plain ale", 1)


def histories(judging: Judging) -> list[tuple[int, str]]:
    (judged,) = judging.now()
    return [(change.at_us, change.verdict) for change in judged.history]


def at_once(invented: Invented, as_of_us: int) -> list[tuple[int, str]]:
    judged = judge(invented.batch, VesselReadings.of(invented.readings), as_of_us=as_of_us)
    return [(change.at_us, change.verdict) for change in judged.history]


def test_live_equals_judging_at_once_even_with_a_late_piece(tmp_path: Path, ale: Invented) -> None:
    late, in_time = ale.readings[300:340], ale.readings[:300] + ale.readings[340:]
    with open_book(tmp_path / "cellar.book") as book:
        book.batches.put(ale.batch)
        judging = Judging(book, ale.readings[0].at_us)
        for start in range(0, len(in_time), 50):
            piece = in_time[start : start + 50]
            arrive(book, judging, piece, piece[-1].at_us)
            judging.judge(piece[-1].at_us)
        now_us = ale.readings[-1].at_us
        arrive(book, judging, late, now_us)
        assert [judged.batch.name for judged in judging.judge(now_us)] == [ale.batch.name]
        assert histories(judging) == at_once(ale, now_us // HOUR_US * HOUR_US)


def test_an_event_noted_by_another_command_is_taken_up(tmp_path: Path, ale: Invented) -> None:
    with open_book(tmp_path / "cellar.book") as book:
        book.batches.put(ale.batch)
        now_us = ale.readings[-1].at_us
        judging = Judging(book, now_us)
        arrive(book, judging, ale.readings, now_us)
        judging.judge(now_us)
        before = histories(judging)
        assert not judging.judge(now_us)
        book.batches.add_event(ale.batch.name, Event(at_us=before[-1][0] - 10 * HOUR_US, kind="dry hop"))
        assert judging.judge(now_us)
        assert histories(judging) != before


def test_inclinations_are_judged_as_they_come_and_all_of_them_anew_by_another_calibration(
    tmp_path: Path, ale: Invented
) -> None:
    # An invented float: gravity is 1 + 0.002 (angle - 20).
    def angle(gravity: float | None) -> float:
        assert gravity is not None
        return 20.0 + (gravity - 1.0) / 0.002

    raw = [msgspec.structs.replace(r, gravity=None, inclination=angle(r.gravity)) for r in ale.readings]
    points = tuple(CalibrationPoint(raw=angle(g), gravity=g) for g in (0.97, 1.0, 1.03, 1.06, 1.09))
    sensor, now_us = SensorTraits(name=raw[0].sensor), raw[-1].at_us
    known = msgspec.structs.replace(sensor, calibration=calibrate("inclination", points, made_us=0).calibration)
    with open_book(tmp_path / "cellar.book") as book:
        book.batches.put(ale.batch)
        judging = Judging(book, raw[0].at_us)
        for start in range(0, 200, 50):
            arrive(book, judging, raw[start : start + 50], raw[start + 49].at_us)
            judging.judge(raw[start + 49].at_us)
        assert [verdict for _, verdict in histories(judging)] == ["unclear"]
        book.equipment.put_sensor(known)  # as another command does
        for start in range(200, len(raw), 50):
            piece = raw[start : start + 50]
            arrive(book, judging, piece, piece[-1].at_us)
            judging.judge(piece[-1].at_us)
        assert histories(judging) == at_once(ale, now_us // HOUR_US * HOUR_US)
        assert list(book.readings.of(ale.batch.vessel, 0, 2**60)) == raw
        book.equipment.put_sensor(sensor)
        assert judging.judge(now_us)
        assert [verdict for _, verdict in histories(judging)] == ["unclear"]


def test_readings_that_came_one_by_one_stay_the_same_when_tidied(tmp_path: Path, ale: Invented) -> None:
    with open_book(tmp_path / "cellar.book") as book:
        book.batches.put(ale.batch)
        judging = Judging(book, ale.readings[0].at_us)
        for reading in ale.readings[:200]:
            arrive(book, judging, [reading], reading.at_us)
        before = list(book.readings.of(ale.batch.vessel, 0, 2**60))
        assert book.imports.tidy(book.imports.begin(LIVE, 0).name, ale.readings[-1].at_us) > 100
        assert list(book.readings.of(ale.batch.vessel, 0, 2**60)) == before


def test_a_backlog_is_judged_as_if_it_came_day_by_day() -> None:
    clock = VesselClock(started_us=100 * HOUR_US, newest_us=None)
    assert clock.closed_to(100 * HOUR_US) is None
    clock.hear(3 * HOUR_US + 30 * MINUTE_US, 100 * HOUR_US)
    assert clock.closed_to(100 * HOUR_US) == 3 * HOUR_US
    assert clock.now_in_vessel(101 * HOUR_US) == 4 * HOUR_US + 30 * MINUTE_US


def test_an_hour_waits_five_minutes_for_its_last_readings_unless_a_later_one_closes_it() -> None:
    clock = VesselClock(started_us=0, newest_us=None)
    clock.hear(3 * HOUR_US - MINUTE_US, 3 * HOUR_US - MINUTE_US)
    assert clock.closed_to(3 * HOUR_US + 4 * MINUTE_US) == 2 * HOUR_US
    assert clock.closed_to(3 * HOUR_US + 5 * MINUTE_US) == 3 * HOUR_US
    clock.hear(3 * HOUR_US, 3 * HOUR_US)
    assert clock.closed_to(3 * HOUR_US) == 3 * HOUR_US


def test_after_a_start_silence_means_nothing_for_a_while_and_then_time_passes() -> None:
    started_us = 100 * HOUR_US
    clock = VesselClock(started_us, newest_us=50 * HOUR_US)
    assert clock.now_in_vessel(started_us + 9 * MINUTE_US) == 50 * HOUR_US
    assert clock.now_in_vessel(started_us + 11 * MINUTE_US) == started_us + 11 * MINUTE_US


def test_no_time_passes_in_the_vessel_when_the_clock_here_is_set() -> None:
    clock = VesselClock(started_us=0, newest_us=None)
    clock.hear(10 * HOUR_US, 10 * HOUR_US)
    clock.clock_set(72 * HOUR_US)
    assert clock.now_in_vessel(83 * HOUR_US) == 11 * HOUR_US
    clock.clock_set(-100 * HOUR_US)
    assert clock.now_in_vessel(-16 * HOUR_US) == 12 * HOUR_US


def test_a_reading_of_a_wrong_clock_does_not_hold_up_the_vessel() -> None:
    clock = VesselClock(started_us=0, newest_us=None)
    clock.hear(30 * HOUR_US, 10 * HOUR_US)
    for nth in range(3):
        clock.hear(10 * HOUR_US + nth * MINUTE_US, 10 * HOUR_US + nth * MINUTE_US)
    assert clock.now_in_vessel(11 * HOUR_US) == 11 * HOUR_US


def test_a_log_that_was_imported_puts_the_clock_where_it_ends(tmp_path: Path, ale: Invented) -> None:
    with open_book(tmp_path / "cellar.book") as book:
        book.batches.put(ale.batch)
        live = [r for r in ale.readings if r.at_us < ale.batch.pitched_us + 2 * HOUR_US]
        log = [r for r in ale.readings if r.at_us < ale.batch.pitched_us + 8 * HOUR_US]
        judging = Judging(book, live[0].at_us)
        arrive(book, judging, live, live[-1].at_us)
        run = book.imports.begin(Intake("csv", "log.csv", "11" * 32), log[-1].at_us)
        run.store(block_of(log))
        run.finish(log[-1].at_us)
        (judged,) = judging.judge(log[-1].at_us + 10 * MINUTE_US)
        assert judging.clocks[ale.batch.vessel].now_in_vessel(log[-1].at_us + 10 * MINUTE_US) == log[-1].at_us
        assert judged.as_of_us <= log[-1].at_us


def test_what_is_shown_of_a_vessel_is_shown_of_the_youngest_batch_in_it(tmp_path: Path, ale: Invented) -> None:
    earlier = msgspec.structs.replace(
        ale.batch, name="earlier", pitched_us=ale.batch.pitched_us - 90 * HOUR_US, packaged_us=ale.batch.pitched_us
    )
    with open_book(tmp_path / "cellar.book") as book:
        book.batches.put(ale.batch)
        book.batches.put(earlier)
        judging = Judging(book, ale.readings[0].at_us)
        judging.judge(ale.readings[0].at_us)
        assert judging.is_youngest(ale.batch)
        assert not judging.is_youngest(earlier)


def test_a_clock_set_back_here_does_not_turn_the_vessel_back() -> None:
    clock = VesselClock(started_us=0, newest_us=None)
    clock.hear(10 * HOUR_US, 10 * HOUR_US)
    assert clock.closed_to(9 * HOUR_US) == 10 * HOUR_US


def test_a_batch_opened_a_moment_before_its_backlog_comes_is_judged_as_it_came(tmp_path: Path, ale: Invented) -> None:
    # The service has run for long, and no round passed between the entry and the first of the readings.
    with open_book(tmp_path / "cellar.book") as book:
        long_ago_us = ale.readings[-1].at_us
        judging = Judging(book, long_ago_us)
        now_us = long_ago_us + 100 * HOUR_US
        assert judging.judge(now_us) == []
        book.batches.put(ale.batch)
        begun = [r for r in ale.readings if r.at_us < ale.batch.pitched_us + 60 * HOUR_US]
        arrive(book, judging, begun, now_us)
        (judged,) = judging.judge(now_us)
        assert judged.as_of_us == begun[-1].at_us // HOUR_US * HOUR_US
        assert judged.verdict == "fermenting"
