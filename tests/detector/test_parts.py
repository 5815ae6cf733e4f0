"""The small parts of the detector, each on its own."""

from __future__ import annotations

import msgspec
import pytest

from lullwort.analysis import HandReading
from lullwort.detector import VERDICTS, Units, advice, evidence, expected_end, judge, reason
from lullwort.detector.advice import MAY_BE_PACKAGED
from lullwort.detector.holdclock import HoldClock
from lullwort.detector.offset import SensorOffset
from lullwort.detector.warmth import Warmth
from lullwort.records import Batch, VesselReadings


def batch(**more: object) -> Batch:
    fields: dict[str, object] = {"vessel": "v", "name": "v-1", "pitched_us": 0, **more}
    return msgspec.convert(fields, Batch)


def test_hold_clock_completes_only_after_the_whole_window() -> None:
    clock = HoldClock(48)
    for hour in range(49):
        assert not clock.complete, hour
        clock.count(11.0)
    assert clock.complete
    assert clock.hours_left == 0


def test_hold_clock_measures_the_fall_over_its_window_only() -> None:
    clock = HoldClock(24)
    for hour in range(100):
        clock.count(20.0 - 0.1 * hour)
    assert clock.fall == pytest.approx(2.4)


def test_hold_clock_starts_anew_when_disturbed_and_a_short_watch_does_not_cut_a_long_one() -> None:
    clock = HoldClock(48)
    clock.restart("dry hop", 5, watch_h=84)
    assert (clock.needed_h, clock.counted_h) == (84, 0)
    for _ in range(10):
        clock.count(11.0)
    clock.restart("rouse", 6)
    assert (clock.needed_h, clock.restarted_by, clock.restarted_us) == (74, "rouse", 6)


def test_hold_clock_counts_on_through_a_silence_and_asks_for_more_after_it() -> None:
    clock = HoldClock(48, restarted_us=3)
    for _ in range(40):
        clock.count(11.0)
    for at_us in (10, 11, 12):
        clock.interrupt("a gap in the log", at_us)
    assert (clock.counted_h, clock.needed_h, clock.interrupted_us) == (40, 64, 12)
    assert (clock.restarted_by, clock.restarted_us) == ("pitched", 3)
    clock.restart("rouse", 20)
    assert (clock.restarted_us, clock.interrupted_us) == (20, None)
    clock.interrupt("a gap in the log", 30)  # too little was proved to be worth keeping
    assert (clock.restarted_by, clock.restarted_us, clock.interrupted_us) == ("a gap in the log", 30, None)


def test_warmth_takes_the_usual_temperature_and_a_minimum_below_it() -> None:
    ale, lager = Warmth(None, None), Warmth(None, None)
    for _ in range(80):
        ale.hour(20.0)
        lager.hour(8.0)
    assert (ale.yeast_min_c, lager.yeast_min_c) == (15.0, 4.0)
    assert ale.yeast_h == pytest.approx(1.0)


def test_warmth_runs_the_yeast_clock_faster_when_warmer_and_stops_it_in_the_cold() -> None:
    warmth = Warmth(14.0, None)
    for _ in range(80):
        warmth.hour(18.0)
    warmth.hour(28.0)
    assert warmth.yeast_h == pytest.approx(2.7)
    warmth.hour(13.9)
    assert (warmth.yeast_h, warmth.warm) == (0.0, False)


def test_warmth_notices_a_step_but_not_day_and_night() -> None:
    warmth = Warmth(14.0, None)
    assert not any(warmth.hour(20.0 + (2.0 if hour % 24 < 12 else -2.0)) for hour in range(240))
    steps = [hour for hour in range(48) if warmth.hour(26.0)]
    assert steps
    assert steps[0] < 12


def test_warmth_carries_the_last_temperature_and_uses_the_steady_one_where_there_is_none() -> None:
    warmth = Warmth(14.0, None)
    warmth.hour(19.0)
    warmth.hour(None)
    assert warmth.temp_c == 19.0
    steady = Warmth(14.0, 21.0)
    steady.hour(None)
    assert (steady.temp_c, steady.known) == (21.0, True)
    assert not Warmth(14.0, None).known


def test_offset_comes_from_where_the_sensor_came_to_rest() -> None:
    offset = SensorOffset(50.0)
    for hour in range(12):
        offset.hour(65.0 if hour < 4 else 53.0, float(hour))
    assert offset.points == pytest.approx(3.0)


def test_a_hand_sample_before_the_sensor_has_come_to_rest_outranks_its_start() -> None:
    offset = SensorOffset(50.0)
    for hour in range(12):
        if hour == 6:
            offset.sample(HandReading(0, 49.0, 0.65, 2.0, "jar"), 53.0, 0.5)
        offset.hour(53.0, float(hour))
    assert offset.gravity(53.0) == pytest.approx(49.0, abs=0.2)


