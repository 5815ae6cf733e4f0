"""What came of judging: arithmetic on batches whose truth is drawn by hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from lullwort.records import HOUR_US, Event
from lullwort.rehearsal import Invented
from lullwort.rehearsal.methods import Call
from lullwort.rehearsal.outcome import Outcome, outcome_of

FALLING = [max(50.0 - h, 10.0) for h in range(300)]  # 1 point an hour, flat from hour 40
LEFT = [points - 10.0 for points in FALLING]
HOPPED_LEFT = [*LEFT[:150], *(max(5.0 - 0.1 * h, 0.0) for h in range(150))]


def calls(of: Invented, *changes: tuple[float, str]) -> Sequence[Call]:
    return [Call(of.batch.pitched_us + round(hour * HOUR_US), verdict) for hour, verdict in changes]


@pytest.fixture
def ale(make_invented: Callable[..., Invented]) -> Invented:
    return make_invented(FALLING, LEFT)


@pytest.fixture
def hopped(make_invented: Callable[..., Invented], dry_hop: Callable[[float], Event]) -> Invented:
    points = [*FALLING[:150], *(10.0 - 5.0 + left for left in HOPPED_LEFT[150:])]
    return make_invented(points, HOPPED_LEFT, action_hours=(150.0,), events=(dry_hop(150.0),))


def test_what_nobody_noted_may_be_seen_within_a_day(hopped: Invented) -> None:
    stood = calls(hopped, (100.0, "ready"), (160.0, "holding"))
    assert outcome_of(hopped, stood).worst_points_left == pytest.approx(4.8)  # noted: at once
    assert outcome_of(hopped, stood, ()).worst_points_left == 0.0
    too_long = calls(hopped, (100.0, "ready"), (180.0, "holding"))
    assert outcome_of(hopped, too_long, ()).worst_points_left == pytest.approx(2.6)


def test_delay_counts_from_the_oracle_hour(ale: Invented) -> None:
    # within 1 point from hour 39 on, so the window of 48 h ends at 87
    assert ale.oracle_hour() == 87.0
    outcome = outcome_of(ale, calls(ale, (1.0, "fermenting"), (100.0, "ready")))
    assert (outcome.delay_h, outcome.points_left, outcome.false_ready) == (13.0, 0.0, False)
    assert outcome_of(ale, calls(ale, (80.0, "ready"))).delay_h == -7.0


@pytest.mark.parametrize(
    ("hour", "left", "false", "over_one"), [(37, 3, True, True), (38, 2, False, True), (39, 1, False, False)]
)
def test_more_than_two_points_left_is_false_and_more_than_one_is_counted(
    ale: Invented, hour: float, left: float, false: bool, over_one: bool
) -> None:
    outcome = outcome_of(ale, calls(ale, (hour, "ready")))
    assert outcome.worst_points_left == left
    assert (outcome.false_ready, outcome.over_one_point) == (false, over_one)


def test_a_later_true_ready_does_not_mend_a_false_one(ale: Invented) -> None:
    outcome = outcome_of(ale, calls(ale, (20.0, "ready"), (30.0, "fermenting"), (90.0, "ready")))
    assert (outcome.false_ready, outcome.worst_points_left, outcome.withdrawals) == (True, 20.0, 1)
    assert outcome.delay_h is None
    assert not outcome.never_ready


def test_a_ready_that_stands_through_an_action_is_judged_by_what_the_action_left(hopped: Invented) -> None:
    stood = outcome_of(hopped, calls(hopped, (100.0, "ready")))
    assert stood.worst_points_left == pytest.approx(4.8)
    assert stood.false_ready


def test_a_ready_taken_back_at_an_action_is_no_withdrawal_and_the_next_one_counts(hopped: Invented) -> None:
    outcome = outcome_of(hopped, calls(hopped, (100.0, "ready"), (151.0, "holding"), (240.0, "ready")))
    assert (outcome.false_ready, outcome.withdrawals, outcome.declared_h) == (False, 0, 240.0)
    assert outcome.delay_h == pytest.approx(240.0 - (hopped.oracle_hour() or 0.0))


def test_a_ready_given_only_before_the_last_action_leaves_the_batch_never_ready(hopped: Invented) -> None:
    assert outcome_of(hopped, calls(hopped, (100.0, "ready"), (150.0, "holding"))).never_ready


def test_unclear_hours_add_up_and_end_with_the_log(ale: Invented) -> None:
    outcome = outcome_of(ale, calls(ale, (10.0, "unclear"), (15.0, "fermenting"), (290.0, "unclear"), (350.0, "ready")))
    assert outcome.unclear_h == pytest.approx(5.0 + 9.0)
    assert outcome.declared_h is None


def test_a_stuck_beer_is_never_never_ready(make_invented: Callable[..., Invented]) -> None:
    stuck = make_invented([24.0] * 300, [12.0] * 300)
    silent = outcome_of(stuck, [])
    assert (silent.oracle_h, silent.never_ready, silent.worst_points_left) == (None, False, None)
    assert isinstance(silent, Outcome)
    assert outcome_of(stuck, calls(stuck, (200.0, "ready"))).false_ready
