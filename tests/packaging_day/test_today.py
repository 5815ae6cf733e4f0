"""What there is to reckon with if a beer were sealed now. All beers here are invented."""

from __future__ import annotations

import math

import msgspec
import pytest

from lullwort.detector import Judged, judge
from lullwort.detector.snapshot import Sealed
from lullwort.packaging_day import held_at, held_by, sealing_now, today_of
from lullwort.records import HOUR_US, PackagingDay, VesselReadings
from lullwort.rehearsal import invent


def judged(kind: str, hour: float | None = None) -> Judged:
    of = invent(kind, 1)
    as_of = None if hour is None else of.batch.pitched_us + round(hour * HOUR_US)
    return judge(of.batch, VesselReadings.of(of.readings), as_of_us=as_of)


@pytest.fixture(scope="module")
def done() -> Judged:
    return judged("plain ale")


def with_day(of: Judged, day: PackagingDay) -> Judged:
    return of._replace(batch=msgspec.structs.replace(of.batch, packaging_day=day))


def test_a_beer_at_rest_holds_what_it_did_at_its_warmest(done: Judged) -> None:
    today = today_of(done)
    assert today.unsaid == ""
    assert today.held == held_by(done.now)
    assert today.held is not None
    assert done.now.at_rest is not None
    assert today.held.warmest_c == done.now.at_rest.warmest_c
    assert today_of(done, 25.0).held == held_by(done.now, 25.0)


def test_no_sums_are_made_of_what_has_hardly_begun() -> None:
    early, falling = judged("plain ale", 3.0), judged("plain ale", 40.0)
    assert (early.verdict, today_of(early).unsaid) == ("lag", "lag")
    assert (falling.verdict, today_of(falling).unsaid) == ("fermenting", "main fall")
    assert sealing_now(early) is None
    assert sealing_now(falling) is None


def test_no_sums_are_made_of_what_nobody_has_seen(done: Judged) -> None:
    lost = msgspec.structs.replace(done.now, ready_gravity=None, unseen_h=1000.0)
    assert today_of(done._replace(now=lost)).unsaid == "lost"


def test_a_sealed_vessel_is_left_to_its_gauge_where_it_holds_more_than_any_does(done: Judged) -> None:
    shut = msgspec.structs.replace(done.now, sealed=Sealed(math.inf, 0.0))
    assert today_of(done._replace(now=shut), assume_c=20.0).unsaid == "gauge"
    assert sealing_now(done._replace(now=shut)) is None


def test_where_no_temperature_is_known_one_is_assumed_only_if_that_is_asked_for(done: Judged) -> None:
    unknown = done._replace(now=msgspec.structs.replace(done.now, temp_c=None, at_rest=None))
    assert today_of(unknown).unsaid == "temperature"
    today = today_of(unknown, assume_c=20.0)
    assert today.assumed_c == 20.0
    assert today.held is not None
    assert today.held.about == held_at(20.0).about
    assert today.held.at_most == held_at(0.0).at_most, "a bound does not hang on what was assumed"
    sealing, known = sealing_now(unknown), sealing_now(done)
    assert sealing is not None
    assert known is not None
    assert (sealing.assumed_c, known.assumed_c) == (20.0, None)
    # A beer at 5 °C, as it may be, is within the bound.
    cold = sealing_now(done._replace(now=msgspec.structs.replace(done.now, temp_c=5.0, at_rest=None)))
    assert cold is not None
    assert sealing.about_g_l < cold.at_most_g_l < sealing.at_most_g_l
    shut = msgspec.structs.replace(unknown.now, sealed=Sealed(15.0, 0.0))
    in_vessel, warm = today_of(unknown._replace(now=shut), assume_c=20.0).held, held_by(shut, 20.0)
    assert in_vessel is not None
    assert warm is not None
    assert in_vessel.about == warm.about
    assert in_vessel.at_most - warm.at_most == pytest.approx(held_at(0.0).about - held_at(20.0).about)
    too_warm = done._replace(now=msgspec.structs.replace(done.now, temp_c=55.0, at_rest=None))
    assert today_of(too_warm, assume_c=20.0).unsaid == "temperature"


def test_the_batch_s_own_container_and_limit_count(done: Judged) -> None:
    usual = sealing_now(done)
    assert usual is not None
    assert usual.limit.container.name == "brown-glass"
    own = sealing_now(with_day(done, PackagingDay(container="keg", limit_bar=4.5, target_g_l=6.0)))
    assert own is not None
    assert (own.limit.container.name, own.limit.bar) == ("keg", 4.5)
    # No sugar is counted in, whatever is planned.
    assert own.about_g_l == usual.about_g_l
    assert sealing_now(done._replace(now=msgspec.structs.replace(done.now, level=None))) is None
