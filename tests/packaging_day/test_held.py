from __future__ import annotations

import math
from typing import NamedTuple

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector import AtRest, Judged, Snapshot, judge
from lullwort.detector.snapshot import Chilled, Sealed
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import Held, held_at, held_by, held_by_gauge, held_stated
from lullwort.records import HOUR_US, Batch, Event, VesselReadings
from lullwort.rehearsal import Invented, invent
from lullwort.science import co2_g_l_from_points, dissolved_g_l, residual_volumes
from lullwort.units import CO2_G_PER_VOLUME

PITCHED_US = 1_772_442_000_000_000


class Ale(NamedTuple):
    """A beer at rest and what was made of it."""

    invented: Invented
    judged: Judged
    now: Snapshot


@pytest.fixture(scope="module")
def ale() -> Ale:
    invented = invent("cold crash after the end", 8100)
    judged = judged_to(invented, invented.newest_us)
    return Ale(invented, judged, judged.now)


def judged_to(invented: Invented, at_us: int) -> Judged:
    readings = VesselReadings.of(sorted(invented.readings, key=lambda r: r.at_us))
    return judge(invented.batch, readings.within(invented.batch.pitched_us, at_us), as_of_us=at_us)


def g_l(temp_c: float) -> float:
    return float(CO2_G_PER_VOLUME * residual_volumes(temp_c))


def true_g_l(invented: Invented) -> float:
    """Gas in the invented beer at the end of its log: all that is made stays up to what it takes up at its temperature
    in that hour; what is above that goes, and nothing comes back."""
    truth, gas = invented.truth, 0.0
    made = 0.974 * np.maximum(-np.diff(truth.points_left, prepend=truth.points_left[0]), 0.0)
    for points, temp_c in zip(made.tolist(), truth.temperature_c.tolist(), strict=True):
        gas = min(gas + points, g_l(min(max(temp_c, 0.0), 40.0)))
    return gas


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("kind", "volumes"),
    [
        ("cold crash after the end", 0.02),
        ("lager with warm rest", 0.03),
        ("hop creep", 0.04),
        ("gaps", 0.02),
        ("stuck warm", 0.02),
        ("creep while cold", 0.13),
    ],
)
def test_the_gas_that_an_invented_beer_holds_is_told(kind: str, volumes: float) -> None:
    invented = invent(kind, 8101)
    held = held_by(judged_to(invented, invented.newest_us).now)
    assert held is not None
    assert held.about == pytest.approx(true_g_l(invented), abs=volumes * CO2_G_PER_VOLUME)


def test_a_cold_crash_brings_no_gas_back(ale: Ale) -> None:
    assert ale.now.temp_c is not None
    assert ale.now.temp_c < 8.0
    held = held_by(ale.now)
    assert held is not None
    assert held.warmest_c > 17.0
    assert held.about == pytest.approx(g_l(held.warmest_c))
    assert held.since_us is not None
    assert held.warmest_us is not None
    assert held.since_us <= held.warmest_us <= ale.judged.as_of_us
    assert g_l(ale.now.temp_c) - held.about > 0.5 * CO2_G_PER_VOLUME  # what the crash's temperature would have said


def snapshot(ale: Ale, **known: object) -> Snapshot:
    """A beer of which only what is given here hangs together."""
    return msgspec.structs.replace(
        ale.now, chilled=None, ready_gravity=None, offset=0.0, scale=1.0, sealed=None, **known
    )  # fmt: skip


def test_while_it_falls_it_holds_what_it_does_at_its_temperature(ale: Ale) -> None:
    held = held_by(snapshot(ale, at_rest=None, temp_c=18.0))
    assert held == Held(g_l(18.0), g_l(18.0), 18.0, None, None, False)


def test_what_fell_after_the_warmest_hour_may_have_stayed(ale: Ale) -> None:
    rest = AtRest(1, 22.0, 5, 13.0)
    still = held_by(snapshot(ale, at_rest=rest, level=13.0, temp_c=10.0))
    fell = held_by(snapshot(ale, at_rest=rest, level=12.8, temp_c=10.0))
    far = held_by(snapshot(ale, at_rest=rest, level=8.0, temp_c=10.0))
    assert still is not None
    assert fell is not None
    assert far is not None
    assert still == Held(g_l(22.0), g_l(22.0), 22.0, 5, 1, False)
    assert fell.about == still.about
    assert fell.at_most == pytest.approx(g_l(22.0) + co2_g_l_from_points(0.2))
    assert far.at_most == pytest.approx(g_l(10.0)), "no more stays than it takes up at its temperature"


def test_where_the_fall_is_not_known_it_may_have_taken_up_all_it_can(ale: Ale) -> None:
    unknown = held_by(snapshot(ale, at_rest=AtRest(1, 22.0, 5, None), temp_c=10.0))
    assert unknown is not None
    assert unknown.at_most == pytest.approx(g_l(10.0))


def test_no_temperature_tells_nothing_but_what_the_brewer_tells(ale: Ale) -> None:
    dark = snapshot(ale, at_rest=AtRest(1, None, 1, 12.0), temp_c=None, level=12.0)
    assert held_by(dark) is None
    told = held_by(dark, 21.0)
    assert told is not None
    assert told == held_at(21.0)
    assert held_by(snapshot(ale, at_rest=None, temp_c=None)) is None
    assert held_by(snapshot(ale, at_rest=None, temp_c=-1.0)) is None, "beyond the formulas"


