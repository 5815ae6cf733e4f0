"""Reports compared: against the rule written out report by report, in every order in which they may come."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from random import Random
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.cellarbook.agreement import Agreement, Reports, agree

NAN = math.nan
TOLERANCES = np.array([1e-9, 1e-6])


class Said(NamedTuple):
    """One report: when, in which vessel, two quantities, and whether it is of those that are asked about."""

    at_us: int
    vessel: int
    gravity: float
    temp_c: float
    ours: bool


def agreement_of(said: Sequence[Said]) -> Agreement:
    at_us, vessel, gravity, temp_c, _ = (np.array(column) for column in zip(*said, strict=True))
    return agree(Reports(at_us, vessel, np.array([gravity, temp_c]), TOLERANCES))


def near(lowest: float, tolerance: float) -> st.SearchStrategy[float]:
    """Values of which some are equal, some equal but for rounding, some linked by a third, some far apart."""
    return st.sampled_from([lowest, lowest + 0.7 * tolerance, lowest + 1.4 * tolerance, lowest + 1000 * tolerance, NAN])


SAID = st.lists(
    st.builds(
        Said, st.integers(0, 3), st.sampled_from([0, 0, 0, 1]), near(1.05, 1e-9), near(20.0, 1e-6), st.booleans()
    ),
    min_size=1, max_size=12,
)  # fmt: skip


def given_values(said: Sequence[Said], quantity: int) -> list[float]:
    return [value for s in said if not math.isnan(value := s[2 + quantity])]


def contradict(said: Sequence[Said]) -> bool:
    """The rule as it is told: one vessel, and of each quantity the values given lie within the tolerance."""
    if len({s.vessel for s in said}) > 1:
        return True
    values = [given_values(said, quantity) for quantity in (0, 1)]
    return any(v and max(v) - min(v) > tolerance for v, tolerance in zip(values, TOLERANCES, strict=True))


def enriched(said: Sequence[Said]) -> bool:
    ours, others = [s for s in said if s.ours], [s for s in said if not s.ours]
    if not ours or not others:
        return bool(ours)
    return bool({s.vessel for s in ours} - {s.vessel for s in others}) or any(
        all(abs(value - other) > tolerance for other in given_values(others, quantity))
        for quantity, tolerance in enumerate(TOLERANCES)
        for value in given_values(ours, quantity)
    )


@pytest.mark.no_cover
@given(SAID)
def test_agreement_is_the_rule_written_out_report_by_report(said: list[Said]) -> None:
    agreement = agreement_of(said)
    instants = [list(group) for _, group in itertools.groupby(sorted(said), key=lambda s: s.at_us)]
    ours = np.array([s.ours for s in said])
    assert agreement.at_us().tolist() == [instant[0].at_us for instant in instants]
    assert agreement.contradicted.tolist() == [contradict(instant) for instant in instants]
    assert agreement.with_any(ours).tolist() == [any(s.ours for s in instant) for instant in instants]
    assert agreement.enriched_by(ours).tolist() == [enriched(instant) for instant in instants]
    for quantity, row in enumerate(agreement.together()):
        lowest = [min(given_values(instant, quantity), default=NAN) for instant in instants]
        np.testing.assert_array_equal(row, lowest)
    differing = {(s.at_us, s.vessel, str(s.gravity), str(s.temp_c)) for i in instants if contradict(i) for s in i}
    listed = [said[place] for place in agreement.differing()]
    assert [s.at_us for s in listed] == sorted(s.at_us for s in listed)
    assert sorted((s.at_us, s.vessel, str(s.gravity), str(s.temp_c)) for s in listed) == sorted(differing)


@pytest.mark.no_cover
@given(SAID, st.randoms(use_true_random=False))
def test_the_order_in_which_reports_come_does_not_matter(said: list[Said], random: Random) -> None:
    shuffled = list(said)
    random.shuffle(shuffled)
    one, other = agreement_of(said), agreement_of(shuffled)
    assert one.contradicted.tolist() == other.contradicted.tolist()
    agreed = ~one.contradicted
    np.testing.assert_array_equal(one.together()[:, agreed], other.together()[:, agreed])
    assert one.vessel()[agreed].tolist() == other.vessel()[agreed].tolist()
    ours, theirs = (np.array([s.ours for s in reports]) for reports in (said, shuffled))
    assert one.enriched_by(ours).tolist() == other.enriched_by(theirs).tolist()
    assert [repr(said[i][:4]) for i in one.differing()] == [repr(shuffled[i][:4]) for i in other.differing()]


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_a_report_near_to_two_others_does_not_make_them_agree(order: tuple[int, ...]) -> None:
    chain = [Said(1, 0, 1.05 + step * 0.7e-9, NAN, False) for step in range(3)]
    assert agreement_of([chain[i] for i in order]).contradicted.tolist() == [True]
    assert agreement_of([chain[i] for i in order if i != 0]).contradicted.tolist() == [False]


def test_what_one_report_leaves_out_is_taken_from_the_other() -> None:
    agreement = agreement_of([Said(1, 0, 1.05, NAN, False), Said(1, 0, NAN, 20.0, True)])
    assert agreement.contradicted.tolist() == [False]
    assert agreement.together().tolist() == [[1.05], [20.0]]


def test_values_beyond_all_bounds_are_compared_without_ado() -> None:
    beyond = [Said(1, 0, math.inf, NAN, False), Said(1, 0, math.inf, NAN, True)]
    agreement = agreement_of(beyond)
    assert agreement.contradicted.tolist() == [False]
    assert agreement.enriched_by(np.array([False, True])).tolist() == [False]
    assert agreement_of([*beyond, Said(1, 0, -math.inf, NAN, False)]).contradicted.tolist() == [True]
