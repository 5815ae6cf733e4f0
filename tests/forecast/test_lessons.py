"""What earlier batches teach: the middle of what they did, wider where there are few or they differ."""

from __future__ import annotations

import math

import pytest

from lullwort.forecast import NOTHING_LEARNED, Known, Traits, lessons
from lullwort.forecast.guess import Guess

READY = Known(190.0, 20.0)


def traits(end: float = 12.0, gone_h: float = 70.0, steepest: float = 20.0, tail_h: float | None = 40.0) -> Traits:
    tail = None if tail_h is None else Known(tail_h, 5.0)
    return Traits(
        end=Known(end, 1.0), gone_h=Known(gone_h, 2.0), steepest=Known(steepest, 1.0), tail_h=tail, ready_h=READY
    )


def known(guess: Guess | None) -> Guess:
    assert guess is not None
    return guess


def test_a_logistic_s_own_traits_give_back_its_middle_and_steepness() -> None:
    # 40 points by a logistic of k = 0.1: steepest k·D/4 = 1 point/h; three quarters are gone ln 3/k after the middle.
    k, middle_h = 0.1, 55.0
    taught = lessons([(traits(12.0, middle_h + math.log(3.0) / k, 24.0), 52.0)])
    assert known(taught.middle).mean == pytest.approx(middle_h)
    assert known(taught.log_steepness).mean == pytest.approx(math.log(k))
    assert known(taught.end).mean == 12.0


def test_more_batches_and_more_alike_make_surer() -> None:
    def sd(*ends: float) -> float:
        return known(lessons([(traits(end), 52.0) for end in ends]).end).sd

    assert sd(12.0) > sd(12.0, 12.0) > sd(12.0, 12.0, 12.0, 12.0) >= 1.2
    assert sd(9.0, 12.0, 15.0) > sd(12.0, 12.0, 12.0)
    assert lessons([(traits(12.0), 52.0), (traits(14.0), 52.0)]).batches == 2


def test_longer_tails_teach_a_longer_time_constant() -> None:
    short, long_ = (known(lessons([(traits(tail_h=h), 52.0)]).log_tau).mean for h in (20.0, 200.0))
    assert math.exp(long_) > 5.0 * math.exp(short)


def test_what_a_batch_does_not_show_teaches_nothing() -> None:
    assert lessons([]) == NOTHING_LEARNED
    assert lessons([(Traits(), 52.0)]) == NOTHING_LEARNED
    only_end = lessons([(Traits(end=Known(12.0, 1.0), ready_h=READY), None)])
    assert (only_end.batches, only_end.middle, only_end.log_tau) == (1, None, None)
    assert lessons([(traits(tail_h=None), 52.0)]).log_tau is None


def test_a_batch_that_never_was_ready_teaches_nothing_beside_one_that_was() -> None:
    # packaged while it stood too high, chilled before its end, or packaged on trust: its end is no other batch's
    stuck = traits(30.0)._replace(ready_h=None)
    assert lessons([(stuck, 52.0)]) == NOTHING_LEARNED
    assert lessons([(stuck, 52.0), (traits(), 52.0)]) == lessons([(traits(), 52.0)])
