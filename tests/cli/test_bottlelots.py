"""Bottles as brewers count them, in whatever way they write that."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.cli.bottlelots import bottle_lots
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.packaging_day import lots_say
from lullwort.records import BottleLot
from lullwort.settings import Settings
from lullwort.units import VolumeUnit

LITRES = Settings(Path("b"), "sg", "C", None)
US = Settings(Path("b"), "sg", "C", None, volume="us gal")
IMPERIAL = Settings(Path("b"), "sg", "C", None, volume="imp gal")
OF_330 = (BottleLot(0.33, 24),)
TWO_KINDS = (BottleLot(0.33, 24), BottleLot(0.5, 10))


@pytest.mark.parametrize(
    "text",
    [
        "24x330mL", "24*330", "24 x 330 ml", "24×330ml", "24x0.33", "24x0,33L", "24X33CL", "24x33 cl", "24 of 330 mL",
        "24 @ 330ml", "24 bottles of 330mL", "330mL x 24", "33cl*24", "24x,33L",
    ],
)  # fmt: skip
def test_one_lot_may_be_written_in_many_ways(text: str) -> None:
    assert bottle_lots(text, "--bottles", LITRES) == OF_330


@pytest.mark.parametrize(
    "text",
    [
        "24x330mL, 10x0.5L", "24x330mL,10x0.5L", "24x0,33,10x0,5", "24*330 + 10*500", "24x33cl; 10x50cl",
        "24 of 330 mL and 10 of 500 mL", "330mL x 24, 500mL x 10", " 24x330 , 10x500 ", "24x0,33L,10x0,5L",
    ],
)  # fmt: skip
def test_lots_are_parted_by_what_is_no_decimal_comma(text: str) -> None:
    assert bottle_lots(text, "--bottles", LITRES) == TWO_KINDS


def test_a_size_alone_is_as_many_as_it_takes() -> None:
    assert bottle_lots("0,5L", "--bottles", LITRES) == (BottleLot(0.5, 0),)
    assert bottle_lots("24x330, 0.5", "--bottles", LITRES) == (BottleLot(0.33, 24), BottleLot(0.5, 0))
    assert bottle_lots("19L", "--bottles", LITRES) == (BottleLot(19.0, 0),)
    assert bottle_lots("", "--bottles", LITRES) == ()


@pytest.mark.parametrize(
    ("text", "settings", "litres"),
    [
        # A US fluid ounce is a 128th of a US gallon, an imperial one a 160th of an imperial gallon, by definition.
        ("48x12oz", LITRES, 0.354882),
        ("48x12 fl oz", US, 0.354882),
        ("48x12 fl. oz.", US, 0.354882),
        ("48x12oz", IMPERIAL, 0.340957),
        ("48x12us oz", IMPERIAL, 0.354882),
        ("48x12 imp fl oz", US, 0.340957),
        ("48x355", US, 0.355),
        ("48x5us gal", LITRES, 18.927059),
        ("48x5gal", US, 18.927059),
    ],
)
def test_ounces_and_gallons_are_those_of_the_land(text: str, settings: Settings, litres: float) -> None:
    assert bottle_lots(text, "--bottles", settings) == (BottleLot(litres, 48),)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("many", "--bottles is 'many', expected bottles such as '24x330mL, 10x0.5L'"),
        ("24x", "expected L, mL, us gal or imp gal after the number"),
        ("24x330mL, x", "expected bottles such as"),
        ("24x330mL or so", "expected L, mL"),
        ("24x330mL, ten", "--bottles is '24x330mL, ten', expected bottles such as"),
        ("0x330mL", "expected one bottle or more of each size"),
        ("1000000x330mL", "expected one bottle or more of each size, up to 100000"),
        ("24x33", "may be many things: write 33cL, 33oz or 33L"),
        ("24x12", "write 12cL, 12oz or 12L"),
        ("330x24", "24x330mL was probably meant"),
        ("24x330cL, 2x5mL", "expected bottles of 50 mL or more"),
        ("24x3300L", "3300mL was probably meant"),
        ("24x0.33mL", "expected bottles of 50 mL or more"),
        ("24x5gal", "may be US or imperial gallons"),
        ("-24x330mL", "expected bottles such as"),
    ],
)
def test_what_is_no_bottle_says_what_was_probably_meant(text: str, says: str) -> None:
    with pytest.raises(UsageError) as error:
        bottle_lots(text, "--bottles", LITRES)
    assert says in str(error.value)
    assert str(error.value).startswith("--bottles")


def test_beside_gallons_a_bare_five_is_asked_after() -> None:
    assert bottle_lots("4x5, 12x1", "--bottles", LITRES) == (BottleLot(5.0, 4), BottleLot(1.0, 12))
    with pytest.raises(UsageError, match=r"write 5cL, 5oz, 5L or 5us gal$"):
        bottle_lots("1x5", "--bottles", US)
    assert bottle_lots("24x0.5", "--bottles", US) == (BottleLot(0.5, 24),)


SIZES_ML = st.sampled_from([187, 250, 330, 341, 355, 375, 440, 473, 500, 568, 620, 650, 750])
LOTS = st.lists(
    st.builds(lambda ml, count: BottleLot(ml / 1000.0, count), SIZES_ML, st.integers(1, 999)), min_size=1, max_size=4
).map(tuple)
VOLUMES: tuple[VolumeUnit, ...] = ("L", "us gal", "imp gal")


@given(LOTS, st.sampled_from(VOLUMES))
def test_what_is_shown_reads_back_within_the_last_digit(lots: tuple[BottleLot, ...], volume: VolumeUnit) -> None:
    for mark in ("point", "comma"):
        settings = Settings(Path("b"), "sg", "C", None, volume=volume, decimal=mark)
        read = bottle_lots(lots_say(lots, settings.units), "--bottles", settings)
        assert [lot.count for lot in read] == [lot.count for lot in lots]
        for was, now in zip(lots, read, strict=True):
            assert now.volume_l == pytest.approx(was.volume_l, abs=0.0015)  # a twentieth of an ounce


@given(st.text("0123456789xX*,.;+ mLcloz-of", max_size=25))
def test_whatever_is_typed_makes_lots_that_may_be_or_is_refused(text: str) -> None:
    lots: tuple[BottleLot, ...] = ()
    with contextlib.suppress(UsageError):
        lots = bottle_lots(text, "--bottles", LITRES)
    assert all(0.05 <= lot.volume_l <= 1000.0 and 0 <= lot.count <= 100_000 for lot in lots)


def test_lots_are_told_in_the_units_of_the_land() -> None:
    lots = (BottleLot(0.354882, 48), BottleLot(18.927059, 1))
    assert lots_say(lots, Units()) == "48 of 355 mL and 1 of 18.9 L"
    assert lots_say(lots, Units(volume="us gal", decimal="comma")) == "48 of 12 fl oz and 1 of 5,0 US gal"
