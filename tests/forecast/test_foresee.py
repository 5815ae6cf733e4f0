"""What is foreseen of beers drawn by hand and of invented ones: in order, never past, and not where none can be."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import pytest

from lullwort.detector import judge
from lullwort.forecast import NOTHING_LEARNED, Forecast, Lessons, foreseen
from lullwort.forecast.guess import Guess
from lullwort.records import HOUR_US, Batch, Event, Reading, VesselReadings, parse_instant
from lullwort.rehearsal import invent

PITCHED_US = parse_instant("2026-03-02T09:00:00Z")

pytestmark = pytest.mark.no_cover
EVERY_H = 30


def at(hour: float) -> int:
    return PITCHED_US + round(hour * HOUR_US)


def ale(hour: np.ndarray, end: float = 11.0) -> np.ndarray:
    """[points] From 50, the middle of its fall at 54 h, a tail of 3 points over 40 h."""
    main = (50.0 - end - 3.0) / (1.0 + np.exp(0.083 * (hour - 54.0)))
    return np.asarray(end + main + 3.0 * np.where(hour < 54.0, 1.0, np.exp(-(hour - 54.0) / 40.0)))


def log(to_h: float, end: float = 11.0, temp_c: float = 20.0, seed: int = 1, high: float = 0.0) -> VesselReadings:
    hours = np.arange(0.25, to_h, 0.5)
    values = ale(hours, end) + high + np.random.default_rng(seed).normal(0.0, 0.3, hours.size)
    return VesselReadings.of(
        [
            Reading("s", "north", at(float(h)), round(1.0 + float(v) / 1000.0, 5), temp_c)
            for h, v in zip(hours, values, strict=True)
        ]
    )


def batch(**more: Any) -> Batch:
    fields: dict[str, Any] = {
        "vessel": "north", "name": "north-1", "pitched_us": PITCHED_US, "original_gravity": 1.050,
        "expected_final_gravity": (1.010, 1.012), "yeast_min_c": 14.0, "gravity_reported": "corrected",
    }  # fmt: skip
    return msgspec.convert({**fields, **more}, Batch)


def foresee_at(hour: float, learned: Lessons = NOTHING_LEARNED, end: float = 11.0, **more: Any) -> Forecast:
    return foreseen(batch(**more), log(hour, end), as_of_us=at(hour), learned=learned)


def hours(forecast: Forecast) -> tuple[float, float, float]:
    assert forecast.ready is not None, forecast.unsaid
    low, about, high = ((us - PITCHED_US) / HOUR_US for us in forecast.ready)
    return low, about, high


def left(forecast: Forecast, points: float) -> tuple[float, float, float]:
    when = next(each.when for each in forecast.left if each.points == points)
    low, about, high = ((us - PITCHED_US) / HOUR_US for us in when)
    return low, about, high


def test_in_the_main_fall_the_end_and_what_is_left_are_foreseen() -> None:
    forecast = foresee_at(60)
    true_h = np.arange(0.0, 300.0, 0.1)
    for points in (5.0, 2.0):
        came_h = float(true_h[np.argmax(ale(true_h) - 11.0 <= points)])
        low, about, high = left(forecast, points)
        assert low < came_h < high
        assert about == pytest.approx(came_h, abs=12)
    assert forecast.end is not None
    assert forecast.end.low < 11.0 < forecast.end.high
    ready_h = (judge(batch(), log(400)).history[-1].at_us - PITCHED_US) / HOUR_US
    assert hours(forecast)[0] < ready_h < hours(forecast)[2]


def test_in_a_beer_that_has_cooled_what_is_left_takes_longer() -> None:
    until_h, cooled_us = 70.0, at(66)
    warm, cool = log(until_h), log(until_h, temp_c=15.0)
    cooled = VesselReadings.joined([warm[warm.at_us <= cooled_us], cool[cool.at_us > cooled_us]])
    told, later = (foreseen(batch(), readings, as_of_us=at(until_h)) for readings in (warm, cooled))
    # yeast works about twice as fast for 10 K, see the detector's warmth
    assert 1.3 < (left(later, 2.0)[1] - until_h) / (left(told, 2.0)[1] - until_h) < 2.5
    assert (told.moved, later.moved) == ("", "later, for it has become colder")  # than it was a day before


@pytest.mark.parametrize("hour", [60, 75, 130])
def test_what_a_sensor_reads_too_high_is_in_no_gravity_that_is_foreseen(hour: int) -> None:
    told, shifted = (foreseen(batch(), log(hour, high=high), as_of_us=at(hour)) for high in (0.0, 8.0))
    assert told.end is not None
    assert shifted.end is not None
    assert tuple(shifted.end) == pytest.approx(tuple(told.end), abs=1.0)
    assert hours(shifted) == pytest.approx(hours(told), rel=0.1)


def test_a_float_that_was_bumped_late_in_the_fall_changes_neither_when_nor_where_it_ends() -> None:
    bumped_us = at(90)
    still, moved = log(104), log(104, high=8.0)
    bumped = VesselReadings.joined([still[still.at_us <= bumped_us], moved[moved.at_us > bumped_us]])
    told, other = (foreseen(batch(), readings, as_of_us=at(104)) for readings in (still, bumped))
    assert told.end is not None
    assert other.end is not None
    assert other.end.about == pytest.approx(told.end.about, abs=0.7)
    assert hours(other)[1] == pytest.approx(hours(told)[1], abs=24)


def test_the_nearer_the_narrower() -> None:
    spans = [hours(foresee_at(hour)) for hour in (10, 70, 130)]
    widths = [high - low for low, _, high in spans]
    assert widths == sorted(widths, reverse=True)
    ends = [foresee_at(hour).end for hour in (10, 130)]
    assert [end.high - end.low for end in ends if end is not None] == sorted(
        (end.high - end.low for end in ends if end is not None), reverse=True
    )


@pytest.mark.parametrize(("kind", "seed"), [("plain ale", 3), ("hop creep", 4), ("gaps", 6)])
def test_ranges_are_in_order_and_never_in_the_past(kind: str, seed: int) -> None:
    invented = invent(kind, seed, family="uptake")
    readings, pitched_us = VesselReadings.of(invented.readings), invented.batch.pitched_us
    said = 0
    for hour in range(2, int(invented.truth.hours[-1]), EVERY_H):
        forecast = foreseen(invented.batch, readings, as_of_us=pitched_us + hour * HOUR_US + 1)
        spans = [each.when for each in forecast.left] + ([forecast.ready] if forecast.ready is not None else [])
        for span in spans:
            assert all(at_us % (HOUR_US // 60) == 0 for at_us in span)
            assert forecast.as_of_us <= span.low_us <= span.about_us <= span.high_us
        if forecast.ready is not None:
            said += 1
            assert forecast.ready.low_us > forecast.as_of_us
        if forecast.end is not None:
            assert forecast.end.low < forecast.end.about < forecast.end.high
        abouts = [each.when.about_us for each in forecast.left]
        assert abouts == sorted(abouts)
        assert bool(forecast.unsaid) == (forecast.ready is None and not _is_ready(invented.batch, readings, hour))
    assert said >= 4


def _is_ready(of: Batch, readings: VesselReadings, hour: int) -> bool:
    return judge(of, readings, as_of_us=of.pitched_us + hour * HOUR_US + 1).verdict == "ready"


def test_before_the_proof_can_be_over_it_is_not_ready() -> None:
    hop = Event(at_us=at(118), kind="dry hop")
    low, _, _ = hours(foresee_at(120, events=(hop,)))
    assert low >= 118 + 84  # the watch after a dry hop
    assert hours(foresee_at(120))[0] < 118 + 84


def test_what_comes_later_is_not_known() -> None:
    whole = log(300)
    hop = Event(at_us=at(140), kind="dry hop")
    now = foreseen(batch(events=(hop,)), whole, as_of_us=at(100))
    assert now == foreseen(batch(), log(100), as_of_us=at(100))


def test_in_whatever_order_the_readings_come_it_is_the_same() -> None:
    readings = log(90)
    shuffled = readings[np.random.default_rng(5).permutation(len(readings))]
    assert foreseen(batch(), readings, as_of_us=at(90)) == foreseen(batch(), shuffled, as_of_us=at(90))


def test_a_forced_ferment_test_and_a_sample_make_the_end_surer() -> None:
    def width(**more: Any) -> float:
        end = foresee_at(150, **more).end
        assert end is not None
        return end.high - end.low

    by_entry = width()
    assert width(forced_test_gravity=1.011) < by_entry
    sample = Event(at_us=at(140), kind="sample", gravity=1.0115)
    assert width(events=(sample,)) < by_entry
    assert width(expected_final_gravity=None) > by_entry  # by what yeast generally does


def test_a_sensor_whose_offset_is_not_known_leaves_the_end_more_open() -> None:
    told, untold = (foresee_at(50, original_gravity=gravity).end for gravity in (1.050, None))
    assert told is not None
    assert untold is not None
    assert untold.high - untold.low > 1.2 * (told.high - told.low)


def test_sugar_put_in_while_it_falls_counts_as_if_it_had_been_in_the_wort() -> None:
    true_h = np.arange(0.0, 300.0, 0.1)

    def sweetened(hour: np.ndarray) -> np.ndarray:
        return np.asarray(ale(hour) + np.where(hour > 45.0, 8.0 / (1.0 + np.exp(0.083 * (hour - 75.0))), 0.0))

    seen_h = np.arange(0.25, 70.0, 0.5)
    values = sweetened(seen_h) + np.random.default_rng(1).normal(0.0, 0.3, seen_h.size)
    readings = VesselReadings.of(
        [
            Reading("s", "north", at(float(h)), round(1.0 + float(v) / 1000.0, 5), 20.0)
            for h, v in zip(seen_h, values, strict=True)
        ]
    )
    put_in = batch(events=(Event(at_us=at(45), kind="addition", points=8.0),))
    forecast = foreseen(put_in, readings, as_of_us=at(70))
    came_h = float(true_h[np.flatnonzero(sweetened(true_h) - 11.0 > 3.0)[-1]])
    assert left(forecast, 3.0)[1] == pytest.approx(came_h, abs=18)


def test_earlier_batches_are_drawn_on_while_there_is_nothing_else() -> None:
    slow = Lessons(3, Guess(15.0, 1.5), Guess(110.0, 12.0), Guess(np.log(0.05), 0.3), Guess(np.log(120.0), 0.4))
    alone, taught = foresee_at(6), foresee_at(6, slow)
    assert left(taught, 5.0)[1] > left(alone, 5.0)[1] + 24
    assert (alone.repeats, taught.repeats) == (0, 3)
    assert alone.end is not None
    assert taught.end is not None
    assert taught.end.about > alone.end.about
    # what this one shows outweighs them
    late_alone, late = foresee_at(90), foresee_at(90, slow)
    assert left(late, 2.0)[1] == pytest.approx(left(late_alone, 2.0)[1], abs=30)


@pytest.mark.parametrize(
    ("hour", "end", "more", "says"),
    [
        (0, 11.0, {}, "not been heard yet"),
        (50, 11.0, {"original_gravity": None, "expected_final_gravity": None}, ""),
        (240, 24.0, {}, "stands still where it should not"),
        (100, 11.0, {"yeast_min_c": 25.0}, "The yeast sleeps"),
    ],
)
def test_where_nothing_can_be_said_it_says_why(hour: int, end: float, more: dict[str, Any], says: str) -> None:
    forecast = foresee_at(hour, end=end, **more)
    assert says in forecast.unsaid
    assert (forecast.ready is None) == bool(forecast.unsaid)


def test_an_entry_that_the_beer_contradicts_makes_the_end_unsure_not_sure() -> None:
    agrees, contradicts = (foresee_at(150, expected_final_gravity=end).end for end in ((1.010, 1.012), (1.001, 1.003)))
    assert agrees is not None
    assert contradicts is not None
    assert contradicts.high - contradicts.low > 1.5 * (agrees.high - agrees.low)
    assert contradicts.low < 2.0
    assert contradicts.high > 7.0


def test_a_beer_that_does_not_begin_is_not_foreseen_day_after_day() -> None:
    hours = np.arange(0.25, 150.0, 0.5)
    values = 50.0 + np.random.default_rng(2).normal(0.0, 0.3, hours.size)
    log_of_lag = VesselReadings.of(
        [Reading("s", "north", at(float(h)), 1.0 + float(v) / 1000.0, 20.0) for h, v in zip(hours, values, strict=True)]
    )
    assert foreseen(batch(), log_of_lag, as_of_us=at(60)).ready is not None
    late = foreseen(batch(), log_of_lag, as_of_us=at(150))
    assert (late.ready, late.unsaid) == (None, "It has not begun to ferment, and nobody knows whether it will.")


def test_a_beer_that_was_warmed_shows_its_pace_first() -> None:
    def warmed_at(hour: float) -> Forecast:
        """Too cold from hour 60 to 90, where it stood still."""
        hours = np.arange(0.25, hour, 0.5)
        cold = (hours > 60.0) & (hours < 90.0)
        worked = np.where(hours < 60.0, hours, np.maximum(60.0, hours - 30.0))
        values = ale(worked) + np.random.default_rng(1).normal(0.0, 0.3, hours.size)
        readings = [
            Reading("s", "north", at(float(h)), round(1.0 + float(v) / 1000.0, 5), 9.0 if chilled else 20.0)
            for h, v, chilled in zip(hours, values, cold, strict=True)
        ]
        return foreseen(batch(), VesselReadings.of(readings), as_of_us=at(hour))

    assert warmed_at(85).unsaid.startswith("The yeast sleeps")
    assert warmed_at(100).unsaid.startswith("It has just been warmed")
    assert warmed_at(118).ready is not None


def test_without_original_gravity_and_end_there_is_none() -> None:
    late = log(300)[log(300).at_us > at(100)]  # its start was not seen either
    forecast = foreseen(batch(original_gravity=None, expected_final_gravity=None), late, as_of_us=at(300))
    assert forecast.unsaid == "Neither its original gravity nor its end is known."
    assert (forecast.ready, forecast.end, forecast.left) == (None, None, ())


def test_of_a_beer_that_is_ready_or_packaged_nothing_is_foreseen() -> None:
    nothing = Forecast(0, None, None, (), None, "", "", 0)
    assert foresee_at(300)._replace(as_of_us=0) == nothing
    assert foresee_at(320, packaged_us=at(310))._replace(as_of_us=0) == nothing