def test_a_sealed_vessel_keeps_what_it_had_and_what_has_fallen(ale: Ale) -> None:
    def sealed(at_us: int, temp_c: float | None, rest: AtRest | None = None) -> Held | None:
        seen = snapshot(ale, at_rest=rest, level=12.0, temp_c=12.0)
        return held_by(msgspec.structs.replace(seen, sealed=Sealed(15.0, 0.0, at_us, temp_c)))

    made = float(co2_g_l_from_points(3.0))
    assert sealed(10, 12.0) == Held(g_l(12.0) + made, g_l(12.0) + made, 12.0, None, None, True)
    # Warmed for a rest once it was closed: nothing goes.
    assert sealed(10, 12.0, AtRest(20, 18.0, 30, 12.0)) == sealed(10, 12.0)
    # Closed when it had rested at 18 °C and been cooled.
    cooled = sealed(40, 12.0, AtRest(20, 18.0, 30, 12.0))
    assert cooled is not None
    assert cooled.about == pytest.approx(g_l(18.0) + made)
    unknown = sealed(10, None)
    assert unknown is not None
    assert unknown.about == pytest.approx(g_l(12.0) + made)


def test_what_is_more_than_a_vessel_holds_is_left_to_its_gauge(ale: Ale) -> None:
    seen = snapshot(ale, at_rest=None, level=12.0, temp_c=12.0)
    assert held_by(msgspec.structs.replace(seen, sealed=Sealed(30.0, 0.0, 1, 12.0))) is None
    assert held_by(msgspec.structs.replace(seen, sealed=Sealed(math.inf, 0.0, 1, 12.0))) is None


def lager_by_hand(*events: Event, steady_c: float | None) -> Snapshot:
    """Fermented at 10 °C, its samples read at 20 °C."""
    samples = tuple(
        Event(at_us=PITCHED_US + day * 24 * HOUR_US, kind="sample", gravity=gravity, temperature_c=20.0)
        for day, gravity in ((9, 1.012), (14, 1.012), (19, 1.012))
    )
    batch = Batch(
        vessel="tub", name="tub-1", pitched_us=PITCHED_US, original_gravity=1.050, steady_temperature_c=steady_c,
        yeast_min_c=5.0, expected_final_gravity=(1.011, 1.013), events=(*samples, *events),
    )  # fmt: skip
    now = judge(batch, VesselReadings.of(()), as_of_us=PITCHED_US + 21 * 24 * HOUR_US).now
    assert now.hand is not None
    return now


def test_a_jar_s_temperature_is_not_taken_for_the_beer_s() -> None:
    unknown = lager_by_hand(steady_c=None)
    assert unknown.temp_c == 20.0
    assert unknown.beer_c is None
    assert held_by(unknown) is None
    # Nor where the beer was warmed up, from nobody knows what.
    warmed = Event(at_us=PITCHED_US + 20 * 24 * HOUR_US, kind="warm")
    assert held_by(lager_by_hand(warmed, steady_c=None)) is None
    stated = held_by(unknown, 10.0)
    assert stated is not None
    assert stated.about == pytest.approx(g_l(10.0))
    assert stated.at_most == pytest.approx(g_l(10.0) + co2_g_l_from_points(1.0)), "no two readings prove less"


def test_hand_samples_tell_by_the_entered_temperature() -> None:
    now = lager_by_hand(steady_c=10.0)
    assert now.beer_c == 10.0
    held = held_by(now)
    assert held is not None
    assert held.warmest_c == 10.0
    assert held.about == held.at_most == pytest.approx(g_l(10.0)), "it takes up no more at what does not change"


def test_hand_samples_before_a_noted_crash_tell_within_a_point() -> None:
    crash = Event(at_us=PITCHED_US + 20 * 24 * HOUR_US, kind="crash")
    held = held_by(lager_by_hand(crash, steady_c=10.0))
    assert held is not None
    assert held.about == pytest.approx(g_l(10.0))
    assert held.at_most == pytest.approx(held.about + float(co2_g_l_from_points(1.0)))


def test_a_chilled_beer_counts_what_fell_before_the_cold(ale: Ale) -> None:
    rest = AtRest(1, 20.0, 5, 13.0)
    chilled = Chilled(6, 12.5, 0.2, 1.0, False, "")
    seen = msgspec.structs.replace(snapshot(ale, at_rest=rest, level=5.0, temp_c=3.0), chilled=chilled)
    held = held_by(seen)
    assert held is not None
    assert held.at_most == pytest.approx(g_l(20.0) + co2_g_l_from_points(0.5)), "the cold sensor's 5.0 counts nothing"


@given(st.floats(0.0, 3.0), st.floats(0.0, 40.0))
def test_by_the_gauge_and_as_stated_it_is_what_they_say(bar: float, temp_c: float) -> None:
    assert held_by_gauge(bar, temp_c).about == dissolved_g_l(bar, temp_c) > 0.0
    assert held_stated(2.5)[:2] == (2.5, 2.5)
    assert math.isnan(held_stated(2.5).warmest_c)


@pytest.mark.parametrize("temp_c", [-0.1, 40.1])
def test_temperatures_beyond_the_formulas_are_refused(temp_c: float) -> None:
    with pytest.raises(OutOfRangeError):
        held_at(temp_c)
    with pytest.raises(OutOfRangeError):
        held_by_gauge(1.0, temp_c)
