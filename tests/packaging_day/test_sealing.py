from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.packaging_day import NOTHING_ADDED, SEALING_TEMPS_C, Held, held_at, limit_of, sealing_of
from lullwort.science import sealed, water_density
from lullwort.science.water import water_vapour_pressure_atm

BROWN = limit_of("brown-glass")


def holding(about: float, at_most: float | None = None) -> Held:
    return Held(about, about if at_most is None else at_most, 20.0, None, None, False)


def test_one_point_left_is_about_half_a_volume_and_half_a_bar() -> None:
    # 0.49 volumes and 0.54 bar at 20 °C for each point: bottle_pressure.csv, computed by others.
    none, one = (sealing_of(held_at(20.0), (points, points), NOTHING_ADDED, BROWN) for points in (2.0, 3.0))
    assert none is not None
    assert one is not None
    assert (one.about_g_l - none.about_g_l) / 1.977 == pytest.approx(0.49, abs=0.01)
    assert one.at_room.about_bar - none.at_room.about_bar == pytest.approx(0.54, abs=0.02)


def test_each_temperature_is_that_of_the_bottle_and_the_bound_of_one_that_takes_up_less() -> None:
    of = sealing_of(holding(1.7, 1.9), (0.5, 2.0), (2.5, 2.6), BROWN)
    assert of is not None
    assert [row.temp_c for row in of.at] == list(SEALING_TEMPS_C) == [5, 10, 15, 20, 25, 30, 35, 40]
    for row in of.at:
        assert row.about_bar == sealed(0.5, row.temp_c, 4.2 / 1.977).gauge_bar
        assert row.at_most_bar == sealed(2.0, row.temp_c, 4.5 / 1.977, takes_up=0.95, yeast_grows=False).gauge_bar
        assert row.margin_bar == BROWN.bar - row.at_most_bar
        assert row.exceeds == (row.margin_bar < 0.0)


def test_against_a_stated_limit_the_air_in_the_bottle_counts() -> None:
    stated = limit_of("brown-glass", 3.5)
    kind, own = (sealing_of(holding(4.7), (0.0, 0.0), NOTHING_ADDED, limit) for limit in (BROWN, stated))
    assert kind is not None
    assert own is not None
    for by_kind, by_own in zip(kind.at, own.at, strict=True):
        # The ideal gas at constant volume, which warm beer squeezes: a bar at 20 °C. The fullest bottle has 3 % of it,
        # in which less carbon dioxide gathers, 2 % of the pressure.
        room = 0.03 - (water_density(20.0) / water_density(by_kind.temp_c) - 1.0)
        air_bar = 1.01325 * (by_kind.temp_c + 273.15) / 293.15 * 0.03 / room
        fuller_bar = 0.02 * (by_kind.at_most_bar + 1.0)
        assert by_own.at_most_bar - by_kind.at_most_bar == pytest.approx(air_bar + fuller_bar, rel=0.06)
        assert by_own.about_bar == by_kind.about_bar


def test_volumes_that_a_kind_bears_are_exactly_its_limit_in_a_room() -> None:
    # Both sides in bottles filled as usual; the bound is of beer that takes up less.
    of = sealing_of(holding(3.0 * 1.977), (0.0, 0.0), NOTHING_ADDED, BROWN)
    assert of is not None
    assert of.at_room.about_bar == pytest.approx(BROWN.bar, abs=1e-9)
    assert of.at_room.at_most_bar > BROWN.bar


def test_at_most_no_yeast_grows_on_what_is_left() -> None:
    # SOURCES.md, co2_from_sugar.csv: growing yeast keeps a tenth.
    of = sealing_of(holding(2.0), (3.0, 3.0), NOTHING_ADDED, BROWN)
    assert of is not None
    assert of.at_most_g_l - 2.0 == pytest.approx((of.about_g_l - 2.0) / 0.9, rel=1e-4)


def test_usual_beer_in_ordinary_glass_stays_within_it_in_a_room_and_not_in_summer() -> None:
    # 2.4 volumes in bottles that bear 3.0: common practice, no source.
    of = sealing_of(holding(1.67), (0.0, 0.3), (3.07, 3.07), BROWN)
    assert of is not None
    assert of.holds_to_c is not None
    assert 20.0 < of.holds_to_c < 30.0
    assert not of.at_room.exceeds
    assert [row.exceeds for row in of.at[5:]] == [True, True, True]


