"""With a sensor's answer to temperature known a cold beer reads as it is, and the verdict says what was taken off."""

from __future__ import annotations

from itertools import pairwise

import msgspec
import pytest

from lullwort.analysis import answer_of, answers_in
from lullwort.detector import BatchJudge, LiveJudge, Units, evidence, judge
from lullwort.forecast.ahead import _twin
from lullwort.records import Batch, SensorTraits, TemperatureAnswer, VesselReadings
from lullwort.rehearsal import Invented, invent

pytestmark = pytest.mark.no_cover


@pytest.fixture(scope="module")
def chilled() -> Invented:
    return invent("cold crash after the end", 3)


@pytest.fixture(scope="module")
def knowing(chilled: Invented) -> Batch:
    """The batch with what its own log teaches kept with its sensor."""
    (lesson,) = answers_in(chilled.batch, VesselReadings.of(chilled.readings), chilled.newest_us)
    assert lesson.answer is not None
    answer = answer_of([lesson.answer], 20.0, 0)
    assert isinstance(answer, TemperatureAnswer)
    return msgspec.structs.replace(chilled.batch, sensors=(SensorTraits(name=lesson.sensor, answer=answer),))


def test_the_cold_sensor_reads_as_before_the_cold(chilled: Invented, knowing: Batch) -> None:
    readings = VesselReadings.of(chilled.readings)
    errors = []
    for batch in (chilled.batch, knowing):
        judged = judge(batch, readings, as_of_us=chilled.newest_us)
        assert judged.now.gravity is not None
        assert judged.now.temp_c is not None
        assert judged.now.temp_c < 6.0
        warm = next(c.seen.gravity for c in judged.history if c.verdict == "ready")
        assert warm is not None
        errors.append(abs(judged.now.gravity - warm))
    assert errors[0] > 4.0
    assert errors[1] < 1.0


def test_the_verdict_says_what_is_taken_off_and_by_what_it_is_known(chilled: Invented, knowing: Batch) -> None:
    readings = VesselReadings.of(chilled.readings)
    seen = judge(knowing, readings, as_of_us=chilled.newest_us).now
    says = {check.check: check.says for check in evidence(seen)}["where it should be"]
    assert "This sensor reads 0." in says
    assert "for each °C warmer, learned from 1 batch, which is taken off." in says
    american = evidence(seen, Units(gravity="plato", temperature="F"))
    assert "°P lower for each °F warmer" in " ".join(check.says for check in american)
    bare = evidence(judge(chilled.batch, readings, as_of_us=chilled.newest_us).now)
    assert "warmer, learned" not in " ".join(check.says for check in bare)


def test_live_judging_comes_to_the_same(chilled: Invented, knowing: Batch) -> None:
    readings = VesselReadings.of(chilled.readings)
    live = LiveJudge(knowing, readings.within)
    stops = [knowing.pitched_us, *range(knowing.pitched_us, chilled.newest_us, 10**11), chilled.newest_us]
    for _, stop_us in pairwise(stops):
        live.judged(stop_us)
    assert live.judged(chilled.newest_us).history == judge(knowing, readings, as_of_us=chilled.newest_us).history


def test_a_forecast_takes_nothing_off_twice(knowing: Batch) -> None:
    assert BatchJudge(knowing).watch.correction.answers
    assert not _twin(BatchJudge(knowing)).watch.correction.answers
