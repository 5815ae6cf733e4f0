"""The score's arithmetic on made-up outcomes, and the simple methods on series drawn by hand."""

from __future__ import annotations

import pytest

from lullwort.rehearsal import invent
from lullwort.rehearsal.methods import SIMPLE_METHODS, Call, by_detector
from lullwort.rehearsal.outcome import outcome_of
from lullwort.rehearsal.score import cases, false_rate_bound, score, score_of


def test_a_ready_with_more_than_two_points_left_is_false_whenever_it_comes() -> None:
    ale = invent("plain ale", 1)
    early = ale.batch.pitched_us + 40 * 3_600_000_000
    late = ale.batch.pitched_us + 400 * 3_600_000_000
    false = outcome_of(ale, [Call(early, "ready"), Call(early + 1, "fermenting"), Call(late, "ready")])
    true = outcome_of(ale, [Call(late, "ready")])
    assert (false.false_ready, true.false_ready) == (True, False)
    assert false.withdrawals == 1
    assert true.delay_h == pytest.approx(400 - (ale.oracle_hour() or 0))
    assert false.delay_h is None


def test_never_ready_counts_only_beers_that_finished() -> None:
    assert outcome_of(invent("plain ale", 1), []).never_ready
    assert not outcome_of(invent("stuck warm", 1), []).never_ready


def test_rows_add_up_and_none_in_n_is_not_zero() -> None:
    outcomes = [outcome_of(invent("plain ale", seed), []) for seed in range(3)]
    result = score_of(outcomes)
    assert result.total.batches == result.rows[0].batches == 3
    assert result.total.never_ready == 3
    assert (result.total.median_delay_h, result.total.worst_points_left) == (None, None)
    # Rule of three: about 3/n at 95 %. Common practice, no source.
    assert false_rate_bound(0, 300) == pytest.approx(3.0 / 300.0, rel=0.02)
    assert false_rate_bound(3, 3) == 1.0


def test_kinds_are_equally_many() -> None:
    kinds = [case.kind for case in cases(range(4))]
    assert {kinds.count(kind) for kind in kinds} == {4}


def test_the_detector_beats_the_simple_methods_on_a_fixed_small_sample() -> None:
    # Seeds apart from those it was tuned on (100 and up, 300 and up). The bounds would catch a regression: measured
    # 2 false of 54, median 34 h after the oracle; the best of the simple methods has 7 false here.
    of = cases(range(5000, 5003))
    detector = score(by_detector, of, workers=1).total
    others = [score(method, of, workers=1).total for method in SIMPLE_METHODS.values()]
    assert detector.false_ready < min(other.false_ready for other in others)
    assert detector.false_ready <= 2
    assert detector.never_ready <= 3
    assert detector.median_delay_h is not None
    assert detector.median_delay_h < 60.0