def test_where_the_limit_is_met_the_bound_is_the_limit() -> None:
    of = sealing_of(holding(4.7), (0.0, 0.5), NOTHING_ADDED, BROWN)
    assert of is not None
    assert of.holds_to_c is not None
    at = sealed(0.5, of.holds_to_c, 4.7 / 1.977, takes_up=0.95, yeast_grows=False)
    assert at.gauge_bar == pytest.approx(BROWN.bar, abs=1e-4)


def test_the_limit_holds_throughout_or_nowhere() -> None:
    flat, wild = (sealing_of(held_at(20.0), (points, points), NOTHING_ADDED, BROWN) for points in (0.0, 12.0))
    assert flat is not None
    assert wild is not None
    assert flat.holds_to_c == 40.0
    assert wild.holds_to_c is None
    assert all(row.exceeds for row in wild.at)
    growler = sealing_of(holding(4.7), (0.0, 0.0), NOTHING_ADDED, limit_of("growler"))
    assert growler is not None
    assert growler.holds_to_c is None


def test_what_cannot_be_computed_is_not_made_up() -> None:
    assert sealing_of(held_at(20.0), (0.0, 500.0), NOTHING_ADDED, BROWN) is None
    assert sealing_of(holding(1.7), (0.0, 0.0), (500.0, 500.0), BROWN) is None
    wild = sealing_of(held_at(20.0), (1.0, 40.0), NOTHING_ADDED, BROWN)
    assert wild is not None
    assert wild.beyond_all


GAS, POINTS = st.floats(0.0, 8.0), st.floats(0.0, 12.0)


@settings(max_examples=30, deadline=None)
@given(held=GAS, more_held=st.floats(0.0, 1.0), left=POINTS, more_left=POINTS, added=GAS, stated=st.booleans())
def test_pressure_rises_with_warmth_and_gas_is_never_negative_and_at_most_is_above_about(
    held: float, more_held: float, left: float, more_left: float, added: float, stated: bool
) -> None:
    limit = limit_of("plastic", 4.0 if stated else None)
    of = sealing_of(holding(held, held + more_held), (left, left + more_left), (added, added), limit)
    more = sealing_of(holding(held, held + more_held), (left, left + more_left + 0.1), (added, added + 0.1), limit)
    assert of is not None
    assert more is not None
    assert 0.0 <= of.about_g_l <= of.at_most_g_l < more.at_most_g_l
    for cold, warm in zip(of.at, of.at[1:], strict=False):
        assert 0.0 <= cold.about_bar <= warm.about_bar
        assert 0.0 <= cold.at_most_bar <= warm.at_most_bar
        assert cold.margin_bar >= warm.margin_bar
    for row, greater in zip(of.at, more.at, strict=True):
        assert row.about_bar <= row.at_most_bar <= greater.at_most_bar
    held_to = of.holds_to_c
    for row in of.at:
        assert row.exceeds == (held_to is None or row.temp_c > held_to + 1e-3) or abs(row.margin_bar) < 1e-3
    assert (more.holds_to_c or 0.0) <= (held_to or 0.0) + 1e-3


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 40.0), st.floats(0.0, 20.0), st.sampled_from(SEALING_TEMPS_C))
def test_warmer_beer_holds_less_and_presses_less_in_its_bottle(temp_c: float, points: float, kept_c: float) -> None:
    cool, warm = (
        sealing_of(held_at(temp), (points, points), NOTHING_ADDED, BROWN) for temp in (temp_c, min(40.0, temp_c + 2.0))
    )
    assert cool is not None
    assert warm is not None
    assert warm.about_g_l <= cool.about_g_l
    at = SEALING_TEMPS_C.index(kept_c)
    assert warm.at[at].at_most_bar <= cool.at[at].at_most_bar
    # No more than the vapour and the gas in it press, whatever it is: an atmosphere outside is taken off.
    assert cool.at[at].about_bar >= water_vapour_pressure_atm(kept_c) * 1.01325 - 1.01325
