"""The score's arithmetic on made-up outcomes, and the simple methods on series drawn by hand."""

from __future__ import annotations

from math import comb

import pytest

from lullwort.rehearsal import invent
from lullwort.rehearsal.comparison import CHANGE_DETECTION, DETECTOR, compare, compare_entries, table
from lullwort.rehearsal.entries import ENTRIES
from lullwort.rehearsal.methods import SIMPLE_METHODS, Call, by_detector
from lullwort.rehearsal.outcome import Outcome, outcome_of
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


def made_up(kind: str, delay_h: float | None, worst: float | None, unclear_h: float = 0.0) -> Outcome:
    return Outcome(
        kind=kind,
        seed=0,
        oracle_h=100.0,
        declared_h=None if delay_h is None else 100.0 + delay_h,
        points_left=worst,
        worst_points_left=worst,
        withdrawals=1,
        unclear_h=unclear_h,
    )


def test_a_row_counts_what_its_outcomes_say() -> None:
    ale = [made_up("ale", 10.0 * i, 0.5) for i in range(11)]
    lager = [made_up("lager", 5.0, 1.5, 7.0), made_up("lager", 5.0, 2.5, 3.0), made_up("lager", None, None)]
    result = score_of([*ale, *lager])
    first, second = result.rows
    assert (first.name, first.declared, first.median_delay_h, first.p90_delay_h) == ("ale", 11, 50.0, 90.0)
    assert (second.batches, second.declared, second.false_ready, second.over_one_point) == (3, 1, 1, 2)
    assert (second.never_ready, second.worst_points_left, second.unclear_h, second.withdrawals) == (1, 2.5, 10.0, 3)
    assert (result.total.batches, result.total.false_ready, result.total.declared) == (14, 1, 12)


def test_the_bound_solves_its_own_equation() -> None:
    # Clopper-Pearson, one-sided: at the bound, 2 or fewer of 50 have a chance of 5 %
    p = false_rate_bound(2, 50)
    two_or_fewer = sum(comb(50, k) * p**k * (1.0 - p) ** (50 - k) for k in range(3))
    assert two_or_fewer == pytest.approx(0.05, abs=1e-9)


def test_all_methods_are_compared_on_the_same_batches_in_one_table() -> None:
    comparison = compare(range(1, 2), "uptake", kinds=("plain ale", "stuck warm"), workers=1)
    assert list(comparison) == [*SIMPLE_METHODS, CHANGE_DETECTION, DETECTOR]
    assert {tuple((o.kind, o.oracle_h) for o in result.outcomes) for result in comparison.values()} == {
        (("plain ale", invent("plain ale", 1, family="uptake").oracle_hour()), ("stuck warm", None))
    }
    lines = table(comparison).splitlines()
    assert len({len(line) for line in lines[:7]}) == 1
    assert [line.split("  ")[0] for line in lines] == [
        "method",
        *SIMPLE_METHODS,
        CHANGE_DETECTION,
        DETECTOR,
        *(line for name in reversed(list(comparison)) for line in ("", f"{name}, by kind", "plain ale", "stuck warm")),
    ]
    for name, result in comparison.items():
        stuck = lines[lines.index(next(line for line in lines if line.startswith(f"{name}, by kind"))) + 2]
        assert stuck.split()[2:4] == ["1", str(result.rows[1].false_ready)]


@pytest.mark.no_cover
def test_each_wrong_entry_is_scored_on_the_same_batches() -> None:
    lines = compare_entries(range(1, 2), kinds=("stuck warm",), workers=1).splitlines()
    assert [line.split("  ")[0] for line in lines] == ["entries", *ENTRIES]
    assert {line.split()[-1] for line in lines[1:]} == {"0"}  # nothing to take back of a beer that is never ready


@pytest.mark.no_cover
def test_two_processes_score_as_one_does() -> None:
    of = cases(range(2), ("plain ale",))
    method = SIMPLE_METHODS["6 h medians 48 h apart"]
    assert score(method, of, workers=2) == score(method, of, workers=1)


def test_kinds_are_equally_many() -> None:
    kinds = [case.kind for case in cases(range(4))]
    assert {kinds.count(kind) for kind in kinds} == {4}


@pytest.mark.no_cover
def test_the_detector_beats_the_simple_methods_on_a_fixed_small_sample() -> None:
    # Seeds apart from those it was tuned on (1000 to 1399). The bounds would catch a regression: measured 0 false of
    # 54, median 56 h after the oracle; the best of the simple methods has 2 false among the first 18.
    detector = score(by_detector, cases(range(5000, 5003)), workers=1).total
    others = [score(method, cases(range(5000, 5001)), workers=1).total for method in SIMPLE_METHODS.values()]
    assert detector.false_ready < min(other.false_ready for other in others)
    assert detector.false_ready == 0
    assert detector.never_ready <= 2
    assert detector.median_delay_h is not None
    assert detector.median_delay_h < 75.0
