from __future__ import annotations

import math

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector import IfSealed, Judged, judge
from lullwort.packaging_day import Held, Moved, carbonation_of, gas_of_priming, gas_to_target, held_at, priming_kind
from lullwort.records import VesselReadings
from lullwort.rehearsal import invent
from lullwort.science import PRIMING, carbonation_g_l, co2_g_l_from_points, priming_g

DRAWN = Moved(19.0, 0.4, None, "measured")


@pytest.fixture(scope="module")
def done() -> Judged:
    of = invent("plain ale", 1)
    return judge(of.batch, VesselReadings.of(of.readings))


def test_a_target_counts_what_the_beer_holds_and_what_it_has_left() -> None:
    held, left = held_at(20.0), IfSealed(1.0, 3.0, False)
    added = gas_to_target(4.7, held, left)
    assert added[0] == added[1]
    assert held.about + co2_g_l_from_points(1.0) + added[0] == pytest.approx(4.7)


@given(st.floats(0.0, 14.0), st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_what_is_added_to_a_target_is_never_negative_and_rises_with_it(
    target: float, temp_c: float, points: float
) -> None:
    held, left = held_at(temp_c), IfSealed(points, 2.0 * points, False)
    less, more = gas_to_target(target, held, left), gas_to_target(target + 0.5, held, left)
    assert 0.0 <= less[0] <= more[0] <= target + 0.5
    warmer = gas_to_target(target, held_at(min(40.0, temp_c + 1.0)), left)
    assert warmer[0] >= less[0]


def test_a_weight_of_sugar_makes_what_was_weighed_in_for_it() -> None:
    # What `priming_g` weighs for a target, primed, comes to that target.
    held = held_at(20.0)
    sucrose = PRIMING["sucrose"]
    weighed = priming_g(sucrose, 19.0, held.about, 4.745)
    about, at_most = gas_of_priming(sucrose, weighed, DRAWN, held)
    assert held.about + about == pytest.approx(4.745)
    # 118 g of sucrose in 19 L are 3.2 g/L: 0.5143 g a gram, stoichiometry.
    assert gas_of_priming(sucrose, 118.0, DRAWN, held)[0] == pytest.approx(0.51429 * 118.0 / 19.0, rel=0.01)
    # Less beer, and a scale that is off by 1 %: 1.645 standard deviations of both, which add up in squares.
    less_beer = weighed * 0.51429 / (19.0 - 1.645 * 0.4) - weighed * 0.51429 / 19.0
    assert at_most == pytest.approx(about + math.hypot(less_beer, 1.645 * 0.01 * about), rel=2e-3)


@pytest.mark.no_cover
@given(
    st.sampled_from(sorted(PRIMING)), st.floats(0.0, 1000.0), st.floats(1.0, 50.0), st.floats(0.0, 1.0),
    st.floats(0.0, 40.0),
)  # fmt: skip
def test_gas_of_priming_is_never_negative_and_rises_with_the_weight(
    sugar: str, grams: float, volume_l: float, sd: float, temp_c: float
) -> None:
    moved, held = Moved(volume_l, sd * volume_l, None, "measured"), held_at(temp_c)
    about, at_most = gas_of_priming(PRIMING[sugar], grams, moved, held)
    more = gas_of_priming(PRIMING[sugar], grams + 10.0, moved, held)
    assert 0.0 <= about <= at_most
    assert at_most <= more[1]
    assert about == pytest.approx(
        max(0.0, carbonation_g_l(PRIMING[sugar], grams, volume_l, held.about) - held.about), abs=1e-9
    )


@pytest.mark.parametrize("sugar", sorted(PRIMING))
def test_one_weight_of_priming_has_one_bound(sugar: str) -> None:
    # What `lullwort sealed` and the page add is what `lullwort priming` reckons with, where all else is sure.
    held, kind = held_at(20.0), PRIMING[sugar]
    about, at_most = gas_of_priming(kind, 104.0, DRAWN, held)
    comes_to = carbonation_of(kind, 104.0, DRAWN, held, (0.0, 0.0))
    assert (held.about + about, held.about + at_most) == pytest.approx((comes_to.value, comes_to.high))


def test_a_sack_that_varies_makes_at_most_more() -> None:
    exact = Moved(19.0, 0.0, None, "measured")
    held = Held(0.0, 0.0, 20.0, None, None, False)
    about, at_most = gas_of_priming(PRIMING["dry-malt-extract"], 200.0, exact, held)
    assert at_most > 1.05 * about


def test_reserved_wort_falls_as_far_as_this_beer(done: Judged) -> None:
    assert priming_kind("sucrose", done) is PRIMING["sucrose"]
    wort = priming_kind("reserved-wort", done)
    assert wort is not None
    assert done.now.original is not None
    assert done.now.warm_gravity is not None
    fall = done.now.original - done.now.warm_gravity
    litre = 1.0 / wort.l_per_g
    # 0.97 g/L a point: bottle_pressure.csv, which counts what growing yeast keeps, a tenth; none grows here. That is of
    # a litre of beer; a litre of its wort makes some 4 % more, for it loses mass (tests/science/test_priming.py).
    assert wort.co2 * litre == pytest.approx(1.04 * 0.97 / 0.9 * fall, rel=0.035)
    for original in (None, done.now.warm_gravity):
        unknown = done._replace(now=msgspec.structs.replace(done.now, original=original))
        assert priming_kind("reserved-wort", unknown) is None
