"""How many bottles the beer fills: never more than there is of either, and nothing of it is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.packaging_day import Filling, Moved, filling_of, usual_bottles
from lullwort.records import BottleLot

LOTS = st.lists(
    st.builds(BottleLot, st.sampled_from([0.25, 0.33, 0.354882, 0.5, 0.75, 1.0, 2.0, 5.0]), st.integers(0, 60)),
    min_size=1, max_size=5,
)  # fmt: skip
VOLUMES = st.floats(0.0, 60.0)


def of(volume_l: float, *lots: tuple[float, int], sd_l: float = 0.0, partly: bool = False) -> Filling:
    return filling_of(Moved(volume_l, sd_l, None, "measured"), [BottleLot(*lot) for lot in lots], partly=partly)


def in_bottles(filling: Filling) -> float:
    return sum(lot.volume_l * lot.filled for lot in filling.lots)


@given(VOLUMES, LOTS, st.floats(0.0, 2.0))
def test_nothing_is_lost_and_never_more_is_filled_than_there_is(
    volume_l: float, lots: list[BottleLot], sd_l: float
) -> None:
    filling = filling_of(Moved(volume_l, sd_l, None, "measured"), lots)
    assert in_bottles(filling) + filling.left_l == pytest.approx(volume_l, abs=2e-6)
    assert in_bottles(filling) <= volume_l + 2e-6
    assert filling.left_l >= 0.0
    assert filling.fewest <= filling.filled <= filling.most
    assert filling.filled == sum(lot.filled for lot in filling.lots)
    for lot in filling.lots:
        of_size = [one.count for one in lots if one.volume_l == lot.volume_l]
        assert lot.there == (None if 0 in of_size else sum(of_size))
        assert 0 <= lot.fewest <= lot.filled <= lot.most <= lot.sanitised
        assert lot.there is None or lot.sanitised <= lot.there
        # A bottle that stays empty would not have been filled.
        assert lot.filled == lot.there or filling.left_l < lot.volume_l + 2e-6


@given(VOLUMES, st.floats(0.0, 10.0), LOTS)
def test_more_beer_fills_as_many_litres_of_bottles_or_more(volume_l: float, by_l: float, lots: list[BottleLot]) -> None:
    less, more = (filling_of(Moved(v, 0.0, None, "measured"), lots) for v in (volume_l, volume_l + by_l))
    assert in_bottles(more) >= in_bottles(less) - 2e-6
    assert more.lots[0].filled >= less.lots[0].filled
    assert (more.more is None or less.more is None) or more.more.count >= less.more.count


@given(st.floats(0.0, 20.0), st.sampled_from([0.33, 0.5]), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_the_less_sure_the_volume_the_wider_the_count(volume_l: float, size_l: float, sd_l: float, by: float) -> None:
    sure, unsure = (of(volume_l, (size_l, 0), sd_l=sd) for sd in (sd_l, sd_l + by))
    assert unsure.fewest <= sure.fewest
    assert sure.most <= unsure.most
    assert unsure.sanitised >= sure.sanitised


@given(st.floats(0.0, 12.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), LOTS)
def test_no_volume_within_the_range_fills_a_count_outside_its_own(
    volume_l: float, sd_l: float, within: float, lots: list[BottleLot]
) -> None:
    filling = filling_of(Moved(volume_l, sd_l, None, "measured"), lots)
    low, high = max(0.0, volume_l - 1.645 * sd_l), volume_l + 1.645 * sd_l
    other = filling_of(Moved(low + within * (high - low), 0.0, None, "measured"), lots)
    assert filling.fewest <= other.filled <= filling.most
    for lot, seen in zip(other.lots, filling.lots, strict=True):
        assert seen.fewest <= lot.filled <= seen.most


def test_the_largest_are_filled_first_and_the_small_ones_take_the_rest() -> None:
    filling = of(10.0, (0.33, 40), (1.0, 4), (0.5, 6))
    assert [(lot.volume_l, lot.filled) for lot in filling.lots] == [(1.0, 4), (0.5, 6), (0.33, 9)]
    assert filling.left_l == pytest.approx(0.03)
    assert filling.unused == (BottleLot(0.33, 31),)
    assert filling.more is None


@pytest.mark.parametrize(("volume_l", "filled"), [(17.5, 35), (19.0, 38), (16.5, 33), (0.5, 1), (0.499, 0), (0.0, 0)])
def test_whole_bottles_are_counted_without_an_error_of_floats(volume_l: float, filled: int) -> None:
    assert of(volume_l, (0.5, 0)).filled == filled
    assert of(0.33 * filled, (0.33, 0)).filled == filled


def test_a_us_keg_s_beer_makes_two_cases_of_twelve_ounces() -> None:
    # Trade: 19 L are 48 to 54 bottles of 355 mL (articles on bottling at home); 5 US gallons are 640 fl oz.
    (lot,) = usual_bottles(None, "us gal")
    assert of(5 * 3.785411784, (lot.volume_l, 0)).filled == 53
    assert 48 <= of(19.0, (lot.volume_l, 0)).filled <= 54


def test_two_spare_bottles_are_made_ready_of_the_commonest_size_if_there_are_as_many() -> None:
    assert [lot.sanitised for lot in of(5.0, (0.5, 24), (2.0, 1)).lots] == [1, 8]
    assert of(5.0, (0.5, 11)).sanitised == 11
    assert of(5.0, (0.5, 10)).sanitised == 10
    # As many more as the volume may turn out to be more.
    assert of(5.0, (0.5, 0), sd_l=0.5).sanitised == 13


def test_what_finds_no_bottle_is_counted_in_the_size_of_which_there_are_most() -> None:
    filling = of(17.1, (0.5, 24), (2.0, 1), sd_l=0.5)
    assert filling.left_l == pytest.approx(3.1)
    assert filling.more == BottleLot(0.5, 6)
    assert filling.more_most == 7
    enough = of(12.0, (0.5, 24), sd_l=0.5)
    assert (enough.more, enough.more_most, enough.filled, enough.most) == (None, 1, 24, 24)
    # Less than a bottle is left over; nobody looks for one more.
    assert of(12.4, (0.5, 24)).more is None


def test_more_bottles_than_beer_and_one_larger_than_the_batch_stay_empty() -> None:
    filling = of(4.0, (0.5, 60), (30.0, 1))
    assert [(lot.volume_l, lot.filled) for lot in filling.lots] == [(30.0, 0), (0.5, 8)]
    assert filling.unused == (BottleLot(30.0, 1), BottleLot(0.5, 52))


def test_a_keg_may_be_part_filled() -> None:
    assert of(17.1, (19.0, 0), partly=True)[:5] == ((of(17.1, (19.0, 0), partly=True).lots[0],), 1, 1, 1, 0.0)
    two = of(30.0, (19.0, 1), (9.5, 2), sd_l=1.0, partly=True)
    assert [(lot.volume_l, lot.filled, lot.sanitised) for lot in two.lots] == [(19.0, 1, 1), (9.5, 2, 2)]
    short = of(30.0, (19.0, 1), partly=True)
    assert short.left_l == pytest.approx(11.0)
    assert short.more == BottleLot(19.0, 1)
    # Bottles take what the keg does not.
    assert [lot.filled for lot in of(20.0, (19.0, 1), (0.5, 10), partly=True).lots] == [1, 2]


def test_lots_of_one_size_are_one() -> None:
    assert of(9.0, (0.5, 6), (0.5, 8)).lots[0].there == 14
    assert of(9.0, (0.5, 6), (0.5, 0)).lots[0].there is None


@pytest.mark.parametrize("lots", [(), ((0.0, 3),)])
def test_no_bottles_and_bottles_that_hold_nothing_are_refused(lots: tuple[tuple[float, int], ...]) -> None:
    with pytest.raises(ValueError, match="expected one"):
        of(5.0, *lots)
