from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.cli.values import (
    gravity_difference,
    gravity_range,
    gravity_sg,
    instant,
    now_us,
    number,
    share_range,
    temp_c,
    volume_l,
)
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.records import parse_instant
from lullwort.settings import Settings
from lullwort.units import to_litres

SG = Settings(Path("b"), "sg", "C", None)
PLATO = Settings(Path("b"), "plato", "F", "Europe/Berlin")
POINTS = Settings(Path("b"), "points", "C", None)
US = Settings(Path("b"), "sg", "C", None, volume="us gal")
IMPERIAL = Settings(Path("b"), "sg", "C", None, volume="imp gal")


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
    for dash in ("-", " - ", "\u2013", " \u2013 ", "\u2014", "\u2212", " -"):
        assert gravity_range(f"1.0137{dash}1.0157", "--end", SG) == (1.0137, 1.0157)
        assert gravity_range(f"2,6P{dash}3P", "--end", SG) == gravity_range("2,6P to 3P", "--end", SG)
        assert share_range(f"70 %{dash}80 %", "--attenuation") == (0.7, 0.8)
    below, above = gravity_range("-1 to -0.5", "--end", PLATO)
    assert below < above < 1.0
    assert gravity_range("-1--0,5", "--end", PLATO) == (below, above)
    assert gravity_range("-1", "--end", PLATO) == (below, below)
    with pytest.raises(UsageError, match="one gravity or two"):
        gravity_range("1.010 to 1.012 to 1.014", "--end", SG)
    for text in ("1,010SG..1,014SG", "1.010-", "high"):
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


# -- points, and differences -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "settings", "sg"),
    [
        ("52pt", SG, 1.052),
        ("52 points", PLATO, 1.052),
        ("52,5 pts", SG, 1.0525),
        ("52", POINTS, 1.052),
        ("-2,5", POINTS, 0.9975),
        ("1.052SG", POINTS, 1.052),
        ("12 °P", POINTS, 1.0483),
        ("12 Plato", SG, 1.0483),
        ("1 point", SG, 1.001),
    ],
)
def test_gravities_are_taken_in_points(text: str, settings: Settings, sg: float) -> None:
    assert gravity_sg(text, "--gravity", settings) == pytest.approx(sg, abs=0.0001)


@pytest.mark.parametrize("text", ["1,052", "1.02", "0.998"])
def test_a_number_that_looks_like_sg_is_not_taken_as_points(text: str) -> None:
    with pytest.raises(UsageError, match=f"{text} reads as SG: write {text}SG, or [01][.,]..pt where points are meant"):
        gravity_sg(text, "--gravity-read", POINTS)
    assert gravity_sg(f"{text}pt", "--gravity-read", POINTS) == pytest.approx(1.001, abs=0.0001)


@pytest.mark.parametrize(
    ("text", "settings", "says"),
    [
        ("52", SG, "if points are meant, write 52pt"),
        ("12", SG, "write 12P, if points, 12pt"),
        ("52", PLATO, "if points are meant, write 52pt"),
        ("1052", POINTS, "between -100 and 300; 1.052SG was probably meant"),
        ("1052", PLATO, "between -5 and 45; 1.052SG was probably meant"),
        ("1052pt", SG, "1.052SG was probably meant"),
    ],
)
def test_a_gravity_in_a_unit_that_is_not_set_gets_what_was_probably_meant(
    text: str, settings: Settings, says: str
) -> None:
    with pytest.raises(UsageError, match=says):
        gravity_sg(text, "--gravity", settings)


def test_differences_of_gravity() -> None:
    assert gravity_difference("0,002", "--tolerance", SG) == pytest.approx(2.0)
    assert gravity_difference("2", "--tolerance", POINTS) == 2.0
    assert gravity_difference("0.002 SG", "--tolerance", POINTS) == pytest.approx(2.0)
    assert gravity_difference("0,5", "--tolerance", PLATO) == pytest.approx(2.0, abs=0.05)
    with pytest.raises(UsageError, match=r"no difference in SG, such as 0.001: write 1pt where points are meant, 1P"):
        gravity_difference("1", "--tolerance", SG)
    for settings, meant in ((PLATO, "0.001P where degrees Plato"), (POINTS, "0.001pt where points")):
        with pytest.raises(UsageError, match=f"0.001 reads as SG: write 0.001SG, or {meant} are meant"):
            gravity_difference("0.001", "--tolerance", settings)
    with pytest.raises(UsageError, match="between -10 and 35"):
        gravity_difference("99P", "--tolerance", SG)


