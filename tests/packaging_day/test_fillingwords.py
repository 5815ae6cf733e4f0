from __future__ import annotations

import pytest

from lullwort.detector import Units
from lullwort.packaging_day import Moved, filling_of, filling_says, moved_of, moved_says
from lullwort.records import Batch, BottleLot, PackagingDay

US = Units(volume="us gal", decimal="comma")


def says(moved: Moved, *lots: tuple[float, int], units: Units | None = None, keg: bool = False) -> str:
    filling = filling_of(moved, [BottleLot(*lot) for lot in lots], partly=keg)
    return " ".join(filling_says(filling, moved, units or Units(), keg=keg))


MOVED = Moved(17.1, 1.0, 1.9, "usual losses")


def test_one_size() -> None:
    assert says(MOVED, (0.5, 0)) == (
        "34 of 500 mL (30 to 37, 9 in 10 sure). Clean and sanitise 39, 2 of them spare. About 100 mL are left over, "
        "which fill none."
    )
    assert says(MOVED, (0.354882, 0), units=US).startswith("48 of 12 fl oz (43 to 52, 9 in 10 sure). Clean and")


def test_several_sizes_have_their_order() -> None:
    assert says(MOVED, (0.33, 20), (0.5, 24)) == (
        "24 of 500 mL, then 15 of 330 mL (10 to 20): the largest first, 39 in all (34 to 44, 9 in 10 sure). Clean and "
        "sanitise 44. About 150 mL are left over, which fill none. Likely to stay empty: 5 of 330 mL."
    )


def test_what_is_missing() -> None:
    assert says(MOVED, (0.5, 24)) == (
        "24 of 500 mL. Clean and sanitise 24. 5.1 L find no bottle: 10 more of 500 mL are missing, at most 13."
    )
    enough = says(Moved(12.0, 0.5, None, "measured"), (0.5, 24))
    assert enough.endswith("If it is more beer than that, up to 1 more would be needed.")


def test_a_size_larger_than_the_batch_is_asked_after() -> None:
    assert "30.0 L is more than all the beer there is, so that one stays empty: is its size right?" in says(
        MOVED, (30.0, 1), (0.5, 40)
    )
    assert says(MOVED, (30.0, 0), (0.5, 40)).startswith("34 of 500 mL (30 to 37, 9 in 10 sure). Clean")
    assert "It fills none of the bottles." in says(MOVED, (30.0, 1))


def test_a_keg_need_not_be_full() -> None:
    assert says(MOVED, (19.0, 0), keg=True) == "1 of 19.0 L, which need not be full."
    assert says(MOVED, (9.5, 1), keg=True).endswith("7.6 L find no keg.")


@pytest.mark.parametrize(
    ("day", "told"),
    [
        (PackagingDay(), "17.1 L will be moved (15.4 to 18.8 L, 9 in 10 sure): 19.0 L less about 1.9 L that usually"),
        (
            PackagingDay(losses_l=3.0),
            "16.0 L will be moved (14.4 to 17.6 L, 9 in 10 sure): 19.0 L less 3.0 L that",
        ),
        (PackagingDay(moved_l=17.0), "17.0 L were moved (16.4 to 17.6 L, 9 in 10 sure), as measured."),
        (PackagingDay(losses_l=19.0), "Nothing is left to fill: 19.0 L that stay behind are all there is."),
    ],
)
def test_how_the_volume_is_known_is_told(day: PackagingDay, told: str) -> None:
    moved = moved_of(Batch(vessel="north", name="north-12", pitched_us=0, volume_l=19.0, packaging_day=day))
    assert moved is not None
    assert moved_says(moved, Units()).startswith(told)
