from __future__ import annotations

from pathlib import Path

import pytest

from lullwort.cli.values import gravity_range, gravity_sg, instant, now_us, number, share_range, temp_c
from lullwort.errors import UsageError
from lullwort.records import parse_instant
from lullwort.settings import Settings

SG = Settings(Path("b"), "sg", "C", None)
PLATO = Settings(Path("b"), "plato", "F", "Europe/Berlin")


@pytest.mark.parametrize(
    ("text", "settings", "sg"),
    [
        ("1.052", SG, 1.052),
        ("1,052", SG, 1.052),
        ("12P", SG, 1.0483),
        ("12 °P", SG, 1.0483),
        ("12,0", PLATO, 1.0483),
        ("1.052SG", SG, 1.052),
        ("1,052 sg", PLATO, 1.052),
        ("1.2", PLATO, 1.0047),
        ("1,03p", PLATO, 1.0040),
        ("2,75", PLATO, 1.0108),
    ],
)
def test_gravities_are_taken_as_brewers_write_them(text: str, settings: Settings, sg: float) -> None:
    # 12 °P is 1.0483 (20/20, true density) in every sugar table; near water 1 °P is 3.9 points.
    assert gravity_sg(text, "--gravity", settings) == pytest.approx(sg, abs=0.0001)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1052", "1.052 was probably meant"),
        ("12", "write 12P"),
        ("5", "write 5P"),
        ("7000", "such as 1.052"),
        ("x", "a number"),
    ],
)
def test_a_gravity_in_another_unit_is_refused_with_what_was_probably_meant(text: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        gravity_sg(text, "--gravity", SG)


@pytest.mark.parametrize("text", ["1,026", "1.02", "0.998", "1.2000"])
def test_a_number_that_looks_like_sg_is_not_taken_as_plato(text: str) -> None:
    with pytest.raises(UsageError, match=f"{text} reads as SG: write {text}SG, or [01][.,]..P"):
        gravity_sg(text, "--gravity-read", PLATO)
    with pytest.raises(UsageError, match="reads as SG"):
        gravity_range(f"{text} to 3", "--expected-final-gravity", PLATO)
    assert gravity_sg(f"{text}P", "--gravity-read", PLATO) == pytest.approx(1.004, abs=0.001)


def test_plato_beyond_reason_is_refused() -> None:
    with pytest.raises(UsageError, match="between -5 and 45"):
        gravity_sg("1052P", "--gravity", SG)


def test_ranges() -> None:
    assert gravity_range("1.012", "--end", SG) == (1.012, 1.012)
    assert share_range("70 to 80 %", "--attenuation") == (0.7, 0.8)
    assert share_range("75", "--attenuation") == (0.75, 0.75)
    with pytest.raises(UsageError, match="one gravity or two"):
        gravity_range("1.010 to 1.012 to 1.014", "--end", SG)
    for text in ("1,010SG..1,014SG", "1.010-1.014", "high"):
        with pytest.raises(UsageError, match="expected one gravity or two as"):
            gravity_range(text, "--end", SG)
    assert gravity_range("2,6P to 1,014 sg", "--end", PLATO) == pytest.approx((1.0102, 1.014), abs=1e-4)
    with pytest.raises(UsageError, match="per cent as"):
        share_range("1 to 2 to 3", "--attenuation")


def test_temperatures_in_either_unit() -> None:
    assert temp_c("20", "--t", SG) == 20.0
    assert temp_c("68", "--t", PLATO) == 20.0
    assert temp_c("68 °F", "--t", SG) == 20.0
    assert temp_c("20,5C", "--t", PLATO) == 20.5


def test_times_need_a_zone_from_somewhere() -> None:
    assert instant("2026-07-19T02:00", "--at", PLATO) == parse_instant("2026-07-19T00:00:00Z")
    assert instant("2026-07-19T02:00+02:00", "--at", SG) == parse_instant("2026-07-19T00:00:00Z")
    assert abs(instant("now", "--at", SG) - now_us()) < 5_000_000
    with pytest.raises(UsageError, match="has no zone"):
        instant("2026-07-19T02:00", "--at", SG)
    with pytest.raises(UsageError, match="expected a time such as"):
        instant("last week", "--at", SG)


def test_numbers() -> None:
    assert number(" 19,5 ", "--volume") == 19.5
    with pytest.raises(UsageError, match="--volume is 'much'"):
        number("much", "--volume")
