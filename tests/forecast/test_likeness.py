"""A batch beside its repeats: how often an honest one is called different, and whether an odd one is noticed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from lullwort.forecast import TRAITS, Known, Traits, likeness
from lullwort.rehearsal import invent_repeats

Bench = Any  # the fixture's class lives in conftest.py


def drawn(rng: np.random.Generator, spread: float = 0.10) -> Traits:
    """A batch of a recipe whose traits are those of all others but for this share, and the sensor's error."""

    def around(value: float, by: float, sd: float) -> Known:
        return Known(value + rng.normal(0.0, np.hypot(by, sd)), sd)

    return Traits(
        lag_h=around(14.0, 14.0 * spread, 2.0),
        steepest=around(20.0, 20.0 * spread, 1.5),
        gone_h=around(50.0, 50.0 * spread, 2.0),
        tail_h=around(40.0, 40.0 * spread, 6.0),
        end=around(12.0, 0.7, 1.5),
        ready_h=around(160.0, 160.0 * spread, 15.0),
        temperature_c=20.0 + rng.normal(0.0, 0.3),
    )


def middle(**other: Any) -> Traits:
    """A batch in the middle of such."""
    return Traits(
        lag_h=Known(14.0, 2.0), steepest=Known(20.0, 1.5), gone_h=Known(50.0, 2.0), tail_h=Known(40.0, 6.0),
        end=Known(12.0, 1.5), ready_h=Known(160.0, 15.0), temperature_c=20.0,
    )._replace(**other)  # fmt: skip


@pytest.mark.no_cover
@pytest.mark.parametrize("earlier", [1, 3])
def test_no_more_honest_repeats_are_called_different_than_was_asked_for(earlier: int) -> None:
    rng = np.random.default_rng(5)
    batches = [(drawn(rng), [drawn(rng) for _ in range(earlier)]) for _ in range(150)]
    called = {
        sure: [likeness(asked, others, sure).as_before for asked, others in batches].count(False)
        for sure in (0.80, 0.95)
    }
    # by chance 150 of them are off by as much
    assert called[0.80] <= 150 * 0.20 + 2.0 * np.sqrt(150 * 0.20 * 0.80)
    assert called[0.95] <= 150 * 0.05 + 2.0 * np.sqrt(150 * 0.05 * 0.95)
    assert called[0.80] > called[0.95]


def test_repeats_that_differ_more_than_usual_are_believed_to() -> None:
    rng = np.random.default_rng(6)
    wild = [likeness(drawn(rng, 0.35), [drawn(rng, 0.35) for _ in range(5)]).as_before for _ in range(100)]
    assert wild.count(False) < 30  # against the usual spread alone it would be two thirds
    alike = likeness(middle(gone_h=Known(80.0, 2.0)), [middle(gone_h=Known(h, 2.0)) for h in (35.0, 50.0, 75.0)])
    assert alike.as_before
    assert not likeness(middle(gone_h=Known(80.0, 2.0)), [middle()] * 3).as_before


def test_the_interval_is_that_of_student_for_one_more_of_many() -> None:
    earlier = [Known(12.0 + by, 0.0) for by in (-6.0, -2.0, 0.0, 2.0, 6.0) * 12]
    (seen,) = likeness(Traits(end=Known(12.0, 0.0)), [Traits(end=end) for end in earlier], 0.95).compared
    # [NISTHandbook]: t for 70 degrees of freedom and 95 % on both sides is 1.994. The sum of squares is 12 x 80, and
    # twelve batches of the ordinary spread count beside it.
    half = 1.994 * np.sqrt((12.0 + 12 * 80.0) / 71.0 * (1.0 + 1.0 / 60.0))
    assert [seen.low, seen.high] == pytest.approx([12.0 - half, 12.0 + half], abs=0.01)
    assert (seen.least, seen.most, seen.batches) == (6.0, 18.0, 60)


def test_one_earlier_batch_and_many_traits_and_an_unsure_sensor_each_widen_it() -> None:
    def width(own: Traits, earlier: list[Traits]) -> float:
        one = next(c for c in likeness(own, earlier).compared if c.trait == "end")
        return one.high - one.low

    alone = Traits(end=Known(12.0, 1.5))
    assert width(alone, [alone]) > 1.15 * width(alone, [alone] * 5)
    assert width(middle(), [middle()] * 3) > 1.2 * width(alone, [alone] * 3)
    assert width(Traits(end=Known(12.0, 3.0)), [alone] * 3) > 1.3 * width(alone, [alone] * 3)


def test_under_way_it_is_compared_on_what_it_has_and_on_what_should_have_come() -> None:
    begun = Traits(lag_h=Known(15.0, 2.0), not_gone_h=40.0, not_ready_h=40.0)
    seen = likeness(begun, [middle()] * 3)
    assert [(one.trait, one.still_open, one.as_before) for one in seen.compared] == [
        ("lag", False, True), ("three quarters", True, None), ("ready", True, None),
    ]  # fmt: skip
    assert (seen.as_before, seen.runs) == (True, True)
    overdue = likeness(begun._replace(not_gone_h=90.0, not_ready_h=90.0), [middle()] * 3)
    assert [(one.trait, one.value) for one in overdue.different] == [("three quarters", 90.0)]
    assert likeness(Traits(no_lag_end_h=6.0, not_ready_h=6.0), [middle()] * 3).as_before is None
    assert likeness(Traits(no_lag_end_h=60.0, not_ready_h=60.0), [middle()] * 3).as_before is False
    assert likeness(begun, [Traits(not_ready_h=300.0)]).compared == ()


def test_another_temperature_is_noticed_from_a_kelvin_on() -> None:
    earlier = [middle(temperature_c=temp_c) for temp_c in (19.5, 20.0, 22.0)]
    assert likeness(middle(temperature_c=16.8), earlier).warmer_k == pytest.approx(-3.2)
    assert likeness(middle(temperature_c=20.9), earlier).warmer_k == 0.0
    assert likeness(middle(temperature_c=None), earlier).warmer_k == 0.0
    assert likeness(middle(), [middle(temperature_c=None)]).warmer_k == 0.0


def test_traits_are_compared_in_a_fixed_order() -> None:
    assert tuple(one.trait for one in likeness(middle(), [middle()]).compared) == TRAITS


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("kind", "last", "trait"),
    [("fast ale", "slow", "three quarters"), ("plain ale", "stuck", "ready"), ("fast ale", "late", "three quarters")],
)
def test_an_odd_invented_repeat_is_noticed_and_an_honest_one_is_not(
    bench: Bench, kind: str, last: str, trait: str
) -> None:
    *earlier, honest = [bench.traits(of) for of in invent_repeats(kind, 21, 4)]
    assert likeness(honest, earlier).as_before
    odd = bench.traits(invent_repeats(kind, 21, 4, last=last)[-1])
    assert trait in [one.trait for one in likeness(odd, earlier).different]
