"""Bottles that hardly go with the beer there is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector import Units
from lullwort.packaging_day import Moved, bottle_doubts
from lullwort.records import BottleLot, PackagingDay

ABOUT, MEASURED = Moved(17.1, 1.0, 1.9, "usual losses"), Moved(17.0, 0.34, None, "measured")


def lots(*pairs: tuple[float, int]) -> tuple[BottleLot, ...]:
    return tuple(BottleLot(*pair) for pair in pairs)


@pytest.mark.parametrize(
    ("day", "moved", "says"),
    [
        (
            PackagingDay(bottles=lots((0.5, 10))), ABOUT,
            ["10 of 500 mL take 5.0 L of 17.1 L: for 12.1 L there is no bottle."],
        ),
        (
            PackagingDay(bottles=lots((0.5, 500))), ABOUT,
            ["500 of 500 mL take 250.0 L, far more than 17.1 L: are size and count right?"],
        ),
        (
            PackagingDay(bottles=lots((500.0, 24))), ABOUT,
            ["A bottle of 500.0 L is larger than all the beer, 17.1 L: is its unit right?"],
        ),
        (
            PackagingDay(filled=lots((0.5, 10))), MEASURED,
            ["10 of 500 mL are 5.0 L of 17.0 L that were moved: where are the other 12.0 L? Is the count right?"],
        ),
        (PackagingDay(filled=lots((0.5, 10))), ABOUT, []),  # nobody measured what was moved
        (PackagingDay(bottles=lots((0.5, 0))), ABOUT, []),
        (PackagingDay(bottles=lots((19.0, 1)), container="keg"), ABOUT, []),
        (PackagingDay(bottles=lots((0.5, 10))), None, []),
    ],
)  # fmt: skip
def test_a_sentence_for_each(day: PackagingDay, moved: Moved | None, says: list[str]) -> None:
    assert bottle_doubts(day, moved, Units()) == says


@given(st.floats(5.0, 60.0), st.sampled_from([0.33, 0.5, 0.75]))
def test_enough_bottles_for_the_beer_are_never_doubted(volume_l: float, size_l: float) -> None:
    enough = lots((size_l, int(volume_l / size_l) + 2))
    assert (
        bottle_doubts(PackagingDay(bottles=enough, filled=enough), Moved(volume_l, 0.1, None, "measured"), Units())
        == []
    )