def test_a_sensor_put_in_late_gives_no_offset() -> None:
    offset = SensorOffset(50.0)
    for hour in range(40, 60):
        offset.hour(30.0, float(hour))
    assert (offset.points, offset.start_level) == (0.0, None)


def test_an_absurd_offset_is_not_believed() -> None:
    offset = SensorOffset(50.0)
    for hour in range(12):
        offset.hour(20.0, float(hour))
    assert offset.points == 0.0


@pytest.mark.parametrize(
    ("fields", "source", "ceiling"),
    [
        ({"forced_test_gravity": 1.011, "expected_final_gravity": (1.020, 1.020)}, "forced test", 14.0),
        ({"expected_final_gravity": (1.010, 1.012), "expected_attenuation": (0.7, 0.8)}, "recipe", 16.0),
        ({"expected_final_gravity": (1.012, 1.015)}, "recipe", 17.5),
        ({"expected_final_gravity": (1.020, 1.022)}, "recipe", 23.0),
        ({"expected_attenuation": (0.72, 0.8)}, "attenuation", 17.0),
        ({"expected_attenuation": (0.66, 0.8)}, "attenuation", 18.0),
        ({}, "yeast in general", 17.5),
    ],
)
def test_the_best_source_says_where_the_beer_should_end(fields: dict[str, object], source: str, ceiling: float) -> None:
    end = expected_end(batch(**fields), 50.0)
    assert end is not None
    assert end.source == source
    assert end.ceiling == pytest.approx(ceiling)


def test_the_whole_margin_stands_where_the_original_gravity_is_unknown_and_no_end_follows_from_it() -> None:
    end = expected_end(batch(expected_final_gravity=(1.020, 1.022)), None)
    assert end is not None
    assert end.ceiling == pytest.approx(26.0)
    assert expected_end(batch(expected_attenuation=(0.7, 0.8)), None) is None
    assert expected_end(batch(), None) is None


def test_every_verdict_has_an_answer_a_reason_and_a_next_step() -> None:
    now = judge(batch(original_gravity=1.050), VesselReadings.of([])).now
    assert set(MAY_BE_PACKAGED) == set(VERDICTS)
    for verdict in VERDICTS:
        assert reason(verdict, now).endswith(".")
        assert advice(verdict, now, Units()).endswith(".")
    assert "hand reading" in advice("ready", now, Units())
    assert "burst" in advice("ready", now, Units())
    assert "warm by 4 to 7 °F" in advice("stalled", now, Units(temperature="F"))


def test_evidence_is_written_in_the_brewer_s_units() -> None:
    entered = batch(original_gravity=1.050, steady_temperature_c=20.0)
    now = judge(entered, VesselReadings.of([]), as_of_us=3 * 3_600_000_000).now
    says = " ".join(check.says for check in evidence(now, Units(gravity="plato", temperature="F")))
    assert "68.0 °F" in says
    assert "59.0 °F" in says
    assert " °C" not in says


def test_units_of_words() -> None:
    assert Units().level(12.34, 3) == "1.012"
    assert Units(gravity="plato").level(48.33, 3) == "12.0 °P"
    assert Units(gravity="plato").difference(4.0) == "1.01 °P"
    # Bounds that no wort has are shown all the same, without a step where the tables end.
    assert [Units(gravity="plato").difference(p) for p in (199.99, 200.01)] == ["43.41 °P"] * 2
    assert float(Units(gravity="plato").difference(-300.0).removesuffix(" °P")) == pytest.approx(-76.0, abs=1.0)
    assert Units(temperature="F").temp_difference(5.0) == "9 °F"


def test_a_fall_that_is_bound_to_be_a_rise_is_said_to_be_none() -> None:
    now = judge(batch(original_gravity=1.050), VesselReadings.of([]), as_of_us=3 * 3_600_000_000).now
    rises = msgspec.structs.replace(now, level=10.0, moved=-3.0, moved_upper=-1.79)
    says = evidence(rises)[0].says
    assert "would rise 3 points in 48 h, and it cannot fall with its uncertainty" in says
    assert "-" not in says
    falls = evidence(msgspec.structs.replace(rises, moved_upper=0.5))[0].says
    assert "would rise 3 points in 48 h, at most fall 0.5 points with its uncertainty" in falls


def test_a_fall_that_is_hardly_one_is_not_given_as_nothing() -> None:
    seen = judge(batch(), VesselReadings.of(())).now
    falling = msgspec.structs.replace(seen, level=22.3, moved=3.0)
    assert reason("fermenting", falling) == "Gravity is 1.0223 and falls by about 3 points in 48 h."
    assert reason("fermenting", msgspec.structs.replace(falling, moved=0.004)) == (
        "Gravity is 1.0223 and hardly falls any more, but it has not been seen to hold still yet."
    )
