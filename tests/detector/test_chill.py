"""A cold crash: after `ready` it changes nothing, before it the verdict says what the cold hides. All invented."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from lullwort.alerts import AlertSettings, BatchSeen, ServiceSeen, conditions
from lullwort.detector import (
    BatchJudge,
    Judged,
    Units,
    advice,
    changes_when,
    check_changes_when,
    evidence,
    judge,
    reason,
)
from lullwort.detector.judge import judged_so_far
from lullwort.records import HOUR_US, Reading, VesselReadings
from lullwort.rehearsal import Family, invent

Floats = NDArray[np.float64]
Points = Callable[[Floats], Floats]
Bench = Any  # the fixture's class lives in conftest.py

FAMILIES: tuple[Family, Family] = ("tail", "uptake")
FINE = ServiceSeen(now_us=10**15, started_us=10**15, away_us=0, free_bytes=1 << 40)


@pytest.mark.no_cover
@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("seed", [2, 3, 7, 29])  # two of each sign of the sensor's error with temperature
def test_a_crash_after_ready_neither_withdraws_it_nor_alarms(family: Family, seed: int) -> None:
    invented = invent("cold crash after the end", seed, family=family)
    crash_us = invented.batch.events[0].at_us
    readings = VesselReadings.of(invented.readings)
    streaming = BatchJudge(invented.batch)
    streaming.add(readings.within(0, crash_us))
    standing = streaming.history[-1]
    assert standing.verdict == "ready"
    alarms = set()
    for hour in range(1, 120):
        to_us = crash_us + hour * HOUR_US
        streaming.add(readings.within(to_us - HOUR_US, to_us))
        streaming.advance(to_us)
        judged = judged_so_far(streaming, to_us, 0)
        found = conditions([BatchSeen(judged)], [], FINE, AlertSettings(), Units(), ())
        alarms |= {alert.kind for alert in found}
    assert streaming.history[-1] == standing
    assert alarms == {"ready"}
    assert judged.now.chilled is None
    assert not judged.now.passed["warm enough"]


def crashed(bench: Bench, crash_h: float, *, per_k: float = 0.0, end_c: float = 3.0) -> list[Reading]:
    """An ale chilled from 20 °C within a day from `crash_h` on, in which it stands still from 14 °C on."""
    ale: Points = bench.ale()

    def temp(h: Floats) -> Floats:
        return np.interp(h, [crash_h, crash_h + 24.0], [20.0, end_c])

    def points(h: Floats) -> Floats:
        asleep_h = crash_h + 24.0 * 6.0 / (20.0 - end_c)
        return ale(np.minimum(h, asleep_h)) + per_k * (temp(h) - 20.0)

    readings: list[Reading] = bench.readings(points, 18, temp_c=temp)
    return readings


def says_of_warmth(judged: Judged, units: Units | None = None) -> str:
    return {c.check: c.says for c in evidence(judged.now, units)}["warm enough"]


def truly_left(bench: Bench, hour: float) -> float:
    return float(bench.ale()(np.array([hour]))[0]) - 11.0


@pytest.mark.no_cover
@pytest.mark.parametrize("per_k", [0.6, 0.0, -0.6])
@pytest.mark.parametrize("crash_h", [79.0, 90.0, 110.0])
def test_a_crash_before_ready_is_too_cold_and_says_what_was_left_when_it_began(
    bench: Bench, crash_h: float, per_k: float
) -> None:
    judged = bench.judge(crashed(bench, crash_h, per_k=per_k))
    assert judged.verdict == "too cold"
    assert "ready" not in bench.story(judged)
    chilled = judged.now.chilled
    assert chilled is not None
    assert bench.at(crash_h - 3.0) <= chilled.at_us <= bench.at(crash_h + 3.0)
    left = truly_left(bench, crash_h)
    assert chilled.left == pytest.approx(left, abs=1.0 + 0.4 * left)
    assert left < chilled.left_upper < 11.0 + left + 12.5  # at 1.050 the driest beer is at -11.1 [Balling1865]
    assert (judged.now.left, judged.now.left_upper) == (chilled.left, chilled.left_upper)
    assert not judged.now.passed["little left"]
    for words in (reason("too cold", judged.now), says_of_warmth(judged)):
        assert "Cold stops the yeast, so holding still proves nothing now" in words
        assert "will ferment when the beer or its bottles get warm" in words


@pytest.mark.no_cover
@pytest.mark.parametrize("chill_h", [85.0, 110.0, 150.0])
@pytest.mark.parametrize("original_gravity", [1.050, None])
@pytest.mark.parametrize("end", [None, (0.992, 0.992), (0.992, 0.998)])
def test_what_ends_below_water_may_lose_more_than_to_water(
    bench: Bench, end: tuple[float, float] | None, original_gravity: float | None, chill_h: float
) -> None:
    quick, slow = bench.ale(end=-8.0), lambda h: -8.0 + 58.0 * np.exp(-h / 70.0)
    wort: Points = quick if chill_h == 85.0 else slow

    def temp(h: Floats) -> Floats:
        return np.interp(h, [chill_h, chill_h + 12.0], [20.0, 3.0])

    readings = bench.readings(lambda h: wort(np.minimum(h, chill_h + 3.5)), chill_h / 24.0 + 6.0, temp_c=temp)
    judged = bench.judge(readings, original_gravity=original_gravity, expected_final_gravity=end)
    chilled = judged.now.chilled
    assert judged.verdict == "too cold"
    assert chilled is not None
    left = float(wort(np.array([chill_h + 3.5]))[0]) + 8.0
    # The driest beer of a wort of 1.050 lies at 0.9889 [Balling1865].
    assert left <= chilled.left_upper <= left + 11.1 - 8.0 + 4.0
    assert chilled.left <= chilled.left_upper
    if end is None:  # what yeast generally does says nothing of a beer that has gone past it
        assert chilled.left > 2.5


def test_what_was_left_is_told_in_the_brewer_s_units_and_the_caution_with_what_to_do(bench: Bench) -> None:
    judged = bench.judge(crashed(bench, 81.0))
    assert judged.now.chilled is not None
    assert judged.now.chilled.left == pytest.approx(5.0, abs=1.5)
    units = Units(gravity="plato", temperature="F", zone="Europe/Berlin")
    words = says_of_warmth(judged, units)
    for part in ("It is 37.4 °F", "°P were still to fall, at most", "by where it should end", "CET"):
        assert part in words
    assert "points" not in words
    assert "points were still to fall" in says_of_warmth(judged)
    assert check_changes_when("little left", judged.now).startswith("Holds at the earliest once it is warm again")
    next_step = advice("too cold", judged.now, Units())
    for part in ("Do not package", "gush", "burst", "keep them cold", "eyes and hands covered"):
        assert part in next_step


def test_more_caution_asks_how_much_was_left_at_most_more_surely(bench: Bench) -> None:
    readings = crashed(bench, 120.0)
    upper = {}
    for caution, sure in (("careful", "49 in 50 sure"), ("brisk", "9 in 10 sure")):
        judged = bench.judge(readings, caution=caution)
        assert sure in says_of_warmth(judged)
        upper[caution] = judged.now.chilled.left_upper
    assert upper["careful"] > upper["brisk"]


def test_a_noted_crash_dates_what_was_known_even_while_the_beer_is_still_warm(bench: Bench) -> None:
    readings = crashed(bench, 95.0)
    judged = bench.judge(readings, until_h=96.0, events=(bench.event(94.5, "crash"),))
    assert judged.now.passed["warm enough"]
    assert judged.now.chilled is not None
    assert judged.now.chilled.at_us == bench.at(94.0)
    assert bench.judge(readings, until_h=96.0).now.chilled is None


def test_a_crash_that_was_noted_and_did_not_come_is_forgotten(bench: Bench) -> None:
    judged = bench.judge(bench.readings(bench.ale(), 14), events=(bench.event(95, "crash"),))
    assert judged.verdict == "ready"
    assert judged.now.chilled is None


def test_where_the_log_has_no_temperature_a_noted_crash_is_cold_until_it_is_warmed(bench: Bench) -> None:
    readings = [Reading(r.sensor, r.vessel, r.at_us, r.gravity, None) for r in bench.readings(bench.ale(), 16)]
    crash, warm = bench.event(95, "crash"), bench.event(240, "warm")
    cold = bench.judge(readings, steady_temperature_c=20.0, events=(crash,))
    assert cold.verdict == "too cold"
    assert "A cold crash is noted and the log gives no temperature" in says_of_warmth(cold)
    assert changes_when("too cold", cold.now).startswith("`warm` noted ends this")
    assert "once `warm` is noted" in check_changes_when("warm enough", cold.now)
    warmed = bench.judge(readings, steady_temperature_c=20.0, events=(crash, warm))
    assert warmed.verdict == "ready"
    assert all(hour > 240 + 48 for hour in bench.hours(warmed, "ready"))


def test_a_beer_that_is_warmed_again_after_its_crash_has_nothing_hidden(bench: Bench) -> None:
    ale: Points = bench.ale()

    def temp(h: Floats) -> Floats:
        return np.interp(h, [90.0, 114.0, 200.0, 224.0], [20.0, 3.0, 3.0, 20.0])

    def points(h: Floats) -> Floats:
        return ale(np.where(h < 98.5, h, np.maximum(98.5, h - 117.0)))

    judged = bench.judge(bench.readings(points, 24, temp_c=temp))
    assert "too cold" in bench.story(judged)
    assert judged.verdict == "ready"
    assert all(hour > 215 + 48 for hour in bench.hours(judged, "ready"))
    assert judged.now.chilled is None


@pytest.mark.no_cover
@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("seed", [1, 3])
def test_a_dry_hop_shortly_before_the_cold_is_named_among_what_it_hides(family: Family, seed: int) -> None:
    invented = invent("creep while cold", seed, family=family)
    judged = judge(invented.batch, VesselReadings.of(invented.readings))
    assert judged.verdict == "too cold"
    assert judged.now.chilled is not None
    assert judged.now.chilled.awaited == "dry hop"
    assert "What the dry hop brings need not be among them." in reason("too cold", judged.now)
