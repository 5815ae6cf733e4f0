"""The four simple methods on series drawn by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from lullwort.records import HOUR_US, Event, Reading
from lullwort.rehearsal import Invented
from lullwort.rehearsal.methods import SIMPLE_METHODS
from lullwort.rehearsal.simple_methods import (
    medians_apart,
    rolling_medians,
    same_hydrometer_reading,
    spread_of_medians,
    take_samples,
)

FROM_THE_LOG = [name for name in SIMPLE_METHODS if "hydrometer" not in name]


def fall_then_flat(flat_from_h: int = 100, end: float = 10.0, length_h: int = 400) -> list[float]:
    """A straight fall from 50 points, then no movement at all."""
    return np.interp(np.arange(length_h), [0, flat_from_h], [50.0, end]).tolist()


def ready_hours(of: Invented, name: str) -> list[float]:
    return [of.hour_of(call.at_us) for call in SIMPLE_METHODS[name](of) if call.verdict == "ready"]


@pytest.mark.parametrize(
    ("first", "second", "finished"), [(1.012, 1.011, True), (1.011, 1.012, True), (1.028, 1.017, False)]
)
def test_two_readings_two_days_apart_within_a_point_are_said_to_mean_finished(
    first: float, second: float, finished: bool
) -> None:
    # within 0.001 means finished, 1.028 then 1.017 does not: common practice, no source
    assert same_hydrometer_reading(first, second) is finished


def test_the_hydrometer_is_read_from_day_4_on_every_48_h(make_invented: Callable[..., Invented]) -> None:
    falling = make_invented(np.linspace(90.0, 10.0, 400).tolist())
    samples = take_samples(falling)
    # 9.6 points in 48 h cannot look like one: openings at 96, 144, ... 384 h and no ready
    assert (samples.ready_us, samples.openings) == (None, 7)


@pytest.mark.parametrize("seed", range(5))
def test_the_hydrometer_calls_a_flat_beer_finished_within_a_few_openings(
    make_invented: Callable[..., Invented], seed: int
) -> None:
    flat = make_invented(fall_then_flat(60), seed=seed)
    ready = ready_hours(flat, "hydrometer every 48 h")
    assert ready[0] >= 144.0
    assert (ready[0] - 96.0) % 48.0 == 0.0
    assert take_samples(flat).openings == (ready[0] - 96.0) / 48.0 + 1


def test_the_hydrometer_looks_at_the_beer_and_not_at_the_sensor(make_invented: Callable[..., Invented]) -> None:
    points = fall_then_flat(60)
    assert take_samples(make_invented(points)) == take_samples(make_invented(points, readings=[]))


@pytest.mark.parametrize("name", FROM_THE_LOG)
def test_a_perfect_log_is_ready_about_two_days_after_it_goes_flat(
    make_invented: Callable[..., Invented], name: str
) -> None:
    ready = ready_hours(make_invented(fall_then_flat(100)), name)
    assert len(ready) == 1
    # the median of slopes lets the first quarter of the window still fall
    assert 100.0 + 0.7 * 48.0 <= ready[0] <= 100.0 + 48.0 + 6.0


def test_medians_apart_are_fooled_by_a_rise_that_the_spread_of_medians_sees(
    make_invented: Callable[..., Invented],
) -> None:
    # down to 10, up to 20, down to 10 every 48 h: what it was two days ago, and never still
    wave = [50.0 - min(i, 40) if i < 40 else 10.0 + 5.0 * (1 - np.cos(2 * np.pi * i / 48.0)) for i in range(400)]
    of = make_invented(wave)
    assert medians_apart(of.readings, of.batch) is not None
    assert spread_of_medians(of.readings, of.batch) is None


def test_only_the_robust_slope_asks_whether_a_flat_beer_stands_where_it_should(
    make_invented: Callable[..., Invented],
) -> None:
    stuck = make_invented(fall_then_flat(80, end=22.0))
    assert ready_hours(stuck, "robust slope with gates") == []
    assert len(ready_hours(stuck, "spread of 6 h medians")) == 1
    unknown = make_invented(fall_then_flat(80, end=22.0), expected=None)
    assert len(ready_hours(unknown, "robust slope with gates")) == 1


def test_the_robust_slope_waits_until_a_quarter_of_the_gravity_is_gone(make_invented: Callable[..., Invented]) -> None:
    of_too_little = make_invented(fall_then_flat(20, end=40.0), expected=None)
    assert ready_hours(of_too_little, "robust slope with gates") == []


@pytest.mark.parametrize("name", SIMPLE_METHODS)
def test_a_dry_hop_takes_ready_back_and_starts_the_clock_anew(
    make_invented: Callable[..., Invented], dry_hop: Callable[[float], Event], name: str
) -> None:
    hopped = make_invented(fall_then_flat(60), events=(dry_hop(300.0),))
    calls = [(hopped.hour_of(c.at_us), c.verdict) for c in SIMPLE_METHODS[name](hopped)]
    assert [verdict for _, verdict in calls] == ["ready", "holding", "ready"]
    assert calls[1][0] == 300.0
    assert calls[2][0] >= 348.0


@pytest.mark.parametrize("name", FROM_THE_LOG)
def test_no_reading_no_ready(make_invented: Callable[..., Invented], name: str) -> None:
    assert ready_hours(make_invented(fall_then_flat(), readings=[]), name) == []


def test_medians_leave_impossible_values_out_and_are_missing_where_half_the_hours_are(
    make_invented: Callable[..., Invented],
) -> None:
    of = make_invented([10.0] * 40)
    start = of.batch.pitched_us
    log = [Reading("north", "north", start + h * HOUR_US, 1.010, 20.0) for h in range(40) if not 12 <= h < 24]
    log[3] = Reading("north", "north", start + 3 * HOUR_US, 9.0, 20.0)
    log[5] = Reading("north", "north", start + 5 * HOUR_US, None, 20.0)
    medians = rolling_medians(log, of.batch, 6)
    assert medians[5] == pytest.approx(1.010, abs=1e-6)
    assert np.isnan(medians[17:23]).all()
    assert medians[30] == pytest.approx(1.010, abs=1e-6)


def test_medians_are_corrected_to_20_c_for_the_liquid(make_invented: Callable[..., Invented]) -> None:
    of = make_invented([10.0] * 12)
    cold = [Reading("north", "north", of.batch.pitched_us + h * HOUR_US, 1.0122, 4.0) for h in range(12)]
    # a beer from 50 to 10 points is 0.0022 denser at 4 °C: computed from published sucrose and ethanol equations
    assert rolling_medians(cold, of.batch, 6)[8] == pytest.approx(1.010, abs=0.0003)


@pytest.mark.parametrize("name", FROM_THE_LOG)
def test_the_order_in_which_readings_came_changes_nothing(make_invented: Callable[..., Invented], name: str) -> None:
    of = make_invented(fall_then_flat())
    late = make_invented(fall_then_flat(), readings=[*of.readings[200:], *of.readings[:200]])
    assert ready_hours(late, name) == ready_hours(of, name) != []
