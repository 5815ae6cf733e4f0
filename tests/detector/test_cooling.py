"""A temperature that is lost, and a slow crash: what was proved stands, what was not is not assumed. All invented."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.alerts import AlertSettings, BatchSeen, ServiceSeen, conditions
from lullwort.detector import Judged, Units, evidence, reason
from lullwort.records import Reading

Floats = NDArray[np.float64]
Points = Callable[[Floats], Floats]
Bench = Any  # the fixture's class lives in conftest.py

FINE = ServiceSeen(now_us=10**15, started_us=10**15, away_us=0, free_bytes=1 << 40)


def lost_from(readings: list[Reading], at_us: int) -> list[Reading]:
    """The same log without its temperatures from `at_us` [µs] on."""
    return [r if r.at_us < at_us else Reading(r.sensor, r.vessel, r.at_us, r.gravity, None) for r in readings]


def stopped(bench: Bench, stop_h: float, temps_end_h: float, days: float = 14.0) -> list[Reading]:
    """An ale that the cold stops at `stop_h`, in a log whose temperatures end at `temps_end_h`."""
    ale: Points = bench.ale()
    return lost_from(bench.readings(lambda h: ale(np.minimum(h, stop_h)), days), bench.at(temps_end_h))


# -- a temperature that is lost ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("stop_h", [78.0, 90.0])
def test_a_beer_that_stops_after_its_temperature_was_lost_is_never_ready(bench: Bench, stop_h: float) -> None:
    judged = bench.judge(stopped(bench, stop_h, 75.0), original_gravity=1.0493)
    assert "ready" not in bench.story(judged)
    assert judged.verdict == "unclear"
    assert judged.now.temp_c is None
    assert "no temperature" in reason("unclear", judged.now)
    assert "when its temperature was last known" in {c.check: c.says for c in evidence(judged.now)}["little left"]


def test_a_crash_noted_without_a_fresh_temperature_counts_as_cold(bench: Bench) -> None:
    judged = bench.judge(stopped(bench, 90.0, 75.0), original_gravity=1.0493, events=(bench.event(84, "crash"),))
    assert "ready" not in bench.story(judged)
    assert judged.verdict == "too cold"
    assert "A cold crash is noted and the log gives no temperature" in reason("too cold", judged.now)


def test_the_vessel_s_steady_temperature_stands_in_for_one_that_is_lost(bench: Bench) -> None:
    readings = lost_from(bench.readings(bench.ale(), 14), bench.at(75.0))
    assert bench.judge(readings, steady_temperature_c=20.0).verdict == "ready"
    assert bench.judge(readings).verdict == "unclear"


def test_a_temperature_that_is_missing_for_some_hours_is_carried_on(bench: Bench) -> None:
    whole = bench.readings(bench.ale(), 14)
    seldom = [
        r if index % 20 == 0 else Reading(r.sensor, r.vessel, r.at_us, r.gravity, None)
        for index, r in enumerate(whole)  # every ten hours
    ]
    assert bench.story(bench.judge(seldom)) == bench.story(bench.judge(whole))


@pytest.mark.parametrize(("lost_h", "asleep_h"), [(75.0, 0.0), (75.0, 156.0), (160.0, 0.0)])
def test_what_comes_back_warm_after_its_temperature_was_lost_is_proved_anew(
    bench: Bench, lost_h: float, asleep_h: float
) -> None:
    ale: Points = bench.ale()
    # The log does not say whether it was cold from 84 h on; from 240 h on it is warm.
    readings = bench.readings(lambda h: ale(np.where(h < 84.0, h, np.maximum(84.0, h - asleep_h))), 24)
    back_us = bench.at(240.0)
    unseen = lost_from([r for r in readings if r.at_us < back_us], bench.at(lost_h))
    judged = bench.judge(unseen + [r for r in readings if r.at_us >= back_us])
    assert judged.verdict == "ready"
    assert all(hour > 240.0 + 48.0 for hour in bench.hours(judged, "ready"))
    assert "(no temperature until then)" in {c.check: c.says for c in evidence(judged.now)}["undisturbed"]


def test_a_beer_that_falls_on_after_ready_takes_it_back_though_its_temperature_is_lost(bench: Bench) -> None:
    ale: Points = bench.ale()
    readings = bench.readings(lambda h: ale(h) - np.maximum(h - 260.0, 0.0) * 0.1, 18)
    judged = bench.judge(lost_from(readings, bench.at(230.0)))
    (ready_h,) = bench.hours(judged, "ready")
    assert ready_h < 230.0
    assert bench.story(judged)[3] == "ready"
    assert judged.verdict == "unclear"
    assert bench.hours(judged, "unclear")[0] < 310.0


# -- a slow crash ------------------------------------------------------------------------------------------------------


@pytest.mark.no_cover
@pytest.mark.parametrize("noted", [True, False])
@pytest.mark.parametrize("yeast_min_c", [5.0, 8.0, 12.0, 14.0, None])
def test_a_crash_however_slow_leaves_ready_standing(bench: Bench, yeast_min_c: float | None, noted: bool) -> None:
    for k_per_day in (2.0, 4.0, 6.0, 12.0, 18.0, 36.0):
        judged = cooled(bench, k_per_day, yeast_min_c, noted=noted)
        assert bench.story(judged) == ["lag", "fermenting", "holding", "ready"], k_per_day
        assert "temperature" in judged.now.restarted_by
        alarms = conditions([BatchSeen(judged)], [], FINE, AlertSettings(), Units(), ())
        assert [alarm.kind for alarm in alarms] == ["ready"]


def cooled(bench: Bench, k_per_day: float, yeast_min_c: float | None, *, noted: bool) -> Judged:
    """An ale cooled from 20 to 2 °C at this rate from 240 h on, days after it was ready."""

    def temp(h: Floats) -> Floats:
        return np.maximum(2.0, 20.0 - np.maximum(h - 240.0, 0.0) * k_per_day / 24.0)

    events = (bench.event(240, "crash"),) if noted else ()
    judged: Judged = bench.judge(bench.readings(bench.ale(), 20, temp_c=temp), yeast_min_c=yeast_min_c, events=events)
    return judged


def test_a_lager_cooled_slowly_after_its_warm_rest_stays_ready(bench: Bench) -> None:
    def temp(h: Floats) -> Floats:
        return np.interp(h, [0.0, 60.0, 84.0, 260.0, 428.0], [11.0, 11.0, 16.0, 16.0, 2.0])

    for yeast_min_c in (5.0, None):
        judged = bench.judge(bench.readings(bench.ale(), 22, temp_c=temp), yeast_min_c=yeast_min_c)
        assert bench.story(judged)[-1] == "ready"
        assert bench.story(judged).count("ready") == 1


def test_warming_after_a_slow_crash_reopens_at_once(bench: Bench) -> None:
    def temp(h: Floats) -> Floats:
        return np.interp(h, [240.0, 360.0, 400.0, 406.0], [20.0, 10.0, 10.0, 20.0])

    judged = bench.judge(bench.readings(bench.ale(), 24, temp_c=temp), yeast_min_c=5.0)
    assert bench.story(judged)[3:] == ["ready", "holding", "ready"]
    assert 400.0 < bench.hours(judged, "holding")[1] <= 408.0