# -- volumes -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "settings", "litres"),
    [
        # the US gallon is 231 cubic inches, the imperial one 4.54609 L, both exact by definition
        ("19", SG, 19.0),
        ("19,5 L", US, 19.5),
        ("19 litres", US, 19.0),
        ("500ml", SG, 0.5),
        ("1,2 hL", SG, 120.0),
        ("5", US, 18.927),
        ("5 gal", US, 18.927),
        ("5 gallons", IMPERIAL, 22.730),
        ("5us gal", SG, 18.927),
        ("5 US gallons", IMPERIAL, 18.927),
        ("5us-gal", SG, 18.927),
        ("5,0 imp gal", US, 22.730),
        ("5 imperial gallons", SG, 22.730),
    ],
)
def test_volumes_are_taken_as_brewers_write_them(text: str, settings: Settings, litres: float) -> None:
    assert volume_l(text, "--volume", settings) == pytest.approx(litres, abs=0.001)


def test_a_gallon_that_may_be_either_is_asked_after() -> None:
    with pytest.raises(UsageError, match=r"US or imperial .* 5us gal \(18.9 L\) or 5imp gal \(22.7 L\), or state"):
        volume_l("5 gal", "--volume", SG)


@pytest.mark.parametrize("text", ["much", "", "L", "5 buckets", "1.000,5 L", "5?"])
def test_what_is_no_volume_is_refused_with_what_would_be_one(text: str) -> None:
    with pytest.raises(UsageError, match=r"--volume is .*expected"):
        volume_l(text, "--volume", SG)


# -- what was shown, typed ---------------------------------------------------------------------------------------------


def settings_in(units: Units) -> Settings:
    return Settings(
        Path("b"), units.gravity, units.temperature, None, volume=units.volume, decimal=units.decimal
    )  # fmt: skip


every_units = st.builds(
    Units,
    gravity=st.sampled_from(["sg", "plato", "points"]),
    temperature=st.sampled_from(["C", "F"]),
    volume=st.sampled_from(["L", "us gal", "imp gal"]),
    decimal=st.sampled_from(["point", "comma"]),
)
_LAST_POINTS = {"sg": 0.05, "plato": 0.025, "points": 0.05}
"""[points] half of the last digit that is shown; 1 °P is at most 5 points up to 1.150."""


@given(every_units, every_units, st.floats(-18.0, 150.0))
def test_a_gravity_that_was_shown_can_be_typed_under_any_settings(shown: Units, typed: Units, points: float) -> None:
    text = shown.level(points) + (" SG" if shown.gravity == "sg" else "")
    again = gravity_sg(text, "--gravity", settings_in(typed))
    assert (again - 1.0) * 1000.0 == pytest.approx(points, abs=_LAST_POINTS[shown.gravity] + 1e-6)


@given(every_units, st.floats(-18.0, 150.0))
def test_a_gravity_can_be_typed_bare_under_the_settings_that_it_was_shown_by(units: Units, points: float) -> None:
    text = units.level(points).split()[0]
    if units.gravity == "plato" and 0.98 <= float(text.replace(",", ".")) <= 1.2:
        # so near to water that it may be SG: it is asked after, never taken for what it was not
        with pytest.raises(UsageError, match="reads as SG"):
            gravity_sg(text, "--gravity", settings_in(units))
        return
    again = gravity_sg(text, "--gravity", settings_in(units))
    assert (again - 1.0) * 1000.0 == pytest.approx(points, abs=_LAST_POINTS[units.gravity] + 1e-6)


@given(every_units, every_units, st.floats(0.1, 30.0))
def test_a_difference_that_was_shown_can_be_typed(shown: Units, typed: Units, points: float) -> None:
    again = gravity_difference(shown.difference(points), "--tolerance", settings_in(typed))
    assert again == pytest.approx(points, abs=0.0501)


@given(every_units, every_units, st.floats(-5.0, 45.0), st.floats(0.5, 500.0))
def test_a_temperature_and_a_volume_that_were_shown_can_be_typed(
    shown: Units, typed: Units, celsius: float, litres: float
) -> None:
    settings = settings_in(typed)
    assert temp_c(shown.temp(celsius), "--yeast-min", settings) == pytest.approx(celsius, abs=0.0501)
    half_digit = 0.0501 * to_litres(1.0, shown.volume)
    assert volume_l(shown.amount(litres), "--volume", settings) == pytest.approx(litres, abs=half_digit)
