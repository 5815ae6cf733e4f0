"""Hours against a plain account of them kept reading by reading, and however the readings are cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import groupby
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.analysis import Hour, HourGatherer, hour_end
from lullwort.errors import OutOfOrderError
from lullwort.records import HOUR_US, Reading, VesselReadings

MINUTE = HOUR_US // 60


def reading(minute: float, gravity: float | None, temp_c: float | None = 20.0, sensor: str = "a") -> Reading:
    return Reading(sensor, "north", int(minute * MINUTE), gravity, temp_c)


def gather(*readings: Reading) -> HourGatherer:
    gatherer = HourGatherer()
    gatherer.add(VesselReadings.of(readings))
    return gatherer


def hour_of(*readings: Reading) -> Hour:
    (hour,) = gather(*readings).close(HOUR_US)
    return hour


def test_a_reading_at_the_full_hour_belongs_to_the_next() -> None:
    assert hour_end(HOUR_US - 1) == HOUR_US
    assert hour_end(HOUR_US) == 2 * HOUR_US
    gatherer = gather(reading(59.9, 1.050), reading(60, 1.040))
    assert [hour.gravity for hour in gatherer.close(HOUR_US)] == [1.050]
    assert [hour.gravity for hour in gatherer.close(2 * HOUR_US)] == [1.040]


def test_the_hour_is_the_median_of_its_readings() -> None:
    hour = hour_of(reading(1, 1.012), reading(20, 1.011, 19.0), reading(40, 1.010, 18.0))
    assert (hour.gravity, hour.temperature_c, hour.used) == (1.011, 19.0, 3)


def test_hours_without_readings_are_not_among_those_closed() -> None:
    assert HourGatherer().close(HOUR_US) == []
    hours = gather(reading(1, 1.050), reading(200, 1.049)).close(10 * HOUR_US)
    assert [hour.end_us for hour in hours] == [HOUR_US, 4 * HOUR_US]


@pytest.mark.parametrize(
    ("gravity", "temp_c", "why"),
    [
        (0.0, 20.0, "gravity outside 0.975 to 1.200"),
        (1.35, 20.0, "gravity outside 0.975 to 1.200"),
        (1.35, 85.0, "gravity outside 0.975 to 1.200"),
        (None, 20.0, "no gravity"),
        (1.050, 85.0, "temperature outside -5 to 45 °C"),
    ],
)
def test_what_cannot_be_beer_is_passed_over_with_its_reason(gravity: float | None, temp_c: float, why: str) -> None:
    hour = hour_of(reading(1, gravity, temp_c), reading(2, 1.050))
    assert (hour.gravity, hour.used, hour.passed_over) == (1.050, 1, ((why, 1),))


def test_the_temperature_of_a_reading_without_gravity_still_counts() -> None:
    hour = hour_of(reading(1, None, 8.0))
    assert (hour.gravity, hour.temperature_c) == (None, 8.0)


def test_a_lone_spike_is_passed_over() -> None:
    hour = hour_of(*(reading(m, 1.050) for m in (1, 2, 3)), reading(4, 1.107))
    assert (hour.gravity, hour.used, hour.passed_over) == (1.050, 3, (("lone spike", 1),))


def test_of_two_sensors_the_first_leads_until_it_has_been_silent_for_six_hours() -> None:
    gatherer = gather(reading(1, 1.050, sensor="a"), reading(2, 1.060, sensor="b"))
    gatherer.add(VesselReadings.of(reading(60 * hour + 1, 1.060, sensor="b") for hour in range(1, 7)))
    hours = gatherer.close(7 * HOUR_US)
    assert [hour.gravity for hour in hours] == [1.050, *[None] * 5, 1.060]
    assert [hour.sensor_changed for hour in hours] == [False] * 6 + [True]
    assert [hour.passed_over for hour in hours] == [(("another sensor leads in this vessel", 1),)] * 6 + [()]


def test_a_reading_of_a_closed_hour_and_one_out_of_order_are_refused() -> None:
    gatherer = HourGatherer()
    gatherer.close(HOUR_US)
    with pytest.raises(OutOfOrderError, match="1970-01-01T00:30:00Z"):
        gatherer.add(VesselReadings.of([reading(30, 1.050)]))
    gatherer.add(VesselReadings.of([reading(70, 1.050)]))
    with pytest.raises(OutOfOrderError, match="1970-01-01T01:09:00Z"):
        gatherer.add(VesselReadings.of([reading(69, 1.050)]))
    with pytest.raises(OutOfOrderError, match="not in order"):
        gatherer.add(VesselReadings.of([reading(80, 1.050), reading(79, 1.050)]))


def test_the_step_of_a_coarse_sensor_is_found() -> None:
    values = [1.050, 1.049, 1.050, 1.048, 1.049, 1.047, 1.046, 1.047, 1.046, 1.045]
    assert hour_of(*(reading(m, g) for m, g in enumerate(values))).resolution_points == pytest.approx(1.0)
    assert hour_of(*(reading(m, g) for m, g in enumerate(values[:8]))).resolution_points == 0.0


def test_it_remembers_since_when_everything_has_been_the_same() -> None:
    gatherer = gather(reading(1, 1.050), reading(10, 1.024), reading(20, 1.024), reading(30, 1.024))
    (hour,) = gatherer.close(HOUR_US)
    assert (hour.same_since_us, hour.last_used_us) == (10 * MINUTE, 30 * MINUTE)
    gatherer.add(VesselReadings.of([reading(70, 1.024, 20.5)]))
    (hour,) = gatherer.close(2 * HOUR_US)
    assert (hour.same_since_us, hour.last_used_us) == (70 * MINUTE, 70 * MINUTE)


class PlainAccount:
    """The same hours kept reading by reading with the standard library, as the rules are told; slow."""

    def __init__(self) -> None:
        self.lead: str | None = None
        self.lead_heard_us = 0
        self.last: Reading | None = None
        self.same_since_us: int | None = None
        self.last_us: int | None = None
        self.steps: list[float] = []

    def hours(self, readings: list[Reading]) -> list[Hour]:
        return [self.hour(end_us, list(some)) for end_us, some in groupby(readings, lambda r: hour_end(r.at_us))]

    def hour(self, end_us: int, readings: list[Reading]) -> Hour:
        passed_over: Counter[str] = Counter()
        temps, usable = [], []
        for r in readings:
            why = self.why_not(r)
            if why is None:
                usable.append(r)
            else:
                passed_over[why] += 1
                if r.gravity is None and r.temperature_c is not None:
                    temps.append(r.temperature_c)
        took_over = self.choose_lead(usable, end_us)
        led = [r for r in usable if r.sensor == self.lead]
        if len(led) < len(usable):
            passed_over["another sensor leads in this vessel"] = len(usable) - len(led)
        gravities = []
        for r in led:
            self.follow(r)
            gravities.append(r.gravity or 0.0)
            if r.temperature_c is not None:
                temps.append(r.temperature_c)
        if gravities:
            near = [g for g in gravities if abs(g - median(gravities)) * 1000.0 <= 8.0]
            if 0 < len(gravities) - len(near) < len(gravities) / 2:
                passed_over["lone spike"] = len(gravities) - len(near)
                gravities = near
        return Hour(
            end_us,
            median(gravities) if gravities else None,
            median(temps) if temps else None,
            len(gravities),
            tuple(passed_over.items()),
            took_over,
            min(self.steps) if len(self.steps) >= 8 else 0.0,
            self.same_since_us,
            self.last_us,
        )

    @staticmethod
    def why_not(r: Reading) -> str | None:
        if r.gravity is None:
            return "no gravity"
        if not 0.975 <= r.gravity <= 1.200:
            return "gravity outside 0.975 to 1.200"
        if r.temperature_c is not None and not -5.0 <= r.temperature_c <= 45.0:
            return "temperature outside -5 to 45 °C"
        return None

    def choose_lead(self, usable: list[Reading], end_us: int) -> bool:
        if any(r.sensor == self.lead for r in usable):
            self.lead_heard_us = end_us
        elif usable and (self.lead is None or end_us - self.lead_heard_us >= 6 * HOUR_US):
            took_over = self.lead is not None
            self.lead, self.lead_heard_us, self.last = usable[0].sensor, end_us, None
            return took_over
        return False

    def follow(self, r: Reading) -> None:
        last, self.last, self.last_us = self.last, r, r.at_us
        if last is None or (last.gravity, last.temperature_c) != (r.gravity, r.temperature_c):
            self.same_since_us = r.at_us
        if last is not None:
            step = round(abs((r.gravity or 0.0) - (last.gravity or 0.0)) * 1000.0, 3)
            self.steps += [step] if step > 0.0 else []


GRAVITIES = st.one_of(
    st.none(),
    st.sampled_from([0.0, 0.9749, 1.2001, 1.30]),
    st.integers(0, 12).map(lambda points: round(1.040 + points / 1000.0, 3)),
    st.integers(0, 120).map(lambda tenths: round(1.040 + tenths / 10000.0, 4)),
    st.just(1.110),
)
TEMPS = st.one_of(st.none(), st.sampled_from([-10.0, 85.0]), st.integers(360, 380).map(lambda halves: halves / 20.0))
GAPS_MIN = st.one_of(
    st.integers(0, 3), st.integers(1, 30), st.sampled_from([60, 61, 120]), st.integers(60, 600)
)  # fmt: skip
RUNS = st.lists(
    st.tuples(GAPS_MIN, GRAVITIES, TEMPS, st.sampled_from("aab"), st.integers(1, 6)), min_size=1, max_size=40
)


def in_time(runs: Iterable[tuple[int, float | None, float | None, str, int]]) -> list[Reading]:
    """Readings at rising times; a run repeats one pair of values, as a frozen sensor does."""
    readings, minute = [], 0
    for gap, gravity, temp_c, sensor, repeats in runs:
        for _ in range(repeats):
            minute += gap
            readings.append(reading(minute, gravity, temp_c, sensor))
    return readings


@pytest.mark.no_cover
@given(runs=RUNS)
def test_every_hour_is_as_kept_reading_by_reading(runs: list[tuple[int, float | None, float | None, str, int]]) -> None:
    readings = in_time(runs)
    hours = gather(*readings).close(hour_end(readings[-1].at_us))
    plain = PlainAccount().hours(readings)
    assert len(hours) == len(plain)
    for ours, theirs in zip(hours, plain, strict=True):
        assert sorted(ours.passed_over) == sorted(theirs.passed_over)
        for name in ("gravity", "temperature_c"):
            # Two ways to halve the sum of the middle two may round apart.
            assert getattr(ours, name) == pytest.approx(getattr(theirs, name), abs=1e-12)
        for name in ("end_us", "used", "sensor_changed", "resolution_points", "same_since_us", "last_used_us"):
            assert getattr(ours, name) == getattr(theirs, name)


@pytest.mark.no_cover
@given(runs=RUNS, data=st.data())
def test_one_reading_at_a_time_gives_at_every_step_the_hours_of_all_at_once(
    runs: list[tuple[int, float | None, float | None, str, int]], data: st.DataObject
) -> None:
    readings = in_time(runs)
    at_once = gather(*readings).close(hour_end(readings[-1].at_us))
    streaming, cut = HourGatherer(), HourGatherer()
    streamed, in_pieces = [], []
    for i, r in enumerate(readings):
        streaming.add(VesselReadings.of([r]))
        streamed += streaming.close(r.at_us)
        known = [hour for hour in at_once if hour.end_us <= r.at_us]
        assert streamed == known
        cut.add(VesselReadings.of([r]))
        if data.draw(st.booleans(), label=f"close after reading {i}"):
            in_pieces += cut.close(r.at_us)
            assert in_pieces == known
    end_us = hour_end(readings[-1].at_us)
    assert streamed + streaming.close(end_us) == at_once
    assert in_pieces + cut.close(end_us) == at_once
