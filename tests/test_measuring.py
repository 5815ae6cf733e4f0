"""Where coverage is measured and where it is not: a mark that does nothing is seen by nobody, it only takes time."""

from __future__ import annotations

import sys
from typing import Any

import coverage
import pytest

from lullwort.detector import judge
from lullwort.detector.batchjudge import BatchJudge
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal import invent
from lullwort.science import numerics
from lullwort.standing import judging


@pytest.fixture
def measuring_when_made() -> bool:
    return coverage.Coverage.current() is not None


@pytest.mark.no_cover
def test_neither_a_test_marked_no_cover_nor_what_it_is_given_is_measured(measuring_when_made: bool) -> None:
    assert not measuring_when_made
    assert coverage.Coverage.current() is None


def test_any_other_is_measured_where_one_marked_no_cover_was_before(
    request: pytest.FixtureRequest, measuring_when_made: bool
) -> None:
    option = request.config.getoption
    measured = bool(option("cov_source", None)) and not option("no_cov", False)
    assert measuring_when_made == measured
    assert (coverage.Coverage.current() is not None) == measured


def test_reckoning_is_measured_in_its_own_tests_alone_and_measuring_goes_on_after_it() -> None:
    before, inside = sys.gettrace(), set[Any]()

    def rising(x: float) -> float:
        inside.add(sys.gettrace())
        return x - 1.0

    assert numerics.solve_increasing(rising, 0.0, 3.0, tolerance=1e-9) == pytest.approx(1.0)
    assert inside == {None}
    assert sys.gettrace() is before


def test_the_same_is_judged_once_and_each_is_given_an_answer_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    ale = invent("plain ale", 6)
    batch, readings = ale.batch, VesselReadings.of(ale.readings)
    as_of_us = batch.pitched_us + 100 * HOUR_US
    in_full = [judge(batch, readings, as_of_us=as_of_us + n * HOUR_US) for n in (0, 1)]
    judge_once: Any = vars(judging)["judge"]
    begun = list[BatchJudge]()
    advance = BatchJudge.advance

    def noted(streaming: BatchJudge, to_us: int) -> None:
        begun.append(streaming)
        advance(streaming, to_us)

    monkeypatch.setattr(BatchJudge, "advance", noted)
    first = judge_once(batch, readings, as_of_us=as_of_us)
    assert first == in_full[0]
    judged = len({id(one) for one in begun})
    first.history.clear()
    assert judge_once(batch, readings, as_of_us=as_of_us) == in_full[0]
    assert len({id(one) for one in begun}) == judged == 1
    assert judge_once(batch, readings, as_of_us=as_of_us + HOUR_US) == in_full[1]
    assert judge_once(batch, readings.within(0, as_of_us - HOUR_US), as_of_us=as_of_us) != in_full[0]
    assert len({id(one) for one in begun}) == 3
